import { Icon, type IconName, Link } from '../../parts';
import { t } from '../../text';
import { localClock } from '../forms/local_time';
import { PhotoStrip } from '../photos/attached';
import type { LoosePhotos } from './loose_photos';
import type { DiaryView, Entry, Group, Standing } from './model';
import { detailOf, type Names, titleOf } from './words';

export const ICON: Record<Group, IconName> = {
  rounds: 'plank',
  traps: 'trap',
  temperatures: 'thermometer',
  treatments: 'hand',
  crops: 'plot',
  notes: 'diary',
};

export function EntryRow({
  entry,
  names,
  photos = [],
  refused,
  onOpen,
}: {
  entry: Entry;
  names: Names;
  /** Of it, and of the counts of a round. */
  photos?: readonly string[];
  /** Photos that the server did not take. */
  refused: ReadonlySet<string>;
  onOpen: (view: DiaryView) => void;
}) {
  const { view } = entry;
  const who = view.body.observer ? t('diary.by', { who: String(view.body.observer) }) : '';
  const clock = view.type === 'crop' ? '' : localClock(entry.at, names.time_zone);
  return (
    <li>
      <button type="button" class="diary-entry" onClick={() => onOpen(view)}>
        <Icon name={ICON[entry.group]} />
        <span class="grow">
          <strong>{titleOf(view, names)}</strong>
          <span class="diary-detail">{detailOf(view, names, entry)}</span>
          <span class="soft small">{[clock, who].filter(Boolean).join(' · ')}</span>
          <StandingMark standing={entry.standing} />
          <PhotoStrip shas={photos} refused={refused} />
        </span>
        <Icon name="next" />
      </button>
    </li>
  );
}

type PhotosProps = { photos: LoosePhotos; names: Names; refused: ReadonlySet<string> };

/** Photos of places, crops or the plot that were taken on this day; it leads to them. */
export function PhotosRow({ photos, names, refused }: PhotosProps) {
  const [only, ...more] = photos.place_ids;
  const labels = photos.place_ids.map((id) => names.place.get(id) ?? '').filter(Boolean);
  const places = labels.length > 0 ? labels.join(', ') : t('photos.no_place');
  return (
    <li>
      <Link
        class="diary-entry"
        to={only && more.length === 0 && !photos.elsewhere ? `/photos/of/${only}` : '/photos'}
      >
        <Icon name="camera" />
        <span class="grow">
          <strong>{t('photos.loose', { n: photos.shas.length, places })}</strong>
          <PhotoStrip shas={photos.shas} refused={refused} />
        </span>
        <Icon name="next" />
      </Link>
    </li>
  );
}

export function StandingMark({ standing }: { standing: Standing }) {
  if (standing === 'clean') return null;
  return <span class={`standing standing-${standing}`}>{t(`diary.standing_${standing}`)}</span>;
}

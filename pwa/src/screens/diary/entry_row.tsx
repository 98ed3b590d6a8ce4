import { Icon, type IconName } from '../../parts';
import { t } from '../../text';
import { localClock } from '../forms/local_time';
import { PhotoStrip } from '../photos/attached';
import type { DiaryView, Entry, Group, Standing } from './model';
import { detailOf, type Names, titleOf } from './words';

const ICON: Record<Group, IconName> = {
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
  onOpen,
}: {
  entry: Entry;
  names: Names;
  /** Of it, and of the counts of a round. */
  photos?: readonly string[];
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
          <PhotoStrip shas={photos} />
        </span>
        <Icon name="next" />
      </button>
    </li>
  );
}

export function StandingMark({ standing }: { standing: Standing }) {
  if (standing === 'clean') return null;
  return <span class={`standing standing-${standing}`}>{t(`diary.standing_${standing}`)}</span>;
}

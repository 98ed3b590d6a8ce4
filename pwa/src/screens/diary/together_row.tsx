import { useState } from 'preact/hooks';
import { Icon } from '../../parts';
import { localClock } from '../forms/local_time';
import { PhotoStrip } from '../photos/attached';
import { ICON, StandingMark } from './entry_row';
import { type DiaryView, type Entry, momentOf, standingOf } from './model';
import { inOrder } from './together';
import { stationOf, togetherDetail, togetherTitle, whenAndWho } from './together_words';
import { detailOf, type Names } from './words';

type Props = {
  entry: Entry & { parts: DiaryView[] };
  names: Names;
  photos: ReadonlyMap<string, string[]>;
  refused: ReadonlySet<string>;
  onOpen: (view: DiaryView) => void;
};

/** The readings or traps of one walk: one entry, which opens to its parts in place. */
export function TogetherRow({ entry, names, photos, refused, onOpen }: Props) {
  const [open, setOpen] = useState(false);
  const parts = inOrder(entry.parts, (view) => stationOf(view, names));
  return (
    <li>
      <details
        class="diary-together"
        onToggle={(event) => setOpen((event.currentTarget as HTMLDetailsElement).open)}
      >
        <summary class="diary-entry">
          <Icon name={ICON[entry.group]} />
          <span class="grow">
            <strong>{togetherTitle(parts, names)}</strong>
            <span class="diary-detail">{togetherDetail(parts, names)}</span>
            <span class="soft small">{whenAndWho(parts, names)}</span>
            <StandingMark standing={entry.standing} />
          </span>
          <Icon name="next" />
        </summary>
        {open && (
          <ul>
            {parts.map((view) => (
              <li key={view.id}>
                <button type="button" class="diary-entry" onClick={() => onOpen(view)}>
                  <span class="grow">
                    <strong>{stationOf(view, names)}</strong>
                    <span class="diary-detail">{detailOf(view, names)}</span>
                    <span class="soft small">{localClock(momentOf(view) ?? '', names.time_zone)}</span>
                    <StandingMark standing={standingOf(view)} />
                    <PhotoStrip shas={photos.get(view.id) ?? []} refused={refused} />
                  </span>
                  <Icon name="next" />
                </button>
              </li>
            ))}
          </ul>
        )}
      </details>
    </li>
  );
}

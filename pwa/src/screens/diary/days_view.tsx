import { useState } from 'preact/hooks';
import { Button, EmptyState } from '../../parts';
import { t } from '../../text';
import { dayWords, localDay } from '../forms/local_time';
import { PickPlaces } from '../forms/pick_places';
import type { PlotFacts } from '../forms/plot_facts';
import { useDraft } from '../forms/use_draft';
import { byLabel } from '../plot/model';
import { EntryRow, PhotosRow } from './entry_row';
import { DuePart } from './harvest_waits';
import type { DiaryData } from './load';
import { withLoose } from './loose_photos';
import { type DiaryView, type Entry, GROUPS, type Group, timeline } from './model';
import { NoteSheet } from './note_sheet';
import { RemovedPart } from './removed_view';
import { DamageSheet, SoilSheet } from './sample_sheets';
import { together } from './together';
import { TogetherRow } from './together_row';
import { TreatmentSheet } from './treatment_sheet';
import type { Names } from './words';

type Props = {
  facts: PlotFacts;
  data: DiaryData;
  names: Names;
  canWrite: boolean;
  onEdit: (view: DiaryView, counts: DiaryView[]) => void;
  onOlder: () => void;
};

const WRITINGS = ['note', 'treatment', 'damage', 'soil'] as const;
type Writing = (typeof WRITINGS)[number];
/** On a keyboard. */
const WRITE_KEYS = { note: 'n', treatment: 't', damage: 'd', soil: 's' } as const;
const WRITE_WORDS = {
  note: 'diary.add_note',
  treatment: 'diary.add_treatment',
  damage: 'samples.add_damage',
  soil: 'samples.add_soil',
} as const;

/** Everything recorded, day by day, and what is written down without a card of its own. */
export function DaysView({ facts, data, names, canWrite, onEdit, onOlder }: Props) {
  const filter = useDraft<{ shown: Group[] }>('diary_filter', { shown: [...GROUPS] });
  const [writing, setWriting] = useState<Writing | undefined>(undefined);
  if (!filter.ready) return null;
  const days = timeline(data.views, facts.time_zone, new Set(filter.value.shown)).filter(
    (day) => day.day >= data.from,
  );
  const shown = filter.value.shown.includes('notes')
    ? withLoose(days, data.loose)
    : withLoose(days, new Map());
  const today = localDay(new Date(), facts.time_zone);
  const close = () => setWriting(undefined);
  const open = (entry: Entry) => (view: DiaryView) => onEdit(view, view === entry.view ? entry.counts : []);
  return (
    <>
      {canWrite && <WriteRow onWrite={setWriting} />}
      <DuePart facts={facts} data={data} />
      <details class="diary-filter">
        <summary>
          {t('diary.filter')}: {filterWords(filter.value.shown)}
        </summary>
        <PickPlaces
          label=""
          places={GROUPS.map((id) => ({ id, label: t(`diary.group_${id}`) }))}
          chosen={filter.value.shown}
          onChange={(ids) => filter.change({ shown: ids as Group[] })}
        />
      </details>
      {data.views.length === 0 && data.loose.size === 0 && (
        <EmptyState title={t('diary.empty_title')}>{t('diary.empty_text')}</EmptyState>
      )}
      {data.views.length > 0 && shown.length === 0 && <p class="soft">{t('diary.filtered_empty')}</p>}
      {shown.map(({ day, entries, loose }) => (
        <section key={day} class="diary-day" aria-labelledby={`day-${day}`}>
          <h2 id={`day-${day}`}>{dayWords(day, today)}</h2>
          <ul>
            {together(entries).map((entry) =>
              entry.parts ? (
                <TogetherRow
                  key={`of ${entry.view.id}`}
                  entry={{ ...entry, parts: entry.parts }}
                  names={names}
                  photos={data.photos}
                  refused={data.refused}
                  onOpen={(view) => onEdit(view, [])}
                />
              ) : (
                <EntryRow
                  key={entry.view.id}
                  entry={entry}
                  names={names}
                  photos={[entry.view, ...entry.counts].flatMap(({ id }) => data.photos.get(id) ?? [])}
                  refused={data.refused}
                  onOpen={open(entry)}
                />
              ),
            )}
            {loose && <PhotosRow photos={loose} names={names} refused={data.refused} />}
          </ul>
        </section>
      ))}
      {data.older !== undefined && (
        <Button kind="quiet" onClick={onOlder}>
          {t('diary.older')}
        </Button>
      )}
      <RemovedPart facts={facts} names={names} canWrite={canWrite} />
      {writing === 'note' && (
        <NoteSheet
          facts={facts}
          places={data.places.filter((place) => !place.archived).sort(byLabel)}
          onClose={close}
        />
      )}
      {writing === 'treatment' && <TreatmentSheet facts={facts} data={data} onClose={close} />}
      {writing === 'damage' && <DamageSheet facts={facts} data={data} names={names} onClose={close} />}
      {writing === 'soil' && <SoilSheet facts={facts} data={data} names={names} onClose={close} />}
    </>
  );
}

function WriteRow({ onWrite }: { onWrite: (what: Writing) => void }) {
  return (
    <div class="pair-grid diary-write">
      {WRITINGS.map((what) => (
        <Button key={what} icon="plus" data-key={WRITE_KEYS[what]} onClick={() => onWrite(what)}>
          {t(WRITE_WORDS[what])}
        </Button>
      ))}
    </div>
  );
}

function filterWords(shown: readonly Group[]): string {
  return GROUPS.filter((group) => shown.includes(group))
    .map((group) => t(`diary.group_${group}`))
    .join(', ');
}

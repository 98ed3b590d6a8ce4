import { useState } from 'preact/hooks';
import type { RecordType } from '../../generated/api';
import { Button, EmptyState, PageHeader } from '../../parts';
import { list, useLive } from '../../storage';
import { t } from '../../text';
import { known } from '../forms/known';
import { dayPlus, dayWords, localDay } from '../forms/local_time';
import { NoPlot } from '../forms/no_plot';
import { PickPlaces } from '../forms/pick_places';
import { usePlotFacts } from '../forms/plot_facts';
import { useDraft } from '../forms/use_draft';
import { byLabel } from '../plot/model';
import { EditSheet } from './edit_sheet';
import { EntryRow } from './entry_row';
import { DIARY_TYPES, type DiaryView, type Entry, GROUPS, type Group, timeline } from './model';
import { NoteSheet } from './note_sheet';
import { TreatmentSheet } from './treatment_sheet';
import type { Names } from './words';
import '../forms/style.css';
import './style.css';

/** Days shown at first and added by each press: a month is what a thumb will scroll through. */
const STRETCH = 31;

const TYPES = DIARY_TYPES as RecordType[];
/** Kinds whose moment is not `observed_at`: they are few, and cut by day only after they are read. */
const UNDATED = new Set<RecordType>(['crop', 'culture', 'trap_catch']);

async function load(timeZone: string, days: number) {
  const from = dayPlus(localDay(new Date(), timeZone), -days);
  const [views, stations, places, crops] = await Promise.all([
    Promise.all(TYPES.map((type) => (UNDATED.has(type) ? list(type) : list(type, { from })))),
    list('station'),
    list('place'),
    list('crop'),
  ]);
  return {
    from,
    views: views.flat().map((view) => ({ ...view, body: known(view.body) })) as DiaryView[],
    station: new Map(stations.map((view) => [view.id, view.body.label ?? ''])),
    places: places.map((view) => ({ ...known(view.body), id: view.id, label: view.body.label ?? '' })),
    crop: new Map(
      crops.map((view) => [view.id, [view.body.kind, view.body.variety].filter(Boolean).join(' ')]),
    ),
  };
}
export type DiaryData = Awaited<ReturnType<typeof load>>;

type Open =
  | { sheet: 'note' }
  | { sheet: 'treatment' }
  | { sheet: 'edit'; view: DiaryView; counts: DiaryView[] };

export default function Diary() {
  const facts = usePlotFacts();
  const [days, setDays] = useState(STRETCH);
  const zone = facts?.time_zone;
  const data = useLive(
    () => (zone ? load(zone, days) : Promise.resolve(undefined)),
    ['station', 'place', 'outbox', ...TYPES],
    [zone, days],
  );
  const filter = useDraft<{ shown: Group[] }>('diary_filter', { shown: [...GROUPS] });
  const [open, setOpen] = useState<Open | undefined>(undefined);
  if (!facts || !data || !filter.ready) return <div class="page" aria-busy="true" />;
  if (!facts.plot) return <NoPlot title={t('diary.title')} />;
  const names: Names = {
    station: data.station,
    place: new Map(data.places.map((place) => [place.id, place.label])),
    crop: data.crop,
    unit: facts.unit,
    time_zone: facts.time_zone,
  };
  const shown = timeline(data.views, facts.time_zone, new Set(filter.value.shown)).filter(
    (day) => day.day >= data.from,
  );
  const today = localDay(new Date(), facts.time_zone);
  const edit = (entry: Entry, view: DiaryView) =>
    setOpen({ sheet: 'edit', view, counts: view === entry.view ? entry.counts : [] });
  return (
    <div class="page">
      <PageHeader title={t('diary.title')} />
      <div class="row">
        <Button kind="main" icon="plus" onClick={() => setOpen({ sheet: 'note' })}>
          {t('diary.add_note')}
        </Button>
        <Button icon="plus" onClick={() => setOpen({ sheet: 'treatment' })}>
          {t('diary.add_treatment')}
        </Button>
      </div>
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
      {data.views.length === 0 && (
        <EmptyState title={t('diary.empty_title')}>{t('diary.empty_text')}</EmptyState>
      )}
      {data.views.length > 0 && shown.length === 0 && <p class="soft">{t('diary.filtered_empty')}</p>}
      {shown.map(({ day, entries }) => (
        <section key={day} class="diary-day" aria-labelledby={`day-${day}`}>
          <h2 id={`day-${day}`}>{dayWords(day, today)}</h2>
          <ul>
            {entries.map((entry) => (
              <EntryRow
                key={entry.view.id}
                entry={entry}
                names={names}
                onOpen={(view) => edit(entry, view)}
              />
            ))}
          </ul>
        </section>
      ))}
      <Button kind="quiet" onClick={() => setDays(days + STRETCH * 3)}>
        {t('diary.older')}
      </Button>
      {open?.sheet === 'note' && (
        <NoteSheet facts={facts} places={[...data.places].sort(byLabel)} onClose={() => setOpen(undefined)} />
      )}
      {open?.sheet === 'treatment' && (
        <TreatmentSheet facts={facts} data={data} onClose={() => setOpen(undefined)} />
      )}
      {open?.sheet === 'edit' && (
        <EditSheet
          key={open.view.id}
          view={open.view}
          counts={open.counts}
          names={names}
          facts={facts}
          onOpen={(view) => setOpen({ sheet: 'edit', view, counts: [] })}
          onClose={() => setOpen(undefined)}
        />
      )}
    </div>
  );
}

function filterWords(shown: readonly Group[]): string {
  return GROUPS.filter((group) => shown.includes(group))
    .map((group) => t(`diary.group_${group}`))
    .join(', ');
}

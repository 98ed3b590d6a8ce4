import { useState } from 'preact/hooks';
import { ButtonLink, PageHeader, Segmented } from '../../parts';
import { useLive } from '../../storage';
import { t } from '../../text';
import { NoPlot } from '../forms/no_plot';
import { usePlotFacts } from '../forms/plot_facts';
import { UndoBar } from '../forms/undo_bar';
import { useDraft } from '../forms/use_draft';
import { CropsView } from './crops_view';
import { CulturesView } from './cultures_view';
import { DaysView } from './days_view';
import { EditSheet } from './edit_sheet';
import { load, TYPES } from './load';
import type { DiaryView } from './model';
import type { Names } from './words';
import '../forms/style.css';
import './crops.css';
import './style.css';

/** Days shown at first and added by each press: a month is what a thumb will scroll through. */
const STRETCH = 31;

const VIEWS = ['days', 'crops', 'cultures'] as const;
type Shown = (typeof VIEWS)[number];

function DiaryLinks() {
  return (
    <div class="diary-links">
      <ButtonLink to="/photos">{t('photos.link')}</ButtonLink>
      <ButtonLink to="/trials">{t('trials.title')}</ButtonLink>
      <ButtonLink to="/paper">{t('paper.title')}</ButtonLink>
    </div>
  );
}

type Open = { view: DiaryView; counts: DiaryView[] };

export default function Diary() {
  const facts = usePlotFacts();
  const [days, setDays] = useState(STRETCH);
  const zone = facts?.time_zone;
  const data = useLive(
    () => (zone ? load(zone, days) : Promise.resolve(undefined)),
    ['station', 'place', 'photo', 'outbox', ...TYPES],
    [zone, days],
  );
  const which = useDraft<{ shown: Shown }>('diary_view', { shown: 'days' });
  const [open, setOpen] = useState<Open | undefined>(undefined);
  if (!facts || !data || !which.ready) return <div class="page" aria-busy="true" />;
  if (!facts.plot) return <NoPlot title={t('diary.title')} />;
  const names: Names = {
    station: data.station,
    place: new Map(data.places.map((place) => [place.id, place.label])),
    crop: data.crop,
    unit: facts.unit,
    time_zone: facts.time_zone,
  };
  const canWrite = facts.role !== 'reader';
  const edit = (view: DiaryView, counts: DiaryView[] = []) => setOpen({ view, counts });
  const shared = { facts, data, names, canWrite };
  const { shown } = which.value;
  return (
    <div class="page">
      <PageHeader title={t('diary.title')} />
      <DiaryLinks />
      <Segmented
        label={t('crops.view')}
        hideLabel
        value={shown}
        choices={VIEWS.map((value) => ({ value, label: t(`crops.view_${value}`) }))}
        onChoose={(next) => which.change({ shown: next })}
      />
      {shown === 'days' && (
        <DaysView
          {...shared}
          onEdit={edit}
          onOlder={() => setDays(Math.max(days + STRETCH * 3, data.older ?? 0))}
        />
      )}
      {shown === 'crops' && <CropsView {...shared} onEdit={edit} />}
      {shown === 'cultures' && <CulturesView {...shared} onEdit={edit} />}
      {open && (
        <EditSheet
          key={open.view.id}
          view={open.view}
          counts={open.counts}
          names={names}
          facts={facts}
          onOpen={edit}
          onClose={() => setOpen(undefined)}
        />
      )}
      {canWrite && <UndoBar />}
    </div>
  );
}

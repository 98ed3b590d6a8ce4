import { useEffect, useState } from 'preact/hooks';
import type { ScreenProps } from '../../app/routes';
import { Button, ButtonLink, EmptyState, Notice, PageHeader, Segmented } from '../../parts';
import { useLive, whenQuiet } from '../../storage';
import { photoStates } from '../../storage/photos';
import { fetchThumbsOf } from '../../sync';
import { type TextKey, t } from '../../text';
import { dayPlus, localDay } from '../forms/local_time';
import { NoPlot } from '../forms/no_plot';
import { mayRecord, type PlotFacts, usePlotFacts } from '../forms/plot_facts';
import { useDraft } from '../forms/use_draft';
import { byLabel } from '../plot/model';
import { AddSheet } from './add_sheet';
import { Compare } from './compare';
import { loadPhotos, PHOTO_TYPES, type PhotoData } from './load';
import { byMonth, byPlace, GONE, inPlace, type Shot, type Stretch, widestPair } from './model';
import { PhotoButtons } from './photo_field';
import { Sending } from './sending';
import { PhotoGrid } from './shots';
import { type Taking, useTaking } from './taking';
import { Viewer } from './viewer';
import { monthWords } from './words';
import '../forms/style.css';
import './style.css';

/** Photos of counts are looked for in so many days, and by each press in a year more. */
const STRETCH = 120;
/** The first picture is made from those of so many days; the rest follows under it. */
const FIRST = 20;
const YEAR = 365;

const VIEWS = ['time', 'places'] as const;
type Order = (typeof VIEWS)[number];

export default function Photos({ params }: ScreenProps) {
  const facts = usePlotFacts();
  const byTime = !params.pair && !params.place;
  const [days, setDays] = useState(byTime ? FIRST : STRETCH);
  useEffect(() => {
    void whenQuiet().then(() => setDays((n) => Math.max(n, STRETCH)));
  }, []);
  const zone = facts?.time_zone;
  const data = useLive(
    () => (zone ? loadPhotos(zone, days) : Promise.resolve(undefined)),
    [...PHOTO_TYPES, 'outbox'],
    [zone, days],
  );
  if (!facts || !data) return <div class="page" aria-busy="true" />;
  if (!facts.plot) return <NoPlot title={t('photos.title')} />;
  if (params.pair) return <Compare data={data} facts={facts} placeId={params.pair} />;
  const older = (): void => setDays(Math.max(days, STRETCH) + YEAR);
  return <Gallery data={data} facts={facts} placeId={params.place} onOlder={older} />;
}

type GalleryProps = { data: PhotoData; facts: PlotFacts; placeId: string | undefined; onOlder: () => void };

/** Whether all is read that the screen begins with. */
function isWhole({ from }: PhotoData, { time_zone }: PlotFacts): boolean {
  return from <= dayPlus(localDay(new Date(), time_zone), 1 - STRETCH);
}

function Gallery({ data, facts, placeId, onOlder }: GalleryProps) {
  const order = useDraft<{ shown: Order }>('photos_view', { shown: 'time' });
  const states = useLive(photoStates, ['photo', 'outbox']);
  const taking = useTaking('new', facts);
  const [adding, setAdding] = useState(false);
  const [open, setOpen] = useState<string | undefined>(undefined);
  const place = data.places.find(({ id }) => id === placeId);
  const shots = placeId ? inPlace(data.shots, placeId) : data.shots;
  useThumbs(shots);
  useEffect(() => {
    if (taking.progress || taking.faults.length > 0) setAdding(true);
  }, [taking.progress !== undefined, taking.faults.length]);
  if (!order.ready) return null;
  const writes = mayRecord(facts);
  const shown = placeId ? 'time' : order.value.shown;
  const whole = isWhole(data, facts);
  // What has to make way for others is drawn when they are there.
  const ready = whole || shown === 'places' ? shots : shots.filter(({ at }) => at >= data.from);
  return (
    <div class="page">
      <PageHeader
        title={place ? t('photos.of_place', { place: place.label }) : t('photos.title')}
        back={place ? '/photos' : '/diary'}
      />
      {writes && <AddRow taking={taking} onAdd={() => setAdding(true)} />}
      <Sending shots={shots} states={states} />
      <Orphans shots={shots} />
      {place && widestPair(shots) && (
        <ButtonLink to={`/photos/compare/${place.id}`} wide>
          {t('photos.compare')}
        </ButtonLink>
      )}
      {!whole && (ready.length === 0 || shown === 'places') ? (
        <div class="photo-stretch" aria-busy="true" />
      ) : shots.length === 0 ? (
        <EmptyState title={t('photos.empty_title')}>
          {t(writes ? 'photos.empty_text' : 'photos.empty_reader')}
        </EmptyState>
      ) : (
        <>
          {!placeId && (
            <Segmented
              label={t('photos.view')}
              hideLabel
              value={shown}
              choices={VIEWS.map((value) => ({ value, label: t(`photos.view_${value}`) }))}
              onChoose={(next) => order.change({ shown: next })}
            />
          )}
          <Stretches {...{ data, facts, states, shown }} shots={ready} onOpen={({ key }) => setOpen(key)} />
        </>
      )}
      <Button kind="quiet" onClick={onOlder}>
        {t('photos.older')}
      </Button>
      {adding && (
        <AddSheet
          data={data}
          facts={facts}
          taking={taking}
          placeId={placeId}
          onClose={() => setAdding(false)}
        />
      )}
      {open && (
        <Viewer
          shots={shots}
          all={data.shots}
          data={data}
          facts={facts}
          states={states}
          open={open}
          onOpen={setOpen}
          onClose={() => setOpen(undefined)}
        />
      )}
    </div>
  );
}

const NO_PLACE: { '': TextKey; [key: string]: TextKey } = {
  '': 'photos.no_place',
  [GONE]: 'photos.gone_title',
};

/** Photos outlive the record they belong to, and say so. */
function Orphans({ shots }: { shots: readonly Shot[] }) {
  const n = shots.filter(({ orphan }) => orphan).length;
  return n === 0 ? null : <Notice>{t('photos.gone_n', { n })}</Notice>;
}

/** Pictures chosen before and not saved yet wait here for the rest of their form. */
function AddRow({ taking, onAdd }: { taking: Taking; onAdd: () => void }) {
  const n = taking.taken.length;
  if (n === 0) return <PhotoButtons taking={taking} kind="main" />;
  return (
    <Button kind="main" wide onClick={onAdd}>
      {t('photos.add_save', { n })}
    </Button>
  );
}

type StretchesProps = {
  data: PhotoData;
  facts: PlotFacts;
  shots: readonly Shot[];
  states: ReadonlyMap<string, string> | undefined;
  shown: Order;
  onOpen: (shot: Shot) => void;
};

function Stretches({ data, facts, shots, states, shown, onOpen }: StretchesProps) {
  const label = new Map(data.places.map((place) => [place.id, place.label]));
  const inTime = shown === 'time';
  const stretches = inTime ? byMonth(shots, facts.time_zone) : byPlace(shots, [...data.places].sort(byLabel));
  const title = ({ key }: Stretch) =>
    inTime
      ? key
        ? monthWords(key)
        : t('photos.no_day')
      : (label.get(key) ?? t(NO_PLACE[key] ?? NO_PLACE['']));
  return (
    <>
      {stretches.map((stretch) => (
        <section key={stretch.key} class="photo-stretch" aria-labelledby={`photos-${stretch.key}`}>
          <div class="row-apart">
            <h2 id={`photos-${stretch.key}`}>{title(stretch)}</h2>
            {!inTime && stretch.key && widestPair(stretch.shots) && (
              <ButtonLink kind="quiet" to={`/photos/compare/${stretch.key}`}>
                {t('photos.compare')}
                <span class="only-heard"> {label.get(stretch.key)}</span>
              </ButtonLink>
            )}
          </div>
          <PhotoGrid shots={stretch.shots} {...{ data, facts, states, onOpen }} />
        </section>
      ))}
    </>
  );
}

/** Small pictures that have not come with a sync yet. */
function useThumbs(shots: readonly Shot[]): void {
  const shas = shots.map(({ sha256 }) => sha256).join();
  useEffect(() => {
    void (async () => {
      const { missingThumbsOf } = await import('../../storage/photos');
      await fetchThumbsOf(await missingThumbsOf(shas ? shas.split(',') : []));
    })().catch(() => undefined);
  }, [shas]);
}

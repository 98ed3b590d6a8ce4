import { useState } from 'preact/hooks';
import { Button, Card, EmptyState, Icon, IconButton, type IconName, Notice, PageHeader } from '../../parts';
import { list, useLive, type View } from '../../storage';
import { decimals, t } from '../../text';
import { known } from '../forms/known';
import { dayWords, localDay } from '../forms/local_time';
import { NoPlot } from '../forms/no_plot';
import { type PlotFacts, usePlotFacts } from '../forms/plot_facts';
import { areaOf, isRetired, type Place, plotRows, type Station, type StationKind } from './model';
import { PlaceSheet } from './place_sheet';
import { SettingsSheet } from './settings_sheet';
import { StationSheet } from './station_sheet';
import { WalkSheet } from './walk_sheet';
import '../forms/style.css';
import './style.css';

type Marked = { pending?: boolean; disputed?: boolean };
export type PlaceRow = Place & Marked;
export type StationRow = Station & Marked;

async function load() {
  const [places, stations] = await Promise.all([list('place'), list('station')]);
  const marks = (view: View) => ({ id: view.id, pending: view.pending, disputed: view.conflicts.length > 0 });
  return {
    places: places.map((view) => ({ ...known(view.body), ...marks(view) }) as PlaceRow),
    stations: stations.map((view) => ({ ...known(view.body), ...marks(view) }) as StationRow),
  };
}
export type PlotData = Awaited<ReturnType<typeof load>>;

/** What lies open over the list. */
type Open =
  | { sheet: 'place'; place?: PlaceRow }
  | { sheet: 'station'; station?: StationRow; place_id: string }
  | { sheet: 'walk' }
  | { sheet: 'settings' };

export default function Plot() {
  const facts = usePlotFacts();
  const data = useLive(load, ['place', 'station']);
  const [open, setOpen] = useState<Open | undefined>(undefined);
  const [old, setOld] = useState(false);
  if (!facts || !data) return <div class="page" aria-busy="true" />;
  if (!facts.plot) return <NoPlot title={t('plot.title')} />;
  const today = localDay(new Date(), facts.time_zone);
  const places = data.places.filter((place) => old || !place.archived);
  const stations = data.stations.filter((station) => old || !isRetired(station, today));
  const rows = plotRows(places, stations);
  const hidden = data.places.length + data.stations.length > places.length + stations.length;
  const close = () => setOpen(undefined);
  return (
    <div class="page">
      <PageHeader
        title={facts.plot.body.name ?? t('plot.title')}
        aside={
          <IconButton icon="edit" label={t('plot.settings')} onClick={() => setOpen({ sheet: 'settings' })} />
        }
      />
      {facts.plot.body.invented && <Notice>{t('plot.invented')}</Notice>}
      <div class="plot-acts">
        <Button kind="main" icon="plus" onClick={() => setOpen({ sheet: 'place' })}>
          {t('plot.add_place')}
        </Button>
        <Button icon="plank" onClick={() => setOpen({ sheet: 'walk' })}>
          {t('plot.walk')}
        </Button>
      </div>
      {rows.length === 0 && <EmptyState title={t('plot.empty_title')}>{t('plot.empty_text')}</EmptyState>}
      {rows.map(({ place, stations: inside }) => (
        <PlaceCard key={place?.id ?? ''} place={place} stations={inside} today={today} onOpen={setOpen} />
      ))}
      {(hidden || old) && (
        <Button kind="quiet" onClick={() => setOld(!old)}>
          {old ? t('plot.hide_old') : t('plot.show_old')}
        </Button>
      )}
      {open && <OpenSheet open={open} data={data} facts={facts} onClose={close} />}
    </div>
  );
}

type SheetProps = { open: Open; data: PlotData; facts: PlotFacts; onClose: () => void };

function OpenSheet({ open, data, facts, onClose }: SheetProps) {
  if (open.sheet === 'place')
    return <PlaceSheet place={open.place} data={data} facts={facts} onClose={onClose} />;
  if (open.sheet === 'walk') return <WalkSheet facts={facts} onClose={onClose} />;
  if (open.sheet === 'settings') return <SettingsSheet facts={facts} onClose={onClose} />;
  return (
    <StationSheet
      station={open.station}
      place_id={open.place_id}
      data={data}
      facts={facts}
      onClose={onClose}
    />
  );
}

type CardProps = {
  place: PlaceRow | undefined;
  stations: readonly StationRow[];
  today: string;
  onOpen: (open: Open) => void;
};

function PlaceCard({ place, stations, today, onOpen }: CardProps) {
  return (
    <Card
      title={place ? place.label : t('plot.homeless')}
      aside={
        place && (
          <IconButton
            icon="edit"
            label={t('plot.edit_place', { label: place.label ?? '' })}
            onClick={() => onOpen({ sheet: 'place', place })}
          />
        )
      }
    >
      {place && <p class="soft small">{placeWords(place)}</p>}
      {stations.length > 0 && (
        <ul class="stations">
          {stations.map((station) => (
            <li key={station.id}>
              <button
                type="button"
                class={`station ${isRetired(station, today) ? 'station-old' : ''}`}
                onClick={() => onOpen({ sheet: 'station', station, place_id: station.place_id ?? '' })}
              >
                <Icon name={iconOf(station.kind)} />
                <span class="grow">
                  <strong>{station.label}</strong> <span class="soft">{stationWords(station, today)}</span>
                </span>
                <Icon name="next" />
              </button>
            </li>
          ))}
        </ul>
      )}
      {place && !place.archived && (
        <Button icon="plus" onClick={() => onOpen({ sheet: 'station', place_id: place.id })}>
          {t('plot.add_station')}
        </Button>
      )}
    </Card>
  );
}

function iconOf(kind: string | undefined): IconName {
  if (kind === 'slug_board') return 'plank';
  return kind === 'thermometer' || kind === 'grass_minimum' ? 'thermometer' : 'trap';
}

function markWords(record: Marked): string[] {
  return [...(record.disputed ? [t('plot.in_dispute')] : []), ...(record.pending ? [t('plot.pending')] : [])];
}

function placeWords(place: PlaceRow): string {
  const area = areaOf(place);
  const size =
    place.length_m !== undefined && place.width_m !== undefined
      ? t('plot.size', { length: place.length_m, width: place.width_m })
      : area !== undefined
        ? t('plot.area', { area: decimals(area) })
        : undefined;
  const kind = t(`forms.place_${place.kind as 'bed'}`);
  return [kind, size, place.archived ? t('plot.archived') : undefined, ...markWords(place)]
    .filter(Boolean)
    .join(' · ');
}

function stationWords(station: StationRow, today: string): string {
  const kind = t(`forms.station_${station.kind as StationKind}`);
  const hangs =
    station.kind === 'thermometer' && station.exposure
      ? t(`forms.exposure_${station.exposure as 'soil'}`)
      : undefined;
  const gone = isRetired(station, today)
    ? t('plot.retired', { day: dayWords(station.retired_on ?? today, today) })
    : undefined;
  return [hangs ?? kind, gone, ...markWords(station)].filter(Boolean).join(' · ');
}

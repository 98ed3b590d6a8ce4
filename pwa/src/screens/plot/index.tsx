import { useState } from 'preact/hooks';
import { Button, EmptyState, IconButton, PageHeader } from '../../parts';
import { type Base, list, useLive, type View } from '../../storage';
import { t } from '../../text';
import { known } from '../forms/known';
import { localDay } from '../forms/local_time';
import { NoPlot } from '../forms/no_plot';
import { mayRecord, type PlotFacts, usePlotFacts } from '../forms/plot_facts';
import { isRetired } from './model';
import { PlaceList } from './place_list';
import { PlaceSheet } from './place_sheet';
import { SettingsSheet } from './settings_sheet';
import { Editor } from './sketch/editor';
import type { SketchPlace, SketchStation } from './sketch/ground';
import { MapSide } from './sketch/map_side';
import { StationSheet } from './station_sheet';
import { WalkSheet } from './walk_sheet';
import '../forms/style.css';
import './style.css';

export type Marked = { pending?: boolean; disputed?: boolean; base?: Base };
export type PlaceRow = SketchPlace & Marked;
export type StationRow = SketchStation & Marked;

async function load() {
  const [places, stations] = await Promise.all([list('place'), list('station')]);
  const marks = ({ id, base, pending, conflicts }: View) => ({
    id,
    base,
    pending,
    disputed: conflicts.length > 0,
  });
  return {
    places: places.map((view) => ({ ...known(view.body), ...marks(view) }) as PlaceRow),
    stations: stations.map((view) => ({ ...known(view.body), ...marks(view) }) as StationRow),
  };
}
export type PlotData = Awaited<ReturnType<typeof load>>;

/** What lies open over the screen. */
export type Open =
  | { sheet: 'place'; place?: PlaceRow | undefined }
  | { sheet: 'station'; station?: StationRow; place_id: string }
  | { sheet: 'walk' }
  | { sheet: 'settings' };

export default function Plot() {
  const facts = usePlotFacts();
  const data = useLive(load, ['place', 'station']);
  const [open, setOpen] = useState<Open | undefined>(undefined);
  const [editing, setEditing] = useState<{ place_id?: string | undefined } | undefined>(undefined);
  if (!facts || !data) return <div class="page" aria-busy="true" />;
  if (!facts.plot) return <NoPlot title={t('plot.title')} />;
  const close = () => setOpen(undefined);
  const sheet = open && <OpenSheet open={open} data={data} facts={facts} onClose={close} />;
  if (editing) {
    return (
      <div class="page page-wide">
        <Editor
          data={data}
          facts={facts}
          first={editing.place_id}
          onOpen={setOpen}
          onDone={() => setEditing(undefined)}
        />
        {sheet}
      </div>
    );
  }
  return (
    <div class="page page-wide">
      <PageHeader
        title={facts.plot.body.name ?? t('plot.title')}
        under={facts.plot.body.invented ? t('plot.invented') : undefined}
        aside={
          mayRecord(facts) && (
            <IconButton
              icon="edit"
              label={t('plot.settings')}
              onClick={() => setOpen({ sheet: 'settings' })}
            />
          )
        }
      />
      <Sides data={data} facts={facts} onOpen={setOpen} onEdit={(place_id) => setEditing({ place_id })} />
      {sheet}
    </div>
  );
}

type SidesProps = {
  data: PlotData;
  facts: PlotFacts;
  onOpen: (open: Open) => void;
  onEdit: (placeId?: string) => void;
};

/** The map, and beside it (on a phone below) the list. */
function Sides({ data, facts, onOpen, onEdit }: SidesProps) {
  const [old, setOld] = useState(false);
  const today = localDay(new Date(), facts.time_zone);
  const places = data.places.filter((place) => old || !place.archived);
  const stations = data.stations.filter((station) => old || !isRetired(station, today));
  const hidden = data.places.length + data.stations.length > places.length + stations.length;
  const writes = mayRecord(facts);
  const bare = data.places.every((place) => place.archived);
  return (
    <div class={bare ? 'stack' : 'plot-sides'}>
      {bare ? (
        <EmptyState
          title={t('sketch.empty_title')}
          action={
            writes && (
              <Button kind="main" icon="plus" onClick={() => onEdit()}>
                {t('sketch.empty_go')}
              </Button>
            )
          }
        >
          {t(writes ? 'sketch.empty_text' : 'sketch.empty_reader')}
        </EmptyState>
      ) : (
        <div class="plot-side plot-side-map">
          <MapSide data={data} facts={facts} onOpen={onOpen} onEdit={onEdit} />
        </div>
      )}
      <div class="plot-side">
        {writes && (
          <div class="plot-acts">
            <Button icon="plus" onClick={() => onOpen({ sheet: 'place' })}>
              {t('plot.add_place')}
            </Button>
            <Button icon="plank" onClick={() => onOpen({ sheet: 'walk' })}>
              {t('plot.walk')}
            </Button>
          </div>
        )}
        <PlaceList places={places} stations={stations} today={today} onOpen={writes ? onOpen : undefined} />
        {(hidden || old) && (
          <Button kind="quiet" onClick={() => setOld(!old)}>
            {old ? t('plot.hide_old') : t('plot.show_old')}
          </Button>
        )}
      </div>
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

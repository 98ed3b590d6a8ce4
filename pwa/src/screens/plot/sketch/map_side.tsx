/** The sketch with its layers, its weeks and the sheet of a tapped place. */
import { useMemo, useState } from 'preact/hooks';
import { Button } from '../../../parts';
import { useLive } from '../../../storage';
import { t } from '../../../text';
import { localDay } from '../../forms/local_time';
import { mayRecord, type PlotFacts } from '../../forms/plot_facts';
import { useDraft } from '../../forms/use_draft';
import type { Open, PlaceRow, PlotData, StationRow } from '../index';
import { isRetired } from '../model';
import { BedSheet } from './bed_sheet';
import { boundsOf, shapesOf, spotsOf } from './ground';
import { LayerPick, Legend, WeekSlider, ZoomButtons } from './layer_bar';
import { loadWeek, loadYears } from './load';
import { MapView } from './map_view';
import type { Layer } from './scales';
import { useViewport } from './use_viewport';
import { firstDay, marksOf, weekFacts } from './week_facts';
import { grownCrops } from './week_ground';
import { newestWith, weeksBetween } from './weeks';
import './spots.css';
import './style.css';
import './layers.css';

type Props = {
  data: PlotData;
  facts: PlotFacts;
  onOpen: (open: Open) => void;
  onEdit: (placeId?: string) => void;
};

export function MapSide({ data, facts, onOpen, onEdit }: Props) {
  const today = localDay(new Date(), facts.time_zone);
  const kept = useDraft<{ layer: Layer }>('sketch_layer', { layer: 'slugs' });
  const { layer } = kept.value;
  const [tapped, setTapped] = useState<string>();
  const places = data.places.filter((place) => !place.archived);
  const shapes = useMemo(() => shapesOf<PlaceRow>(places), [data]);
  const spots = useMemo(
    () =>
      spotsOf<StationRow>(
        shapes,
        data.stations.filter((station) => !isRetired(station, today)),
      ),
    [data],
  );
  const viewport = useViewport(useMemo(() => boundsOf(shapes, spots), [shapes, spots]));
  const weekly = useWeek(data, facts, today);
  const marks = useMemo(
    () =>
      marksOf(
        layer,
        places.map((place) => place.id),
        weekly.facts,
        facts.unit,
      ),
    [layer, data, weekly.facts, facts.unit],
  );
  const writes = mayRecord(facts);
  const loose = shapes.filter((shape) => !shape.placed).length;
  const open = shapes.find((shape) => shape.place.id === tapped);
  const flagged = [...marks.values()].some((mark) => mark.flagged);
  return (
    <>
      <LayerPick layer={layer} onPick={(next) => kept.change({ layer: next })} />
      <MapView
        shapes={shapes}
        spots={spots}
        marks={marks}
        layer={layer}
        week={weekly.week?.from}
        north={facts.plot?.body.north_deg ?? 0}
        viewport={viewport}
        onPlace={setTapped}
        onStation={(id) => {
          if (!writes) return;
          const station = data.stations.find((one) => one.id === id);
          if (station) onOpen({ sheet: 'station', station, place_id: station.place_id ?? '' });
        }}
      />
      <WeekSlider weeks={weekly.weeks} at={weekly.at} today={today} onMove={weekly.move} />
      <div class="sketch-tools">
        <ZoomButtons
          onIn={viewport.zoomIn}
          onOut={viewport.zoomOut}
          onAll={viewport.showAll}
          isWhole={viewport.isWhole}
        />
        {writes && (
          <Button icon="edit" onClick={() => onEdit()}>
            {t('sketch.edit')}
          </Button>
        )}
      </div>
      <Legend layer={layer} unit={facts.unit} flagged={flagged} />
      {layer === 'slugs' && weekly.n_rounds === 0 && <p class="soft">{t('sketch.no_rounds')}</p>}
      {loose > 0 && <p class="soft small">{t('sketch.loose_note', { n: loose })}</p>}
      {open && weekly.facts && weekly.week && (
        <BedSheet
          shape={open}
          facts={weekly.facts}
          crops={weekly.crops}
          week={weekly.week}
          today={today}
          unit={facts.unit}
          acts={
            writes && {
              edit: () => {
                setTapped(undefined);
                onOpen({ sheet: 'place', place: data.places.find((place) => place.id === open.place.id) });
              },
              move: () => onEdit(open.place.id),
            }
          }
          onClose={() => setTapped(undefined)}
        />
      )}
    </>
  );
}

/** The chosen week: the newest with a round until somebody moves the slider. */
function useWeek(data: PlotData, facts: PlotFacts, today: string) {
  const zone = facts.time_zone;
  const years = useLive(() => loadYears(zone), ['round', 'treatment', 'crop', 'crop_event'], [zone]);
  const [chosen, setChosen] = useState<string>();
  const crops = useMemo(() => (years ? grownCrops(years.crops, years.events) : []), [years]);
  const weeks = useMemo(() => weeksBetween(years && firstDay(years, crops), today), [years, today]);
  const found = weeks.findIndex((week) => week.from === chosen);
  const at = found >= 0 ? found : newestWith(weeks, years?.rounds.map((round) => round.day) ?? []);
  const week = weeks[at];
  const records = useLive(
    async () => (years && week ? await loadWeek(week, years.rounds) : undefined),
    ['slug_count', 'temperature', 'trap_catch'],
    [years, week?.from],
  );
  return {
    weeks,
    at,
    crops,
    // What is printed on the beds is of the week that was read, also while the next one is still being read.
    week: records?.week,
    n_rounds: records?.rounds.length,
    move: (to: number) => setChosen(weeks[to]?.from),
    facts: useMemo(
      () => (records && years ? weekFacts(records, years, crops, data.stations, zone) : undefined),
      [records, years, data],
    ),
  };
}

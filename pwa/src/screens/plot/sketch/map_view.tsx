/** The sketch to look at: tap a place for its numbers. */
import { t } from '../../../text';
import { coversOf } from './covers';
import { Bed, BedWords, Ground, North, ScaleBar, StationMark } from './drawing';
import { rectangleOf } from './geometry';
import { placeAt, type Shape, type Spot, stationAt } from './ground';
import type { Mark } from './marks';
import type { Layer } from './scales';
import { useFingers } from './use_fingers';
import type { ViewportHandle } from './use_viewport';
import { toGround } from './viewport';

type Props = {
  shapes: readonly Shape[];
  spots: readonly Spot[];
  marks: ReadonlyMap<string, Mark>;
  layer: Layer;
  north: number;
  /** Monday of the week that the numbers are of; none while nothing was read. */
  week: string | undefined;
  viewport: ViewportHandle;
  onPlace: (id: string) => void;
  onStation: (id: string) => void;
};

/** Which stations belong to a layer: the rest would only hide the numbers. */
const STATIONS: Record<Layer, (kind: string, exposure: string | undefined) => boolean> = {
  slugs: (kind) => kind === 'slug_board',
  wireworm: (kind) => kind === 'bait_trap',
  soil: (kind, exposure) => kind === 'thermometer' && exposure === 'soil',
  treatments: () => false,
  crops: () => false,
};
/** How near a finger has to come, CSS pixels. */
const REACH = 20;

export function MapView({ shapes, spots, marks, layer, north, week, viewport, onPlace, onStation }: Props) {
  const { view } = viewport;
  const shown = spots.filter(({ station }) => STATIONS[layer](station.kind ?? '', station.exposure));
  const numberOf = (spot: Spot) => (view && view.scale >= 40 ? shortLabel(spot) : undefined);
  const things = view
    ? shown.flatMap((spot) => coversOf(spot, view, turnOf(shapes, spot), numberOf(spot)))
    : [];
  const fingers = useFingers({
    onTap: (at) => {
      if (!view) return;
      const point = toGround(view, at);
      // Close up a station can be meant; from far away the bed is.
      const station = view.scale >= 40 ? stationAt(shown, point, REACH / view.scale) : undefined;
      const place = placeAt(shapes, point, REACH / view.scale);
      if (station) onStation(station.station.id);
      else if (place) onPlace(place.place.id);
    },
    onPan: (dx, dy) => viewport.isWhole || viewport.pan(dx, dy),
    onPinch: viewport.pinch,
    onWheel: viewport.wheel,
  });
  const enter = (act: () => void) => (event: KeyboardEvent) => {
    if (event.key !== 'Enter' && event.key !== ' ') return;
    event.preventDefault();
    act();
  };
  return (
    <div
      ref={viewport.ref}
      class={`sketch ${viewport.isWhole ? 'sketch-whole' : 'sketch-near'}`}
      data-week={week}
    >
      {view && (
        // biome-ignore lint/a11y/useSemanticElements: a drawing with several things to press is a group
        <svg
          class="sketch-sheet"
          viewBox={`0 0 ${view.width} ${view.height}`}
          role="group"
          aria-label={t('sketch.label')}
          {...fingers}
        >
          <Ground view={view} grid={false} />
          {shapes.map((shape) => (
            <Bed
              key={shape.place.id}
              shape={shape}
              view={view}
              mark={marks.get(shape.place.id)}
              label={bedLabel(shape, marks.get(shape.place.id))}
              onKey={enter(() => onPlace(shape.place.id))}
            />
          ))}
          {shown.map((spot) => (
            <StationMark
              key={spot.station.id}
              spot={spot}
              view={view}
              turn={turnOf(shapes, spot)}
              number={numberOf(spot)}
              label={spot.station.label ?? ''}
              onKey={enter(() => onStation(spot.station.id))}
            />
          ))}
          {shapes.map((shape) => (
            <BedWords
              key={shape.place.id}
              shape={shape}
              view={view}
              mark={marks.get(shape.place.id)}
              things={things}
            />
          ))}
          <ScaleBar view={view} />
          <North view={view} degrees={north} />
        </svg>
      )}
    </div>
  );
}

export function bedLabel(shape: Shape, mark: Mark | undefined): string {
  const name = shape.place.label ?? '';
  const loose = shape.placed ? '' : t('sketch.not_placed');
  // What is said of it may be whole sentences already.
  const parts = [name, mark?.words.replace(/\.$/, ''), loose];
  return parts.filter(Boolean).join('. ');
}

/** Boards lie across their bed. */
export function turnOf(shapes: readonly Shape[], spot: Spot): number {
  const shape = shapes.find((one) => one.place.id === spot.station.place_id);
  const rectangle = shape && rectangleOf(shape.corners);
  if (!rectangle) return 0;
  return rectangle.across > rectangle.along ? rectangle.turn + 90 : rectangle.turn;
}

/** "7" of "Board 7": the name is on the plank itself. */
export function shortLabel({ station }: Spot): string {
  const label = station.label ?? '';
  return /(\d+)$/.exec(label)?.[1] ?? label.slice(0, 8);
}

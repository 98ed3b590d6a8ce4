/** The sketch to work on: tap chooses, a finger on what is chosen drags it, handles turn and stretch it. */
import { useRef } from 'preact/hooks';
import { t } from '../../../text';
import { coversOf } from './covers';
import { Bed, BedWords, Ground, North, ScaleBar, StationMark } from './drawing';
import { type Corner, middleOf, stretchedTo, TURN_STEP } from './geometry';
import {
  exactRectangle,
  hasSize,
  moveShape,
  resizeFields,
  spotFields,
  spotOnGrid,
  turnShape,
} from './gestures';
import { placeAt, type Shape, type SketchStation, type Spot, stationAt } from './ground';
import { type Handle, handleAt, handlesOf, turnBetween } from './handles';
import { bedLabel, shortLabel, turnOf } from './map_view';
import { movedGhost, movedStep, sizedStep } from './steps';
import type { Fields, Step } from './undo';
import { useFingers } from './use_fingers';
import type { ViewportHandle } from './use_viewport';
import { toGround, toScreen, type Viewport } from './viewport';

export type Chosen = { type: 'place' | 'station'; id: string };
type Props = {
  shapes: readonly Shape[];
  spots: readonly Spot[];
  stations: readonly SketchStation[];
  north: number;
  viewport: ViewportHandle;
  chosen: Chosen | undefined;
  /** The walk so far, by board id: drawn as a path, and as numbers on the boards. */
  walk: readonly string[] | undefined;
  onTap: (at: Corner, place: Shape | undefined, spot: Spot | undefined) => void;
  onHold: (ghost: ReadonlyMap<string, Fields>) => void;
  onCancel: () => void;
  onStep: (step: Step) => void;
  onSpot: (spot: Spot, at: Corner) => void;
  onUnsized: (shape: Shape) => void;
  onKey: (event: KeyboardEvent, chosen: Chosen) => void;
  onKeyUp: () => void;
};

type Grip =
  | { kind: 'move' | 'turn' | 'size'; shape: Shape; view: Viewport }
  | { kind: 'station'; spot: Spot; view: Viewport };
const REACH = 24;
const ON_IT = 12;

export function EditorMap(props: Props) {
  const { shapes, spots, viewport, chosen } = props;
  const { view } = viewport;
  const grip = useRef<Grip | undefined>(undefined);
  const shape = chosen?.type === 'place' ? shapes.find((one) => one.place.id === chosen.id) : undefined;
  const spot = chosen?.type === 'station' ? spots.find((one) => one.station.id === chosen.id) : undefined;
  const things = view
    ? spots.flatMap((one) => coversOf(one, view, turnOf(shapes, one), numberOn(one, props.walk, view)))
    : [];
  const handles =
    view && shape?.placed && !props.walk
      ? handlesOf(
          shape.corners.map((corner) => toScreen(view, corner)),
          view,
        )
      : [];
  const fingers = useFingers({
    onTap: (at) => {
      if (!view) return;
      const point = toGround(view, at);
      const near = (pixels: number) => stationAt(spots, point, pixels / view.scale);
      const place = placeAt(shapes, point);
      // On a bed only the station itself is meant; beside all beds the nearest thing is.
      const station = near(place && !props.walk ? ON_IT : REACH);
      props.onTap(point, place ?? placeAt(shapes, point, REACH / view.scale), station);
    },
    grab: (at) => {
      grip.current = view && !props.walk ? gripAt(at, view, handles, shape, spot) : undefined;
      const taken = grip.current;
      if (taken && taken.kind !== 'station' && !hasSize(taken.shape.place)) {
        grip.current = undefined;
        props.onUnsized(taken.shape);
      }
      return grip.current !== undefined;
    },
    onDrag: (from, to) => {
      if (grip.current) props.onHold(ghostOf(grip.current, from, to, spots));
    },
    onDrop: (from, to) => {
      const held = grip.current;
      grip.current = undefined;
      if (held?.kind === 'station') props.onSpot(held.spot, toGround(held.view, shifted(held, from, to)));
      else if (held) props.onStep(stepOf(held, from, to, spots, props.stations));
    },
    onCancel: props.onCancel,
    onPan: viewport.pan,
    onPinch: viewport.pinch,
    onWheel: viewport.wheel,
  });
  return (
    <div ref={viewport.ref} class="sketch sketch-work">
      {view && (
        // biome-ignore lint/a11y/useSemanticElements: a drawing with several things to press is a group
        <svg
          class="sketch-sheet"
          viewBox={`0 0 ${view.width} ${view.height}`}
          role="group"
          aria-label={t('sketch_editor.label')}
          {...fingers}
        >
          <Ground view={view} grid />
          {shapes.map((one) => {
            const id: Chosen = { type: 'place', id: one.place.id };
            return (
              <Bed
                key={one.place.id}
                shape={one}
                view={view}
                mark={undefined}
                chosen={one === shape}
                label={bedLabel(one, undefined)}
                onKey={(event) => props.onKey(event, id)}
                onKeyUp={props.onKeyUp}
              />
            );
          })}
          {props.walk && <WalkPath walk={props.walk} spots={spots} view={view} />}
          {spots.map((one) => {
            const id: Chosen = { type: 'station', id: one.station.id };
            return (
              <StationMark
                key={one.station.id}
                spot={one}
                view={view}
                turn={turnOf(shapes, one)}
                number={numberOn(one, props.walk, view)}
                chosen={one === spot}
                label={one.station.label ?? ''}
                onKey={(event) => props.onKey(event, id)}
                onKeyUp={props.onKeyUp}
              />
            );
          })}
          {shapes.map((one) => (
            <BedWords key={one.place.id} shape={one} view={view} mark={undefined} things={things} />
          ))}
          {handles.map((handle) => (
            <HandleMark key={handle.kind} handle={handle} />
          ))}
          <ScaleBar view={view} />
          <North view={view} degrees={props.north} />
        </svg>
      )}
    </div>
  );
}

function numberOn(spot: Spot, walk: readonly string[] | undefined, view: Viewport): string | undefined {
  if (walk) {
    const at = walk.indexOf(spot.station.id);
    return at >= 0 ? String(at + 1) : undefined;
  }
  return view.scale >= 40 ? shortLabel(spot) : undefined;
}

/** Only what is chosen can be dragged: a thumb that pushes the ground never takes a bed along by mistake. */
function gripAt(
  at: Corner,
  view: Viewport,
  handles: readonly Handle[],
  shape: Shape | undefined,
  spot: Spot | undefined,
): Grip | undefined {
  const handle = handleAt(handles, at);
  if (handle && shape) return { kind: handle.kind, shape, view };
  if (spot) {
    const [x, y] = toScreen(view, spot.at);
    return Math.hypot(x - at[0], y - at[1]) <= REACH + 4 ? { kind: 'station', spot, view } : undefined;
  }
  if (!shape) return undefined;
  const near = placeAt([shape], toGround(view, at), 16 / view.scale);
  return near ? { kind: 'move', shape, view } : undefined;
}

/** Where the middle of a held station is now, on the screen: the finger hides the spot itself. */
function shifted(grip: Extract<Grip, { kind: 'station' }>, from: Corner, to: Corner): Corner {
  const [x, y] = toScreen(grip.view, grip.spot.at);
  return [x + to[0] - from[0], y + to[1] - from[1]];
}

type ShapeGrip = Exclude<Grip, { kind: 'station' }>;

function movedBy({ kind, shape, view }: ShapeGrip, from: Corner, to: Corner, spots: readonly Spot[]) {
  if (kind === 'move') {
    return moveShape(shape, spots, (to[0] - from[0]) / view.scale, (to[1] - from[1]) / view.scale);
  }
  const exact = exactRectangle(shape);
  const degrees = turnBetween(toScreen(view, middleOf(shape.corners)), from, to);
  const start = exact?.turn ?? 0;
  return turnShape(shape, spots, Math.round((start + degrees) / TURN_STEP) * TURN_STEP - start);
}

/** The far corner follows the finger, less the stalk between the two. */
function sizedBy({ shape, view }: ShapeGrip, from: Corner, to: Corner) {
  const rectangle = exactRectangle(shape);
  const corner = shape.corners[2];
  if (!rectangle || !corner) return undefined;
  return stretchedTo(rectangle, [
    corner[0] + (to[0] - from[0]) / view.scale,
    corner[1] + (to[1] - from[1]) / view.scale,
  ]);
}

function ghostOf(grip: Grip, from: Corner, to: Corner, spots: readonly Spot[]): Map<string, Fields> {
  if (grip.kind === 'station') {
    const at = spotOnGrid(toGround(grip.view, shifted(grip, from, to)));
    return new Map([[grip.spot.station.id, spotFields(at)]]);
  }
  if (grip.kind !== 'size') return movedGhost(grip.shape, movedBy(grip, from, to, spots));
  const before = exactRectangle(grip.shape);
  const after = sizedBy(grip, from, to);
  if (!before || !after) return new Map();
  return new Map([[grip.shape.place.id, resizeFields(grip.shape.place, before, after)]]);
}

function stepOf(
  grip: ShapeGrip,
  from: Corner,
  to: Corner,
  spots: readonly Spot[],
  stations: readonly SketchStation[],
): Step {
  if (grip.kind !== 'size') return movedStep(grip.kind, grip.shape, movedBy(grip, from, to, spots), stations);
  const after = sizedBy(grip, from, to);
  return after ? sizedStep(grip.shape, after) : { what: '', changes: [] };
}

function HandleMark({ handle }: { handle: Handle }) {
  const [x, y] = handle.at;
  return (
    <g class={`handle handle-${handle.kind}`}>
      <path class="handle-stalk" d={`M${handle.foot.join(' ')}L${x} ${y}`} />
      <circle class="handle-knob" cx={x} cy={y} r="15" />
      <path
        class="handle-sign"
        transform={`translate(${x} ${y})`}
        d={
          handle.kind === 'turn'
            ? 'M-6 3a7 7 0 1 1 4 4M-6 3l-2 -5M-6 3l5 -1'
            : 'M-6 -6l12 12M6 1v5h-5M-6 -1v-5h5'
        }
      />
    </g>
  );
}

function WalkPath({
  walk,
  spots,
  view,
}: {
  walk: readonly string[];
  spots: readonly Spot[];
  view: Viewport;
}) {
  const at = new Map(spots.map((spot) => [spot.station.id, toScreen(view, spot.at)]));
  const points = walk.flatMap((id) => {
    const point = at.get(id);
    return point ? [point] : [];
  });
  if (points.length < 2) return null;
  return <polyline class="walk-path" points={points.map((point) => point.join()).join(' ')} />;
}

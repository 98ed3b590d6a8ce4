/** The keyboard on the sketch: arrows move, comma and full stop turn, Delete takes away, Ctrl+Z undoes. */
import { useRef } from 'preact/hooks';
import type { Chosen } from './editor_map';
import { GRID_M, TURN_STEP } from './geometry';
import { hasSize, moveShape, spotFields, spotOnGrid, turnShape } from './gestures';
import type { Shape, SketchStation, Spot } from './ground';
import { movedGhost, movedStep } from './steps';
import type { Acts } from './use_acts';
import type { Work } from './use_work';

type Around = {
  work: Work;
  shapes: readonly Shape[];
  spots: readonly Spot[];
  stations: readonly SketchStation[];
  acts: Acts;
  choose: (chosen: Chosen | undefined) => void;
};
type Nudge = { shape?: Shape; spot?: Spot; spots: readonly Spot[]; dx: number; dy: number; turn: number };

const ARROWS: Record<string, [dx: number, dy: number]> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};
const TURNS: Record<string, number> = { ',': -TURN_STEP, '.': TURN_STEP };

export function useKeys({ work, shapes, spots, stations, acts, choose }: Around) {
  /** A key held down is one gesture: it is saved when the key comes up. */
  const nudge = useRef<Nudge | undefined>(undefined);

  const begin = (at: Chosen): Nudge | undefined => {
    if (nudge.current) return nudge.current;
    const start = { spots, dx: 0, dy: 0, turn: 0 };
    if (at.type === 'station') {
      const spot = spots.find((one) => one.station.id === at.id);
      return spot && { ...start, spot };
    }
    const shape = shapes.find((one) => one.place.id === at.id);
    return shape && hasSize(shape.place) ? { ...start, shape } : undefined;
  };
  const show = (now: Nudge): void => {
    if (now.spot) {
      const [x, y] = now.spot.at;
      work.hold(new Map([[now.spot.station.id, spotFields(spotOnGrid([x + now.dx, y + now.dy]))]]));
    } else if (now.shape) work.hold(movedGhost(now.shape, nudged(now, now.shape)));
  };
  const release = (): void => {
    const now = nudge.current;
    nudge.current = undefined;
    if (!now) return;
    if (now.spot) void acts.spot(now.spot, [now.spot.at[0] + now.dx, now.spot.at[1] + now.dy]);
    else if (now.shape) {
      const way = now.turn === 0 ? 'move' : 'turn';
      void work.act(movedStep(way, now.shape, nudged(now, now.shape), stations));
    }
  };
  const onItem = (event: KeyboardEvent, at: Chosen, press: () => void): void => {
    const arrow = ARROWS[event.key];
    const turn = TURNS[event.key];
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === 'Enter' || event.key === ' ') press();
    else if (event.key === 'Delete') away(at);
    else if (event.key === 'Escape') choose(undefined);
    else if (arrow || (turn !== undefined && at.type === 'place')) {
      const now = begin(at);
      if (!now) return;
      choose(at);
      const far = event.shiftKey ? 1 : GRID_M;
      nudge.current = {
        ...now,
        dx: now.dx + (arrow?.[0] ?? 0) * far,
        dy: now.dy + (arrow?.[1] ?? 0) * far,
        turn: now.turn + (arrow ? 0 : (turn ?? 0)),
      };
      show(nudge.current);
    } else return;
    event.preventDefault();
  };
  const away = (at: Chosen): void => {
    const shape = shapes.find((one) => at.type === 'place' && one.place.id === at.id);
    const spot = spots.find((one) => at.type === 'station' && one.station.id === at.id);
    if (shape) void acts.placeAway(shape);
    if (spot) void acts.stationAway(spot);
  };
  const anywhere = (event: KeyboardEvent): void => {
    if (!(event.ctrlKey || event.metaKey) || event.target instanceof HTMLInputElement) return;
    const key = event.key.toLowerCase();
    const again = key === 'y' || (key === 'z' && event.shiftKey);
    if (!again && key !== 'z') return;
    event.preventDefault();
    void (again ? work.redo() : work.undo());
  };
  return { onItem, release, anywhere };
}

function nudged({ spots, dx, dy, turn }: Nudge, shape: Shape) {
  return turn === 0 ? moveShape(shape, spots, dx, dy) : turnShape(shape, spots, turn);
}

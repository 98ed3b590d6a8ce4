/**
 * Where everything lies: places with an outline as drawn, the rest laid out beside them; stations on their spot,
 * or spread along their place until somebody puts them somewhere. Pure.
 */
import { inWalkingOrder, type Place, type Station } from '../model';
import {
  type Box,
  boxOf,
  type Corner,
  cornersOf,
  distanceTo,
  isInside,
  middleOf,
  type Outline,
  outlineAreaM2,
  overlaps,
  rectangleOf,
  snapped,
} from './geometry';

export type SketchPlace = Place;
export type SketchStation = Station;
export interface Shape<P extends SketchPlace = SketchPlace> {
  place: P;
  corners: Corner[];
  /** False: nobody has said where it lies; it is shown beside the others. */
  placed: boolean;
}
export interface Spot<S extends SketchStation = SketchStation> {
  station: S;
  at: Corner;
  placed: boolean;
}

/** Shown so large while nobody knows the size. Our choice, no source. */
const UNKNOWN_SIZE: Record<string, Corner> = {
  bed: [3, 1.2],
  tunnel: [6, 3],
  frame: [1.8, 0.9],
  open_ground: [6, 4],
  path: [5, 0.6],
  store: [2.4, 1.8],
};
const GAP_M = 0.8;
/** Unplaced places stand in columns about this high. */
const COLUMN_M = 14;

export function isDrawn(place: SketchPlace): boolean {
  return (place.outline?.length ?? 0) >= 3 && outlineAreaM2(place.outline ?? []) > 0;
}

export function sizeOf(place: SketchPlace): Corner {
  const [length, width] = UNKNOWN_SIZE[place.kind ?? 'bed'] ?? [3, 1.2];
  return [place.length_m || length, place.width_m || width];
}

/** Drawn places first, then the rest in columns to the right of them. */
export function shapesOf<P extends SketchPlace>(places: readonly P[]): Shape<P>[] {
  const drawn = places.filter(isDrawn).map((place): Shape<P> => {
    return { place, corners: (place.outline ?? []).map(([x, y]) => [x, y]), placed: true };
  });
  const edge = drawn.length > 0 ? boxOf(drawn.flatMap((shape) => shape.corners)) : undefined;
  let [left, top, widest] = [edge ? snapped(edge.right + 2 * GAP_M) : 0, edge?.top ?? 0, 0];
  const start = top;
  const height = Math.max(COLUMN_M, edge ? edge.bottom - edge.top : 0);
  const beside = places
    .filter((place) => !isDrawn(place))
    .map((place): Shape<P> => {
      const [across, along] = sizeOf(place);
      if (top > start && top + along > start + height) {
        [left, top, widest] = [left + widest + GAP_M, start, 0];
      }
      const corners = cornersOf({ x: left + across / 2, y: top + along / 2, across, along, turn: 0 });
      [top, widest] = [top + along + GAP_M, Math.max(widest, across)];
      return { place, corners, placed: false };
    });
  return [...drawn, ...beside];
}

/** Stations of shown places, and those that stand somewhere of their own. */
export function spotsOf<S extends SketchStation>(
  shapes: readonly Shape[],
  stations: readonly S[],
): Spot<S>[] {
  const shapeOf = new Map(shapes.map((shape) => [shape.place.id, shape]));
  const loose = new Map<string, S[]>();
  const spots: Spot<S>[] = [];
  for (const station of inWalkingOrder(stations)) {
    const shape = shapeOf.get(station.place_id ?? '');
    if (station.x_m !== undefined && station.y_m !== undefined && (shape?.placed ?? true)) {
      spots.push({ station, at: [station.x_m, station.y_m], placed: true });
    } else if (shape) {
      loose.set(shape.place.id, [...(loose.get(shape.place.id) ?? []), station]);
    }
  }
  for (const [id, group] of loose) {
    const corners = shapeOf.get(id)?.corners ?? [];
    group.forEach((station, i) => {
      spots.push({ station, at: spreadSpot(corners, (i + 0.5) / group.length), placed: false });
    });
  }
  return spots;
}

/** A point on the long middle line of a place; `share` from 0 to 1. */
export function spreadSpot(corners: Outline, share: number): Corner {
  const [a, b, c, d] = corners;
  if (!a || !b || !c || !d || !rectangleOf(corners)) return middleOf(corners);
  const mid = (p: Corner, q: Corner): Corner => [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2];
  const wide = Math.hypot(b[0] - a[0], b[1] - a[1]) > Math.hypot(c[0] - b[0], c[1] - b[1]);
  const [from, to] = wide ? [mid(a, d), mid(b, c)] : [mid(a, b), mid(d, c)];
  return [from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1])];
}

export function boundsOf(shapes: readonly Shape[], spots: readonly Spot[]): Box {
  const points = [...shapes.flatMap((shape) => shape.corners), ...spots.map((spot) => spot.at)];
  return points.length > 0 ? boxOf(points) : { left: 0, top: 0, right: 10, bottom: 8 };
}

/** The place under a point: the smallest that holds it, else the nearest within `slop` metres. */
export function placeAt<P extends SketchPlace>(
  shapes: readonly Shape<P>[],
  point: Corner,
  slop = 0,
): Shape<P> | undefined {
  const holding = shapes
    .filter((shape) => isInside(point, shape.corners))
    .sort((a, b) => outlineAreaM2(a.corners) - outlineAreaM2(b.corners));
  if (holding[0] || slop <= 0) return holding[0];
  return nearest(shapes, (shape) => distanceTo(point, shape.corners), slop);
}

export function stationAt<S extends SketchStation>(
  spots: readonly Spot<S>[],
  [x, y]: Corner,
  slop: number,
): Spot<S> | undefined {
  return nearest(spots, ({ at }) => Math.hypot(at[0] - x, at[1] - y), slop);
}

function nearest<T>(items: readonly T[], distance: (item: T) => number, slop: number): T | undefined {
  let best: { item: T; far: number } | undefined;
  for (const item of items) {
    const far = distance(item);
    if (far <= slop && far < (best?.far ?? Number.POSITIVE_INFINITY)) best = { item, far };
  }
  return best?.item;
}

/** The free spot nearest to the middle of `within` for a new bed; beside everything when there is none. */
export function freeSpot(shapes: readonly Shape[], [across, along]: Corner, within: Box): Corner {
  const taken = shapes.map((shape) => boxOf(shape.corners));
  const [mx, my] = [(within.left + within.right - across) / 2, (within.top + within.bottom - along) / 2];
  const steps: Corner[] = [];
  for (let x = Math.ceil(within.left * 2) / 2; x + across <= within.right; x += 0.5) {
    for (let y = Math.ceil(within.top * 2) / 2; y + along <= within.bottom; y += 0.5) steps.push([x, y]);
  }
  const found = steps
    .sort((a, b) => Math.hypot(a[0] - mx, a[1] - my) - Math.hypot(b[0] - mx, b[1] - my))
    .find(([x, y]) => {
      const box = { left: x, top: y, right: x + across, bottom: y + along };
      return !taken.some((other) => overlaps(box, other, 0.3));
    });
  if (found) return found;
  const edge = boundsOf(shapes, []);
  return [snapped(edge.right + GAP_M), snapped(edge.top)];
}

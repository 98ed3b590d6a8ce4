/** What a finished gesture writes: fields of the place, and of the stations that stand in it and go with it. Pure. */
import {
  type Corner,
  cornersOf,
  middleOf,
  movedOnGrid,
  type Outline,
  type Rectangle,
  rectangleOf,
  resized,
  snapped,
  toMillimetre,
  turnedAbout,
} from './geometry';
import { isDrawn, type Shape, type SketchPlace, type SketchStation, type Spot } from './ground';
import type { Fields } from './undo';

export interface Moved {
  corners: Corner[];
  /** Where the stations that stand in it come to stand, by id. */
  spots: Map<string, Corner>;
}

/** Nobody has said how large it is: drawing it would claim a size. */
export function hasSize(place: SketchPlace): boolean {
  return isDrawn(place) || (Boolean(place.length_m) && Boolean(place.width_m));
}

/** Only stations that somebody put on a spot go along; the others are spread along their place anyway. */
function riders(shape: Shape, spots: readonly Spot[]): Spot[] {
  return spots.filter((spot) => spot.placed && spot.station.place_id === shape.place.id);
}

export function moveShape(shape: Shape, spots: readonly Spot[], dx: number, dy: number): Moved {
  const { corners, by } = movedOnGrid(shape.corners, dx, dy);
  return {
    corners,
    spots: new Map(
      riders(shape, spots).map(({ station, at }) => [
        station.id,
        [toMillimetre(at[0] + by[0]), toMillimetre(at[1] + by[1])],
      ]),
    ),
  };
}

/** Turned about its middle by so many degrees; a rectangle is drawn anew from its sides, so that it stays one. */
export function turnShape(shape: Shape, spots: readonly Spot[], degrees: number): Moved {
  const rectangle = exactRectangle(shape);
  const centre: Corner = rectangle ? [rectangle.x, rectangle.y] : middleOf(shape.corners);
  const corners = rectangle
    ? cornersOf({ ...rectangle, turn: rectangle.turn + degrees })
    : turnedAbout(shape.corners, centre, degrees);
  const turned = (at: Corner): Corner => turnedAbout([at], centre, degrees)[0] ?? at;
  return {
    corners,
    spots: new Map(riders(shape, spots).map(({ station, at }) => [station.id, turned(at)])),
  };
}

/** The rectangle with the sides that the record says, where rounded corners are within a centimetre or two of them. */
export function exactRectangle(shape: Shape): Rectangle | undefined {
  const rectangle = rectangleOf(shape.corners);
  if (!rectangle) return undefined;
  const told = [shape.place.length_m, shape.place.width_m];
  const near = (side: number) => told.find((size) => size !== undefined && Math.abs(size - side) < 0.02);
  return {
    ...rectangle,
    across: near(rectangle.across) ?? rectangle.across,
    along: near(rectangle.along) ?? rectangle.along,
  };
}

/** Whether the length that people speak of runs across the page of an unturned bed. */
export function lengthIsAcross(place: SketchPlace, { across, along }: Rectangle): boolean {
  if (place.length_m === undefined) return across >= along;
  return Math.abs(place.length_m - across) <= Math.abs(place.length_m - along);
}

/** Length, width and outline of a place that has been given other sides. */
export function resizeFields(place: SketchPlace, before: Rectangle, after: Rectangle): Fields {
  const lengthAcross = lengthIsAcross(place, before);
  return {
    outline: cornersOf(after),
    length_m: lengthAcross ? after.across : after.along,
    width_m: lengthAcross ? after.along : after.across,
  };
}

/** A length or width typed in a form is drawn too, or the sketch would go on claiming the old one. */
export function sizeFollows(place: SketchPlace | undefined, set: Fields): Fields {
  const rectangle = rectangleOf(place?.outline);
  if (!place || !rectangle || !('length_m' in set || 'width_m' in set)) return set;
  const lengthAcross = lengthIsAcross(place, rectangle);
  const side = (typed: unknown, drawn: number) => (typeof typed === 'number' ? typed : drawn);
  const length = side(set.length_m, lengthAcross ? rectangle.across : rectangle.along);
  const width = side(set.width_m, lengthAcross ? rectangle.along : rectangle.across);
  const after = lengthAcross ? resized(rectangle, length, width) : resized(rectangle, width, length);
  return { ...set, outline: cornersOf(after) };
}

export function outlineFields(corners: Outline): Fields {
  return { outline: corners.map(([x, y]) => [x, y]) };
}

export function spotFields([x, y]: Corner): Fields {
  return { x_m: toMillimetre(x), y_m: toMillimetre(y) };
}

export function spotOnGrid([x, y]: Corner): Corner {
  return [snapped(x), snapped(y)];
}

export type Drop =
  | { kind: 'here' }
  /** In another place than its own: its records speak of the old one. */
  | { kind: 'other_place'; place_id: string };

/** Where a station was let go: in its own place or outside of all is simply a spot. */
export function dropOf(station: SketchStation, under: Shape | undefined): Drop {
  if (!under || under.place.id === station.place_id) return { kind: 'here' };
  return { kind: 'other_place', place_id: under.place.id };
}

/** "Board 7" after "Board 6", whatever the boards here are called. */
export function nextLabel(labels: readonly string[], fallback: string): string {
  const numbered = labels.flatMap((label) => {
    const found = /^(.*?)(\d+)$/.exec(label.trim());
    return found ? [{ stem: found[1] ?? '', n: Number(found[2]) }] : [];
  });
  const stem = mostUsed(numbered.map((item) => item.stem)) ?? `${fallback} `;
  const most = Math.max(0, ...numbered.filter((item) => item.stem === stem).map((item) => item.n));
  return `${stem}${most + 1}`;
}

function mostUsed(stems: readonly string[]): string | undefined {
  const times = new Map<string, number>();
  for (const stem of stems) times.set(stem, (times.get(stem) ?? 0) + 1);
  return [...times].sort((a, b) => b[1] - a[1])[0]?.[0];
}

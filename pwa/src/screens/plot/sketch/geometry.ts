/**
 * Outlines on the sketch: metres, x to the right, y down the page. Pure.
 *
 * Everything that moves is snapped to 10 cm; corners of a turned bed are kept to the millimetre.
 */
export type Corner = readonly [x: number, y: number];
export type Outline = readonly Corner[];
export interface Box {
  left: number;
  top: number;
  right: number;
  bottom: number;
}
/** A bed with right angles. `across` runs along its own x axis, `along` at right angles; `turn` clockwise, degrees. */
export interface Rectangle {
  x: number;
  y: number;
  across: number;
  along: number;
  turn: number;
}

/** Ten centimetres. */
export const GRID_M = 0.1;
const GRIDS_A_METRE = 10;
export const TURN_STEP = 5;
/** Nothing smaller can be taken hold of again. */
export const SMALLEST_M = 0.2;
/** Corners that were rounded to the millimetre still make a rectangle. */
const LOOSE_M = 0.02;

export function snapped(metres: number): number {
  return Math.round(metres * GRIDS_A_METRE) / GRIDS_A_METRE;
}

export function toMillimetre(metres: number): number {
  return Math.round(metres * 1000) / 1000;
}

/** From 0 up to 180: a rectangle turned by half a turn is the same one. */
export function halfTurn(degrees: number): number {
  const rest = Math.round((((degrees % 180) + 180) % 180) * 10) / 10;
  return rest === 180 ? 0 : rest;
}

/**
 * Area inside an outline, m²: surveyor's formula (Braden 1986, The College Mathematics Journal 17(4), 326-337).
 * The same as the server's core/places.py; fixtures/sketch/outlines.json holds both to the same figures.
 */
export function outlineAreaM2(outline: Outline): number {
  const doubled = outline.reduce((sum, [x1, y1], i) => {
    const [x2, y2] = outline[(i + 1) % outline.length] ?? [x1, y1];
    return sum + x1 * y2 - x2 * y1;
  }, 0);
  return Math.abs(doubled) / 2;
}

export function boxOf(corners: Outline): Box {
  const xs = corners.map(([x]) => x);
  const ys = corners.map(([, y]) => y);
  return { left: Math.min(...xs), top: Math.min(...ys), right: Math.max(...xs), bottom: Math.max(...ys) };
}

export function middleOf(corners: Outline): Corner {
  const { left, top, right, bottom } = boxOf(corners);
  return [(left + right) / 2, (top + bottom) / 2];
}

export function isInside([x, y]: Corner, outline: Outline): boolean {
  let inside = false;
  outline.forEach(([x1, y1], i) => {
    const [x2, y2] = outline[(i + 1) % outline.length] ?? [x1, y1];
    if (y1 > y !== y2 > y && x < ((x2 - x1) * (y - y1)) / (y2 - y1) + x1) inside = !inside;
  });
  return inside;
}

/** How far a point lies from an outline, metres; 0 inside. */
export function distanceTo(point: Corner, outline: Outline): number {
  if (isInside(point, outline)) return 0;
  return Math.min(
    ...outline.map((from, i) => toSegment(point, from, outline[(i + 1) % outline.length] ?? from)),
  );
}

function toSegment([x, y]: Corner, [x1, y1]: Corner, [x2, y2]: Corner): number {
  const length = (x2 - x1) ** 2 + (y2 - y1) ** 2;
  const share = length === 0 ? 0 : ((x - x1) * (x2 - x1) + (y - y1) * (y2 - y1)) / length;
  const held = Math.min(1, Math.max(0, share));
  return Math.hypot(x - x1 - held * (x2 - x1), y - y1 - held * (y2 - y1));
}

export function moved(corners: Outline, dx: number, dy: number): Corner[] {
  return corners.map(([x, y]) => [toMillimetre(x + dx), toMillimetre(y + dy)]);
}

/** Moved so that its left and top edges lie on the grid. */
export function movedOnGrid(corners: Outline, dx: number, dy: number): { corners: Corner[]; by: Corner } {
  const { left, top } = boxOf(corners);
  const by: Corner = [toMillimetre(snapped(left + dx) - left), toMillimetre(snapped(top + dy) - top)];
  return { corners: moved(corners, by[0], by[1]), by };
}

export function turnedAbout(points: Outline, [cx, cy]: Corner, degrees: number): Corner[] {
  const [cos, sin] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)];
  return points.map(([x, y]) => [
    toMillimetre(cx + (x - cx) * cos - (y - cy) * sin),
    toMillimetre(cy + (x - cx) * sin + (y - cy) * cos),
  ]);
}

/** The rectangle that an outline is, or `undefined` when it is another shape. */
export function rectangleOf(outline: Outline | undefined): Rectangle | undefined {
  const [a, b, c, d] = outline ?? [];
  if (outline?.length !== 4 || !a || !b || !c || !d) return undefined;
  const [ax, ay, bx, by] = [b[0] - a[0], b[1] - a[1], c[0] - b[0], c[1] - b[1]];
  const [across, along] = [Math.hypot(ax, ay), Math.hypot(bx, by)];
  const skew = Math.hypot(a[0] + c[0] - b[0] - d[0], a[1] + c[1] - b[1] - d[1]);
  if (across < 0.01 || along < 0.01 || skew > LOOSE_M) return undefined;
  if (Math.abs(ax * bx + ay * by) > LOOSE_M * Math.max(across, along)) return undefined;
  return {
    x: toMillimetre((a[0] + c[0]) / 2),
    y: toMillimetre((a[1] + c[1]) / 2),
    across: Math.round(across * 100) / 100,
    along: Math.round(along * 100) / 100,
    turn: halfTurn((Math.atan2(ay, ax) * 180) / Math.PI),
  };
}

export function cornersOf({ x, y, across, along, turn }: Rectangle): Corner[] {
  const [w, h] = [across / 2, along / 2];
  const level: Corner[] = [
    [x - w, y - h],
    [x + w, y - h],
    [x + w, y + h],
    [x - w, y + h],
  ];
  return turnedAbout(level, [x, y], turn);
}

/** Turned about its middle to the nearest step of 5°. */
export function turnedTo(rectangle: Rectangle, degrees: number): Rectangle {
  return { ...rectangle, turn: halfTurn(Math.round(degrees / TURN_STEP) * TURN_STEP) };
}

/** One corner stays where it is, the opposite one follows the finger; sides in steps of 10 cm. */
export function stretchedTo(rectangle: Rectangle, [px, py]: Corner): Rectangle {
  const [fixed] = cornersOf(rectangle);
  if (!fixed) return rectangle;
  const [[dx, dy] = [0, 0]] = turnedAbout([[px - fixed[0], py - fixed[1]]], [0, 0], -rectangle.turn);
  return resized(rectangle, Math.max(SMALLEST_M, snapped(dx)), Math.max(SMALLEST_M, snapped(dy)));
}

/** Other sides, with the first corner where it was. */
export function resized(rectangle: Rectangle, across: number, along: number): Rectangle {
  const [fixed = [0, 0]] = cornersOf(rectangle);
  const [[dx, dy] = [0, 0]] = turnedAbout([[across / 2, along / 2]], [0, 0], rectangle.turn);
  return { ...rectangle, across, along, x: fixed[0] + dx, y: fixed[1] + dy };
}

export function overlaps(a: Box, b: Box, gap: number): boolean {
  return a.left < b.right + gap && b.left < a.right + gap && a.top < b.bottom + gap && b.top < a.bottom + gap;
}

/** Layers of a picture over time, drawn by any pen. Pure. */
import { firstFrom, thinned } from './decimate';
import type { Pen } from './pen';
import type { Band, Dots, Flags, Layer, Level, Line, Palette, View, Whiskers } from './picture';
import { drawShape } from './shapes';

/** Where in the units of the pen, and which part of the picture. */
export interface Frame {
  left: number;
  top: number;
  width: number;
  height: number;
  view: View;
  low: number;
  high: number;
}
const DAY = 86_400_000;
const MOST_LINES = 24;

export function xIn(frame: Frame, x: number): number {
  return frame.left + ((x - frame.view.from) / (frame.view.to - frame.view.from)) * frame.width;
}

/** Held inside the frame: an open end runs to its edge, and no line leaves it. */
export function yIn(frame: Frame, y: number): number {
  const share = (y - frame.low) / (frame.high - frame.low);
  return frame.top + (1 - Math.min(1, Math.max(0, share))) * frame.height;
}

/** `size`: 1 at the usual size of text; marks grow with it. */
export function paint(pen: Pen, layers: readonly Layer[], frame: Frame, palette: Palette, size = 1): void {
  for (const layer of layers) {
    if (layer.kind === 'band') band(pen, layer, frame, palette);
    else if (layer.kind === 'line') line(pen, layer, frame, palette);
    else if (layer.kind === 'whiskers') whiskers(pen, layer, frame, palette);
    else if (layer.kind === 'dots') dots(pen, layer, frame, palette, size);
    else if (layer.kind === 'flags') flags(pen, layer, frame, palette, size);
    else level(pen, layer, frame, palette);
  }
}

const columnsOf = (frame: Frame): number => Math.max(1, Math.round(frame.width));

/** Stretches without a gap, as lists of indices. */
function stretches(
  x: readonly number[],
  kept: readonly number[],
  there: (i: number) => boolean,
  gap: number,
): number[][] {
  const found: number[][] = [];
  let now: number[] = [];
  for (const i of kept) {
    const before = now.at(-1);
    const far = before !== undefined && (x[i] ?? 0) - (x[before] ?? 0) > gap;
    if (!there(i) || far) {
      if (now.length > 0) found.push(now);
      now = [];
    }
    if (there(i)) now.push(i);
  }
  if (now.length > 0) found.push(now);
  return found;
}

/** A line that leaves the frame is cut where it does. */
function clipped(points: number[], frame: Frame): number[][] {
  const [low, high] = [frame.left, frame.left + frame.width];
  const out: number[][] = [];
  const now: number[] = [];
  for (let i = 0; i + 3 < points.length; i += 2) {
    const [x0, y0, x1, y1] = points.slice(i, i + 4) as [number, number, number, number];
    if (x1 < low || x0 > high) continue;
    const at = (x: number): number => (x1 === x0 ? y1 : y0 + ((x - x0) / (x1 - x0)) * (y1 - y0));
    const [a, b] = [Math.max(x0, low), Math.min(x1, high)];
    if (now.length === 0) now.push(a, at(a));
    now.push(b, at(b));
    if (x1 > high) break;
  }
  if (now.length > 0) out.push(now);
  return out;
}

function line(pen: Pen, layer: Line, frame: Frame, palette: Palette): void {
  const { x, y } = layer;
  const kept = thinned(x, y, frame.view.from, frame.view.to, columnsOf(frame));
  const there = (i: number): boolean => y[i] !== null && y[i] !== undefined;
  for (const stretch of stretches(x, kept, there, layer.gap ?? Number.POSITIVE_INFINITY)) {
    const points = stretch.flatMap((i) => [xIn(frame, x[i] ?? 0), yIn(frame, y[i] ?? 0)]);
    for (const part of clipped(points, frame)) {
      pen.path(part, { stroke: palette[layer.tone], width: layer.width ?? 2, dash: layer.dash });
    }
  }
}

function band(pen: Pen, layer: Band, frame: Frame, palette: Palette): void {
  const { x, low, high } = layer;
  const columns = columnsOf(frame);
  const kept = new Set([
    ...thinned(x, low, frame.view.from, frame.view.to, columns),
    ...thinned(x, high, frame.view.from, frame.view.to, columns),
  ]);
  const there = (i: number): boolean => (low[i] ?? null) !== null;
  const order = [...kept].sort((a, b) => a - b);
  const fill = { fill: palette[layer.tone], opacity: 0.42 };
  for (const stretch of stretches(x, order, there, layer.gap ?? Number.POSITIVE_INFINITY)) {
    const up = stretch.flatMap((i) => [xIn(frame, x[i] ?? 0), yIn(frame, high[i] ?? frame.high)]);
    const down = stretch.flatMap((i) => [xIn(frame, x[i] ?? 0), yIn(frame, low[i] ?? 0)]);
    if (stretch.length === 1) {
      const [at, top] = up as [number, number];
      const bottom = down[1] ?? top;
      if (at >= frame.left && at <= frame.left + frame.width)
        pen.path([at - 2, top, at + 2, top, at + 2, bottom, at - 2, bottom], fill, true);
      continue;
    }
    const [upper] = clipped(up, frame);
    const [lower] = clipped(down, frame);
    if (!upper || !lower) continue;
    const back: number[] = [];
    for (let i = lower.length - 2; i >= 0; i -= 2) back.push(lower[i] ?? 0, lower[i + 1] ?? 0);
    pen.path([...upper, ...back], fill, true);
  }
}

function whiskers(pen: Pen, layer: Whiskers, frame: Frame, palette: Palette): void {
  const { x } = layer;
  const end = firstFrom(x, frame.view.to + 1);
  for (let i = firstFrom(x, frame.view.from); i < end; i += 1) {
    const low = layer.low[i] ?? null;
    if (low === null) continue;
    const high = layer.high[i] ?? null;
    const at = xIn(frame, x[i] ?? 0);
    const [bottom, top] = [yIn(frame, low), yIn(frame, high ?? frame.high)];
    const style = { stroke: palette[layer.tone], width: 1.4 };
    pen.path([at, bottom, at, top], style);
    pen.path([at - 3, bottom, at + 3, bottom], style);
    if (high === null || high > frame.high) pen.path([at - 3, top + 4, at, top, at + 3, top + 4], style);
    else pen.path([at - 3, top, at + 3, top], style);
  }
}

/** Many in little room are drawn small; the extremes of each column stay. */
function dots(pen: Pen, layer: Dots, frame: Frame, palette: Palette, size: number): void {
  const { x, y } = layer;
  const kept = thinned(x, y, frame.view.from, frame.view.to, Math.max(1, columnsOf(frame) / 2)).filter(
    (i) => (x[i] ?? 0) >= frame.view.from && (x[i] ?? 0) <= frame.view.to && (y[i] ?? null) !== null,
  );
  const r = (kept.length > frame.width / 6 ? 2.2 : 4) * size;
  const colour = palette[layer.tone];
  const style = layer.hollow
    ? { fill: palette.ground, stroke: colour, width: 1.6 }
    : { fill: colour, stroke: palette.ground, width: 1 };
  for (const i of kept) drawShape(pen, layer.shape, xIn(frame, x[i] ?? 0), yIn(frame, y[i] ?? 0), r, style);
}

function flags(pen: Pen, layer: Flags, frame: Frame, palette: Palette, size: number): void {
  const colour = palette[layer.tone];
  const shown = layer.x.filter((day) => day >= frame.view.from - DAY / 2 && day <= frame.view.to + DAY / 2);
  let before = Number.NEGATIVE_INFINITY;
  for (const day of shown) {
    const at = Math.min(frame.left + frame.width, Math.max(frame.left, xIn(frame, day)));
    // Many lines would be a fence before the picture: the shapes say it too.
    if (shown.length <= MOST_LINES)
      pen.path([at, frame.top, at, frame.top + frame.height], {
        stroke: colour,
        width: 1,
        dash: [3, 4],
        opacity: 0.55,
      });
    // Shapes on top of one another say no more than one does.
    if (at - before < 5 * size) continue;
    before = at;
    drawShape(pen, layer.shape, at, frame.top + 5 * size, 4 * size, {
      fill: colour,
      stroke: palette.ground,
      width: 1,
    });
  }
}

function level(pen: Pen, layer: Level, frame: Frame, palette: Palette): void {
  if (layer.y < frame.low || layer.y > frame.high) return;
  const at = yIn(frame, layer.y);
  pen.path([frame.left, at, frame.left + frame.width, at], {
    stroke: palette[layer.tone],
    width: 1.6,
    dash: [7, 4],
  });
}

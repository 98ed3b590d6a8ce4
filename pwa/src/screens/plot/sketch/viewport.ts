/** Which part of the ground is on the screen, and how large. Pixels of the screen, metres of the ground. Pure. */
import type { Box, Corner } from './geometry';

export interface Viewport {
  /** Of the drawing on the screen, CSS pixels. */
  width: number;
  height: number;
  /** Pixels a metre. */
  scale: number;
  /** The point of the ground in the upper left corner, metres. */
  left: number;
  top: number;
}

/** Closer than this a bed fills the screen twice over; farther, nothing can be read. */
const CLOSEST = 240;
const FARTHEST = 2;
/** A single small bed is not blown up over the whole screen: there is ground around it for the next one. */
const FIT_CLOSEST = 60;
export const ZOOM_STEP = 1.5;

export function fitted(bounds: Box, width: number, height: number, margin = 26): Viewport {
  const [w, h] = [Math.max(1, bounds.right - bounds.left), Math.max(1, bounds.bottom - bounds.top)];
  const room = (size: number) => Math.max(40, size - 2 * margin);
  const scale = Math.min(FIT_CLOSEST, Math.max(FARTHEST, Math.min(room(width) / w, room(height) / h)));
  const left = bounds.left - (width / scale - w) / 2;
  return { width, height, scale, left, top: bounds.top - (height / scale - h) / 2 };
}

export function toScreen(view: Viewport, [x, y]: Corner): Corner {
  return [tenth((x - view.left) * view.scale), tenth((y - view.top) * view.scale)];
}

export function toGround(view: Viewport, [px, py]: Corner): Corner {
  return [view.left + px / view.scale, view.top + py / view.scale];
}

/** Zoomed by `factor` so that the ground under the pixel `at` stays under it. */
export function zoomed(view: Viewport, factor: number, at: Corner = middle(view)): Viewport {
  const scale = Math.min(CLOSEST, Math.max(FARTHEST, view.scale * factor));
  const [x, y] = toGround(view, at);
  return { ...view, scale, left: x - at[0] / scale, top: y - at[1] / scale };
}

export function panned(view: Viewport, dx: number, dy: number): Viewport {
  return { ...view, left: view.left - dx / view.scale, top: view.top - dy / view.scale };
}

/** Two fingers: what lay under them stays under them, as far as two fingers that never turn can hold it. */
export function pinched(view: Viewport, before: [Corner, Corner], after: [Corner, Corner]): Viewport {
  const spread = ([a, b]: [Corner, Corner]) => Math.hypot(a[0] - b[0], a[1] - b[1]);
  const centre = ([a, b]: [Corner, Corner]): Corner => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  const [from, to] = [centre(before), centre(after)];
  const factor = spread(before) > 0 ? spread(after) / spread(before) : 1;
  return zoomed(panned(view, to[0] - from[0], to[1] - from[1]), factor, to);
}

export function middle(view: Viewport): Corner {
  return [view.width / 2, view.height / 2];
}

export function seen(view: Viewport): Box {
  const [right, bottom] = toGround(view, [view.width, view.height]);
  return { left: view.left, top: view.top, right, bottom };
}

/** The same view when the box lies in it, else one that shows it with all the rest. */
export function including(view: Viewport, box: Box, bounds: Box): Viewport {
  const now = seen(view);
  const inside =
    box.left >= now.left && box.right <= now.right && box.top >= now.top && box.bottom <= now.bottom;
  if (inside) return view;
  const all = {
    left: Math.min(box.left, bounds.left),
    top: Math.min(box.top, bounds.top),
    right: Math.max(box.right, bounds.right),
    bottom: Math.max(box.bottom, bounds.bottom),
  };
  return fitted(all, view.width, view.height);
}

/** The same middle and scale on a drawing of another size, as when the phone is turned. */
export function onSize(view: Viewport, width: number, height: number): Viewport {
  const [x, y] = toGround(view, middle(view));
  return {
    ...view,
    width,
    height,
    left: x - width / view.scale / 2,
    top: y - height / view.scale / 2,
  };
}

/** Keeps some of the ground in sight: nobody pans into the void and is lost. */
export function heldNear(view: Viewport, bounds: Box, keep = 60): Viewport {
  const margin = keep / view.scale;
  const [w, h] = [view.width / view.scale, view.height / view.scale];
  const left = Math.min(bounds.right - margin, Math.max(bounds.left + margin - w, view.left));
  const top = Math.min(bounds.bottom - margin, Math.max(bounds.top + margin - h, view.top));
  return { ...view, left, top };
}

/** A round length for the scale bar: 1, 2 or 5 times a power of ten, at most `room` pixels long. */
export function scaleBar(view: Viewport, room = 96): { metres: number; pixels: number } {
  const most = room / view.scale;
  const power = 10 ** Math.floor(Math.log10(most));
  const metres = ([5, 2, 1].find((times) => times * power <= most) ?? 1) * power;
  return { metres: Math.round(metres * 1000) / 1000, pixels: tenth(metres * view.scale) };
}

function tenth(value: number): number {
  return Math.round(value * 10) / 10;
}

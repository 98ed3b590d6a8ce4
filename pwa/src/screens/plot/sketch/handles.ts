/** The two handles of the chosen bed: where they stand on the screen, and which one a finger means. Pure. */
import { boxOf, type Corner, type Rectangle, rectangleOf, turnedAbout } from './geometry';
import type { Viewport } from './viewport';

export type HandleKind = 'turn' | 'size';
export interface Handle {
  kind: HandleKind;
  at: Corner;
  /** Where its stalk begins, on the bed. */
  foot: Corner;
}
/** Half of 48 px: the thumb in a glove. */
export const HANDLE_REACH = 24;
const AWAY = 38;

/** Outside of the bed, so that they never hide it; kept on the screen. The size of other shapes is not dragged. */
export function handlesOf(corners: readonly Corner[], view: Viewport): Handle[] {
  const rectangle = rectangleOf(corners);
  const box = boxOf(corners);
  const frame: Rectangle = rectangle ?? {
    x: (box.left + box.right) / 2,
    y: (box.top + box.bottom) / 2,
    across: box.right - box.left,
    along: box.bottom - box.top,
    turn: 0,
  };
  const at = (dx: number, dy: number): Corner => {
    const [point] = turnedAbout([[frame.x + dx, frame.y + dy]], [frame.x, frame.y], frame.turn);
    return point ?? [frame.x, frame.y];
  };
  const [w, h] = [frame.across / 2, frame.along / 2];
  const [up, down] = [at(0, -h - AWAY), at(0, h + AWAY)];
  const above = isSeen(up, view) || !isSeen(down, view);
  const turn: Handle = { kind: 'turn', at: held(above ? up : down, view), foot: at(0, above ? -h : h) };
  if (!rectangle) return [turn];
  const out = AWAY / Math.SQRT2;
  return [turn, { kind: 'size', at: held(at(w + out, h + out), view), foot: at(w, h) }];
}

function isSeen([x, y]: Corner, view: Viewport): boolean {
  return (
    x >= HANDLE_REACH &&
    y >= HANDLE_REACH &&
    x <= view.width - HANDLE_REACH &&
    y <= view.height - HANDLE_REACH
  );
}

function held([x, y]: Corner, view: Viewport): Corner {
  const inside = (value: number, size: number) =>
    Math.min(size - HANDLE_REACH, Math.max(HANDLE_REACH, value));
  return [inside(x, view.width), inside(y, view.height)];
}

export function handleAt(handles: readonly Handle[], [x, y]: Corner): Handle | undefined {
  return [...handles]
    .map((handle) => ({ handle, far: Math.hypot(handle.at[0] - x, handle.at[1] - y) }))
    .filter(({ far }) => far <= HANDLE_REACH)
    .sort((a, b) => a.far - b.far)[0]?.handle;
}

/** By how many degrees the finger has gone round the middle since it took hold. */
export function turnBetween([cx, cy]: Corner, from: Corner, to: Corner): number {
  const angle = ([x, y]: Corner) => (Math.atan2(y - cy, x - cx) * 180) / Math.PI;
  return angle(to) - angle(from);
}

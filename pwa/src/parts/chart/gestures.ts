/** Fingers, mouse and keys on a picture: what they do to the view. The sums are pure, the listening is at the end. */
import type { View } from './picture';
import { isWhole, panned, zoomed } from './viewport';

/** Two fingers moved from `before` to `now` (x of each, as shares of the width): what lay under them stays there. */
export function pinched(
  view: View,
  whole: View,
  before: readonly [number, number],
  now: readonly [number, number],
): View {
  const spread = (pair: readonly [number, number]): number => Math.max(0.02, Math.abs(pair[1] - pair[0]));
  const middle = (pair: readonly [number, number]): number => (pair[0] + pair[1]) / 2;
  const wide = view.to - view.from;
  const closer = zoomed(view, whole, spread(before) / spread(now), view.from + middle(before) * wide);
  return panned(closer, whole, (middle(before) - middle(now)) * (closer.to - closer.from));
}

const CLOSER = 0.6;

/** What a key does; undefined for keys that are not ours. */
export function keyed(key: string, view: View, whole: View): View | undefined {
  const wide = view.to - view.from;
  const middle = (view.from + view.to) / 2;
  if (key === '+' || key === '=') return zoomed(view, whole, CLOSER, middle);
  if (key === '-' || key === '_') return zoomed(view, whole, 1 / CLOSER, middle);
  if (key === '0' || key === 'Home') return whole;
  if (key === 'ArrowLeft') return panned(view, whole, -wide / 5);
  if (key === 'ArrowRight') return panned(view, whole, wide / 5);
  return undefined;
}

export interface Handled {
  view(): View;
  whole(): View;
  setView(view: View): void;
  point(clientX: number | undefined): void;
}

const SLOP = 8;
const TWICE_MS = 320;

interface Finger {
  x: number;
  begun: number;
}

/** Listen on the picture; the answer stops it. */
export function listen(on: HTMLElement, act: Handled): () => void {
  const fingers = new Map<number, Finger>();
  let moved = false;
  let tapped = { at: 0, x: 0 };
  const share = (x: number): number => {
    const { left, width } = on.getBoundingClientRect();
    return (x - left) / Math.max(1, width);
  };
  const down = (event: PointerEvent): void => {
    if (event.pointerType === 'mouse' && event.button !== 0) return;
    fingers.set(event.pointerId, { x: event.clientX, begun: event.clientX });
    moved = fingers.size > 1;
    on.setPointerCapture?.(event.pointerId);
  };
  const move = (event: PointerEvent): void => {
    const finger = fingers.get(event.pointerId);
    if (!finger) return;
    const before = [...fingers.values()].map(({ x }) => share(x));
    const by = share(finger.x) - share(event.clientX);
    finger.x = event.clientX;
    if (Math.abs(finger.x - finger.begun) > SLOP) moved = true;
    const now = [...fingers.values()].map(({ x }) => share(x));
    const view = act.view();
    if (fingers.size === 2) {
      act.setView(pinched(view, act.whole(), before as [number, number], now as [number, number]));
    } else if (fingers.size === 1 && moved) {
      if (isWhole(view, act.whole())) act.point(event.clientX);
      else act.setView(panned(view, act.whole(), by * (view.to - view.from)));
    }
  };
  const up = (event: PointerEvent): void => {
    if (!fingers.delete(event.pointerId) || moved || event.type !== 'pointerup') return;
    const twice = event.timeStamp - tapped.at < TWICE_MS && Math.abs(event.clientX - tapped.x) < 30;
    tapped = { at: twice ? 0 : event.timeStamp, x: event.clientX };
    if (twice) act.setView(act.whole());
    else act.point(event.clientX);
  };
  // A touchpad's two fingers come as a wheel with Ctrl; the bare wheel scrolls the page.
  const wheel = (event: WheelEvent): void => {
    if (!event.ctrlKey) return;
    event.preventDefault();
    const view = act.view();
    const at = view.from + share(event.clientX) * (view.to - view.from);
    act.setView(zoomed(view, act.whole(), event.deltaY > 0 ? 1.15 : 1 / 1.15, at));
  };
  on.addEventListener('pointerdown', down);
  on.addEventListener('pointermove', move);
  on.addEventListener('pointerup', up);
  on.addEventListener('pointercancel', up);
  on.addEventListener('wheel', wheel, { passive: false });
  return () => {
    on.removeEventListener('pointerdown', down);
    on.removeEventListener('pointermove', move);
    on.removeEventListener('pointerup', up);
    on.removeEventListener('pointercancel', up);
    on.removeEventListener('wheel', wheel);
  };
}

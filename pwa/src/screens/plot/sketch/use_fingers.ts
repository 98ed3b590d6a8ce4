/** Fingers, mouse and wheel on the drawing, told as taps, drags and pinches. A finger that hardly moves is a tap. */
import { useRef } from 'preact/hooks';
import type { Corner } from './geometry';

export interface Gestures {
  onTap: (at: Corner) => void;
  /** Whether something lies there that goes with the finger; else the ground is pushed. */
  grab?: (at: Corner) => boolean;
  onDrag?: (from: Corner, to: Corner) => void;
  onDrop?: (from: Corner, to: Corner) => void;
  /** The drag is called off: a second finger came, or the phone took it away. */
  onCancel?: () => void;
  onPan: (dx: number, dy: number) => void;
  onPinch: (before: [Corner, Corner], after: [Corner, Corner]) => void;
  onWheel: (factor: number, at: Corner) => void;
}

/** A glove shakes: below this it did not move. CSS pixels. */
const STILL = 9;

type State = { mode: 'none' | 'press' | 'drag' | 'pan' | 'pinch'; from: Corner; last: Corner };

export function useFingers(gestures: Gestures) {
  const down = useRef(new Map<number, Corner>());
  const state = useRef<State>({ mode: 'none', from: [0, 0], last: [0, 0] });
  const latest = useRef(gestures);
  latest.current = gestures;

  const pointOf = (event: PointerEvent | WheelEvent): Corner => {
    const box = (event.currentTarget as Element).getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  };
  const pair = (): [Corner, Corner] | undefined => {
    const [a, b] = [...down.current.values()];
    return a && b ? [a, b] : undefined;
  };

  const onPointerDown = (event: PointerEvent): void => {
    if (event.button !== 0) return;
    const at = pointOf(event);
    down.current.set(event.pointerId, at);
    if (down.current.size === 1) state.current = { mode: 'press', from: at, last: at };
    else {
      if (state.current.mode === 'drag') latest.current.onCancel?.();
      state.current.mode = 'pinch';
    }
  };
  const onPointerMove = (event: PointerEvent): void => {
    if (!down.current.has(event.pointerId)) return;
    const at = pointOf(event);
    const now = state.current;
    if (now.mode === 'pinch') {
      const before = pair();
      down.current.set(event.pointerId, at);
      const after = pair();
      if (before && after) latest.current.onPinch(before, after);
      return;
    }
    down.current.set(event.pointerId, at);
    if (now.mode === 'press' && Math.hypot(at[0] - now.from[0], at[1] - now.from[1]) > STILL) {
      // Only now: a captured pointer would keep a mere tap from scrolling on.
      (event.currentTarget as Element).setPointerCapture(event.pointerId);
      now.mode = latest.current.grab?.(now.from) ? 'drag' : 'pan';
    }
    if (now.mode === 'drag') latest.current.onDrag?.(now.from, at);
    if (now.mode === 'pan') latest.current.onPan(at[0] - now.last[0], at[1] - now.last[1]);
    now.last = at;
  };
  const onPointerUp = (event: PointerEvent): void => {
    if (!down.current.delete(event.pointerId)) return;
    const now = state.current;
    if (now.mode === 'press') latest.current.onTap(now.from);
    if (now.mode === 'drag') latest.current.onDrop?.(now.from, pointOf(event));
    if (down.current.size === 0) now.mode = 'none';
  };
  const onPointerCancel = (event: PointerEvent): void => {
    if (!down.current.delete(event.pointerId)) return;
    if (state.current.mode === 'drag') latest.current.onCancel?.();
    if (down.current.size === 0) state.current.mode = 'none';
  };
  /** The wheel alone scrolls the page; with Ctrl, as a touch pad pinches, it zooms. */
  const onWheel = (event: WheelEvent): void => {
    if (!event.ctrlKey) return;
    event.preventDefault();
    latest.current.onWheel(Math.exp(-event.deltaY / 200), pointOf(event));
  };
  return { onPointerDown, onPointerMove, onPointerUp, onPointerCancel, onWheel };
}

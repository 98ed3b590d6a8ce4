/** The part of the ground on the screen: all of it until somebody zooms or pushes, and again on "All". */
import { useLayoutEffect, useRef, useState } from 'preact/hooks';
import type { Box, Corner } from './geometry';
import {
  fitted,
  heldNear,
  including,
  onSize,
  panned,
  pinched,
  type Viewport,
  ZOOM_STEP,
  zoomed,
} from './viewport';

export interface ViewportHandle {
  ref: { current: HTMLDivElement | null };
  /** Undefined until the drawing has been measured. */
  view: Viewport | undefined;
  isWhole: boolean;
  zoomIn: () => void;
  zoomOut: () => void;
  showAll: () => void;
  /** Somebody works here: what is on the screen stays, even when the ground grows. */
  hold: () => void;
  /** Comes into sight if it does not lie there already. */
  include: (box: Box) => void;
  pan: (dx: number, dy: number) => void;
  pinch: (before: [Corner, Corner], after: [Corner, Corner]) => void;
  wheel: (factor: number, at: Corner) => void;
}

export function useViewport(bounds: Box): ViewportHandle {
  const ref = useRef<HTMLDivElement>(null);
  const [size, setSize] = useState<{ width: number; height: number }>();
  const [chosen, setChosen] = useState<Viewport>();
  useLayoutEffect(() => {
    const box = ref.current;
    if (!box) return;
    const measure = () => setSize({ width: box.clientWidth, height: box.clientHeight });
    measure();
    const watcher = new ResizeObserver(measure);
    watcher.observe(box);
    return () => watcher.disconnect();
  }, []);
  const whole = size && fitted(bounds, size.width, size.height);
  const sized =
    chosen && size && (chosen.width !== size.width || chosen.height !== size.height)
      ? onSize(chosen, size.width, size.height)
      : chosen;
  const view = sized ?? whole;
  const change = (next: (view: Viewport) => Viewport) => {
    setChosen((before) => {
      const from = before ?? whole;
      return from && heldNear(next(from), bounds);
    });
  };
  return {
    ref,
    view,
    isWhole: sized === undefined,
    zoomIn: () => change((now) => zoomed(now, ZOOM_STEP)),
    zoomOut: () => change((now) => zoomed(now, 1 / ZOOM_STEP)),
    showAll: () => setChosen(undefined),
    hold: () => change((now) => now),
    include: (box) => change((now) => including(now, box, bounds)),
    pan: (dx, dy) => change((now) => panned(now, dx, dy)),
    pinch: (before, after) => change((now) => pinched(now, before, after)),
    wheel: (factor, at) => change((now) => zoomed(now, factor, at)),
  };
}

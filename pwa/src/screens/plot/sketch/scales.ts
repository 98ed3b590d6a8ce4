/**
 * Classes of the numbers on the beds. Six steps of one hue that grow only darker (or lighter, in the dark), so that
 * every kind of colour blindness sees their order; the number itself always stands on the bed. Pure.
 *
 * Bounds are doublings or the bounds that a trap or a drench is judged by: our choice, no source.
 */
export type Layer = 'slugs' | 'wireworm' | 'treatments' | 'crops' | 'soil';
export const LAYERS: readonly Layer[] = ['slugs', 'wireworm', 'treatments', 'crops', 'soil'];

export interface ScaleClass {
  /** 0 to 5: the step of the colour. */
  step: number;
  /** From this value on, included; none for the first. */
  from?: number;
  /** Up to this value, not included; none for the last. */
  below?: number;
}

const BOUNDS: Record<Layer, readonly number[]> = {
  // Slugs a board: none found at all is a class of its own.
  slugs: [Number.MIN_VALUE, 1, 2, 4, 8],
  // Upper limit of wireworms a trap.
  wireworm: [0.5, 1, 2, 4],
  // Days since the newest treatment: nematodes are scored from day 7 to day 42.
  treatments: [7],
  // Crops standing.
  crops: [2],
  // Degrees Celsius: slug nematodes want 5, trap lifts count above 8.
  soil: [5, 8, 12, 16],
};
/** Which of the six colours each class takes. */
const STEPS: Record<Layer, readonly number[]> = {
  slugs: [0, 1, 2, 3, 4, 5],
  wireworm: [0, 1, 2, 3, 4],
  treatments: [3, 1],
  crops: [1, 3],
  soil: [0, 1, 2, 3, 4],
};

export function classesOf(layer: Layer): ScaleClass[] {
  const bounds = BOUNDS[layer];
  return STEPS[layer].map((step, i) => ({
    step,
    ...(i > 0 ? { from: bounds[i - 1] as number } : {}),
    ...(i < bounds.length ? { below: bounds[i] as number } : {}),
  }));
}

export function stepOf(layer: Layer, value: number): number {
  const at = BOUNDS[layer].findIndex((bound) => value < bound);
  return STEPS[layer][at < 0 ? BOUNDS[layer].length : at] ?? 0;
}

/**
 * Fewer points than the picture has columns of pixels, without losing one that could be seen. Pure.
 *
 * Of all points in a column the first, the lowest, the highest and the last are kept: Jugel, Jerzak, Hackenbroich
 * and Markl 2014, M4: a visualization-oriented time series data aggregation, Proceedings of the VLDB Endowment
 * 7(10):797-808.
 */

/** Index of the first x that is at least `at`; x ascend. */
export function firstFrom(x: readonly number[], at: number): number {
  let [low, high] = [0, x.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((x[middle] ?? 0) < at) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Indices to draw in [from, to], with one neighbour on each side so that lines reach the edge. */
export function thinned(
  x: readonly number[],
  y: readonly (number | null)[],
  from: number,
  to: number,
  columns: number,
): number[] {
  const begin = Math.max(0, firstFrom(x, from) - 1);
  const end = Math.min(x.length, firstFrom(x, to) + 1);
  if (end - begin <= columns * 4) return Array.from({ length: end - begin }, (_, i) => begin + i);
  const wide = Math.max(to - from, 1e-9) / columns;
  const kept: number[] = [];
  let i = begin;
  while (i < end) {
    const column = Math.floor(((x[i] ?? 0) - from) / wide);
    let last = i;
    while (last + 1 < end && Math.floor(((x[last + 1] ?? 0) - from) / wide) === column) last += 1;
    keepColumn(y, i, last, kept);
    i = last + 1;
  }
  return kept;
}

function keepColumn(y: readonly (number | null)[], first: number, last: number, kept: number[]): void {
  const keep = new Set([first, last]);
  let [low, high]: (number | undefined)[] = [undefined, undefined];
  for (let i = first; i <= last; i += 1) {
    const value = y[i];
    if (value === null || value === undefined) {
      keep.add(i); // a gap is something to be seen too
      while (i + 1 <= last && (y[i + 1] ?? null) === null) i += 1;
      continue;
    }
    if (low === undefined || value < (y[low] ?? 0)) low = i;
    if (high === undefined || value > (y[high] ?? 0)) high = i;
  }
  if (low !== undefined) keep.add(low);
  if (high !== undefined) keep.add(high);
  kept.push(...[...keep].sort((a, b) => a - b));
}

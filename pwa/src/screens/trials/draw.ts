/**
 * Who is treated and who is not, by lot: the same units and the same seed give the same draw, on any phone. Pure.
 */
export type Allocation = 'random' | 'blocked' | 'chosen';

export interface DrawUnit {
  id: string;
  /** Slugs a board it usually has; unknown where nobody counted yet. */
  usual?: number | undefined;
}
export interface Drawn {
  treated: string[];
  control: string[];
  /** Block of each unit, when drawn within blocks. */
  blocks: Record<string, string>;
}

export const LARGEST_SEED = 4_294_967_295;

/** Numbers from 0 up to 1 out of a 32-bit seed: mulberry32 by Tommy Ettinger, 2017, in the public domain. */
export function numbersFrom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = state;
    mixed = Math.imul(mixed ^ (mixed >>> 15), mixed | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
}

/** Fisher and Yates's shuffle (Knuth, The Art of Computer Programming 2, algorithm 3.4.2 P). */
function shuffled<T>(items: readonly T[], next: () => number): T[] {
  const all = [...items];
  for (let last = all.length - 1; last > 0; last -= 1) {
    const other = Math.floor(next() * (last + 1));
    [all[last], all[other]] = [all[other] as T, all[last] as T];
  }
  return all;
}

/** Half of a group is treated; of an odd number the lot says which half is the larger. */
function half(group: readonly DrawUnit[], next: () => number): { treated: string[]; control: string[] } {
  const ids = shuffled(
    group.map(({ id }) => id),
    next,
  );
  const odd = ids.length % 2 === 1 && next() < 0.5 ? 1 : 0;
  const n = Math.floor(ids.length / 2) + odd;
  return { treated: ids.slice(0, n), control: ids.slice(n) };
}

/** Neighbours by their usual count lie in one block: two together, three where one is left over. */
function blocksOf(units: readonly DrawUnit[]): DrawUnit[][] {
  const order = [...units].sort((a, b) => (b.usual ?? -1) - (a.usual ?? -1));
  const blocks: DrawUnit[][] = [];
  for (let i = 0; i < order.length; i += 2) {
    const pair = order.slice(i, i + 2);
    const before = blocks.at(-1);
    if (pair.length === 1 && before) before.push(...pair);
    else blocks.push(pair);
  }
  return blocks;
}

export function drawn(units: readonly DrawUnit[], how: Allocation, seed: number): Drawn {
  // The order in which they were tapped must not matter.
  const ordered = [...units].sort((a, b) => (a.id < b.id ? -1 : 1));
  const next = numbersFrom(seed);
  if (how !== 'blocked') return { ...half(ordered, next), blocks: {} };
  const found: Drawn = { treated: [], control: [], blocks: {} };
  blocksOf(ordered).forEach((block, i) => {
    const { treated, control } = half(block, next);
    found.treated.push(...treated);
    found.control.push(...control);
    for (const { id } of block) found.blocks[id] = String(i + 1);
  });
  return found;
}

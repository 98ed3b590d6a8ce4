// What a sync works with; tests hand in other clocks, dice, servers and stores.

import type { announce } from '../storage/changes';
import type { Store } from '../storage/port';
import type { Rules } from './rules';
import type { Server } from './server';

export type Wires = {
  store: Store;
  rules: Rules;
  server: Server;
  now(): number;
  random(): number;
  newId(): string;
  tell: typeof announce;
  /** From how many operations on a batch is large, so that its answers may be taken in late. */
  large: number;
};

export const LARGE = 100;

/** Full jitter: anything up to 2 s · 2^n, at most five minutes. */
export function backoff(n: number, random: () => number): number {
  return random() * Math.min(300_000, 2_000 * 2 ** n);
}

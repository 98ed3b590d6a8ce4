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
  /** How far the server's clock was ahead of this phone's when it was last greeted, ms. */
  ahead?: number;
};

export const HOUR_MS = 3_600_000;

/** Nothing waits for more than an hour: a time further off was written under a clock that has been put back since. */
export function isDue(nextTry: number, now: number): boolean {
  return nextTry <= now || nextTry > now + HOUR_MS;
}

/** The earlier and the later of the two clocks. What is kept for some time is kept by whichever keeps it longer. */
export function clocks({ now, ahead = 0 }: Wires): [earlier: number, later: number] {
  const here = now();
  return [here + Math.min(0, ahead), here + Math.max(0, ahead)];
}

export const LARGE = 100;

/** Full jitter: anything up to 2 s · 2^n, at most five minutes. */
export function backoff(n: number, random: () => number): number {
  return random() * Math.min(300_000, 2_000 * 2 ** n);
}

// The phone's clock jumps by years (an empty battery, a wrong hand, a date line): nothing waits for it to come round
// again, and nothing that was to be kept for sixty days is thrown away early.

import { describe, expect, test } from 'vitest';
import { Rig, twoPhones } from './rig';

const YEAR = 365 * 86_400_000;

describe('what waits to be tried again', () => {
  test('under a clock that was two years ahead goes out as soon as the clock is right', async () => {
    const rig = new Rig();
    const right = rig.now;
    const a = await rig.phone('A');
    rig.now = right + 2 * YEAR;
    await a.save('r', { wireworms: 3 });
    rig.server.poison.add('r');
    await a.sync();
    rig.server.poison.clear();
    rig.now = right;
    await a.sync();
    expect(rig.server.records.get('r')?.body.wireworms).toBe(3);
    expect(await a.outbox()).toEqual([]);
  });

  test('goes out at once when the clock jumps ahead, and in its order', async () => {
    const rig = new Rig();
    const a = await rig.phone('A');
    await a.save('r', { wireworms: 3 });
    await a.pushOnce();
    rig.now -= YEAR;
    await a.save('r', { wireworms: 4 });
    rig.now += 3 * YEAR;
    await a.save('r', { wireworms: 5 });
    await a.sync();
    expect(rig.server.records.get('r')?.body.wireworms).toBe(5);
  });
});

describe('what the server acknowledged, and lost again with a restore', () => {
  /** Acknowledged under one clock, synced once more under another, then the server is restored. */
  async function kept(first: number, then: number): Promise<unknown> {
    const [rig, a, b] = await twoPhones({ wireworms: 5 });
    const right = rig.now;
    rig.server.clock = new Date(right).toISOString();
    const yesterday = rig.server.snapshot();
    rig.now = right + first;
    await a.save('today', { wireworms: 1 });
    await a.sync();
    rig.now = right + then;
    await a.sync();
    rig.server.restored(yesterday);
    for (const phone of [b, a, b]) await phone.sync();
    return rig.server.records.get('today')?.body.wireworms;
  }

  test.each([
    ['years behind, then right', -20 * YEAR, 0],
    ['right, then years ahead', 0, 2 * YEAR],
    ['years ahead, then right', 2 * YEAR, 0],
    ['an hour behind, then an hour ahead', -3_600_000, 3_600_000],
  ])('comes back: %s', async (_words, first, then) => {
    expect(await kept(first, then)).toBe(1);
  });
});

import { expect, it } from 'vitest';
import type { DoubleCount } from './model';
import { recentFrom, together } from './old_doubles';

const double = (round_id: string, station_id: string, counts: unknown[] = []): DoubleCount =>
  ({ round_id, station_id, counts }) as DoubleCount;

it('one board of one round is asked about once, as it was read last, and recent ones come first', () => {
  const recent = [double('r2', 'b1', ['read now']), double('r2', 'b2')];
  const old = [double('r1', 'b1'), double('r2', 'b1', ['found before']), double('r1', 'b1')];
  const all = together(recent, old);
  expect(all.map(({ round_id, station_id }) => `${round_id} ${station_id}`)).toEqual([
    'r2 b1',
    'r2 b2',
    'r1 b1',
  ]);
  expect(all[0]?.counts).toEqual(['read now']);
  expect(together([], [])).toEqual([]);
});

it('what is recent begins on a day of the plot, sixty before today', () => {
  const from = (zone: string) => Date.parse(`${recentFrom(zone)}T00:00:00Z`);
  // Kiritimati is 25 hours ahead of Midway all year round: it is a later day there.
  expect(from('Pacific/Kiritimati')).toBeGreaterThan(from('Pacific/Midway'));
  expect(Math.abs(Date.now() - 60 * 86_400_000 - from('UTC'))).toBeLessThan(2 * 86_400_000);
});

import { expect, it } from 'vitest';
import { clockFault } from './clock_fault';

it('says by how much a clock is wrong, in the unit a person would use, and nothing of a right one', () => {
  const minute = 60_000;
  for (const right of [undefined, 0, 2 * minute, -2 * minute]) expect(clockFault(right)).toBeUndefined();
  expect(clockFault(3 * minute)).toEqual({ way: 'ahead', unit: 'minutes', n: 3 });
  expect(clockFault(-61 * minute)).toEqual({ way: 'behind', unit: 'minutes', n: 61 });
  expect(clockFault(-120 * minute)).toEqual({ way: 'behind', unit: 'hours', n: 2 });
  expect(clockFault(2 * 365 * 1440 * minute)).toEqual({ way: 'ahead', unit: 'days', n: 730 });
});

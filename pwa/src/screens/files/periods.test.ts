import { expect, it } from 'vitest';
import { lastDayOf, mondayOf, periodsOf } from './periods';

it('a week begins on Monday, over New Year too', () => {
  // ISO 8601: 2026 begins on a Thursday, so that its first week begins on 29 December 2025.
  expect(['2026-01-01', '2025-12-29', '2026-01-04', '2026-01-05'].map(mondayOf)).toEqual([
    '2025-12-29',
    '2025-12-29',
    '2025-12-29',
    '2026-01-05',
  ]);
});

it('weeks and years with records can be chosen, the present ones always, none to come', () => {
  const days = ['2024-05-03', '2024-05-04', '2026-11-24', '2027-01-01', ''];
  expect(periodsOf(days, '2026-11-26')).toEqual({ weeks: ['2026-11-23', '2024-04-29'], years: [2026, 2024] });
  expect(periodsOf([], '2026-11-26')).toEqual({ weeks: ['2026-11-23'], years: [2026] });
});

it('a week that is over ends on its Sunday, the present one today', () => {
  expect(lastDayOf('2026-11-16', '2026-11-26')).toBe('2026-11-22');
  expect(lastDayOf('2026-11-23', '2026-11-26')).toBe('2026-11-26');
});

import { describe, expect, it } from 'vitest';
import { mondayOf, newestWith, weekOf, weeksBetween } from './weeks';

describe('weeks run from Monday to Sunday', () => {
  it('by the calendar', () => {
    // 4 May 2026 is a Monday, 1 January 2027 a Friday (any calendar).
    expect(weekOf('2026-05-10')).toEqual({ from: '2026-05-04', to: '2026-05-10' });
    expect(mondayOf('2026-05-04')).toBe('2026-05-04');
    expect(mondayOf('2027-01-01')).toBe('2026-12-28');
  });
  it('from the first day with something to this week, none left out', () => {
    const weeks = weeksBetween('2026-04-29', '2026-05-13');
    expect(weeks.map((week) => week.from)).toEqual(['2026-04-27', '2026-05-04', '2026-05-11']);
    expect(weeksBetween(undefined, '2026-05-13')).toHaveLength(1);
    expect(weeksBetween('2026-09-01', '2026-05-13')).toHaveLength(1);
  });
  it('begins where there was a round last', () => {
    const weeks = weeksBetween('2026-04-29', '2026-05-13');
    expect(newestWith(weeks, ['2026-04-29', '2026-05-06'])).toBe(1);
    expect(newestWith(weeks, [])).toBe(2);
  });
});

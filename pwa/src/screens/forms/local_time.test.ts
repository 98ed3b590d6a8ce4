import { describe, expect, it } from 'vitest';
import { dayPlus, daysBetween, localClock, localDay, momentAt, withOffset } from './local_time';

// Clock changes: EU Directive 2000/84/EC, last Sundays of March and October at 01:00 UTC;
// New Zealand Daylight Time Order 2007, last Sunday of September and first of April.
describe('moments on the plot', () => {
  it.each([
    ['2026-05-10T06:30:00Z', 'Europe/London', '2026-05-10T07:30:00+01:00'],
    ['2026-01-10T06:30:00Z', 'Europe/London', '2026-01-10T06:30:00+00:00'],
    ['2026-01-10T18:30:00Z', 'Pacific/Auckland', '2026-01-11T07:30:00+13:00'],
    ['2026-07-10T06:30:00.900Z', 'America/St_Johns', '2026-07-10T04:00:00-02:30'],
  ])('%s in %s', (utc, zone, expected) => {
    expect(withOffset(new Date(utc), zone)).toBe(expected);
  });

  it('the day is the plot\u2019s, not the phone\u2019s', () => {
    expect(localDay('2026-06-30T23:30:00Z', 'Europe/London')).toBe('2026-07-01');
    expect(localDay('2026-06-30T23:30:00Z', 'America/New_York')).toBe('2026-06-30');
    expect(localClock('2026-06-30T23:30:00Z', 'Europe/London')).toBe('00:30');
  });

  it('finds the moment of a wall clock on both sides of a change', () => {
    expect(momentAt('2026-03-29', '00:30', 'Europe/London')).toBe('2026-03-29T00:30:00+00:00');
    expect(momentAt('2026-03-29', '07:00', 'Europe/London')).toBe('2026-03-29T07:00:00+01:00');
    expect(momentAt('2026-10-25', '07:00', 'Europe/London')).toBe('2026-10-25T07:00:00+00:00');
  });

  it('counts days over a change of clocks and a leap day', () => {
    expect(daysBetween('2026-03-28', '2026-03-30')).toBe(2);
    expect(daysBetween('2028-02-28', '2028-03-01')).toBe(2);
    expect(daysBetween('2026-05-10', '2026-05-01')).toBe(-9);
    expect(dayPlus('2026-12-25', 14)).toBe('2027-01-08');
  });
});

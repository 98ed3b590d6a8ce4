import { describe, expect, it } from 'vitest';
import { offsetAt } from './local_time';

/** The browser's own answers, asked in another way: the zone's name as an offset, "GMT+05:45". */
function asker(zone: string): (instant: number) => number {
  const format = new Intl.DateTimeFormat('en-GB', { timeZone: zone, timeZoneName: 'longOffset' });
  return (instant) => msOf(format.format(instant));
}

function msOf(words: string): number {
  const [, sign, hours, minutes] = /GMT(?:([+-])(\d\d):(\d\d))?$/.exec(words) ?? [];
  return (sign === '-' ? -1 : 1) * (Number(hours ?? 0) * 60 + Number(minutes ?? 0)) * 60_000;
}

describe('offsets of a zone', () => {
  // Summer time of the north and of the south, half an hour of it, a suspended one, none, and a day left out.
  it.each([
    'Europe/London',
    'Pacific/Auckland',
    'Australia/Lord_Howe',
    'Africa/Casablanca',
    'Asia/Kathmandu',
    'Pacific/Apia',
  ])('are the browser\u2019s at every moment in %s', (zone) => {
    const asked = asker(zone);
    const begin = Date.UTC(2010, 0, 1);
    // 37 h 13 min apart: every hour of the day and every day of the week comes up.
    for (let n = 0; n < 1_500; n += 1) {
      const at = begin + n * (37 * 60 + 13) * 60_000 * 2;
      expect(offsetAt(at, zone), new Date(at).toISOString()).toBe(asked(at));
    }
  });

  it('change at the very second', () => {
    // Directive 2000/84/EC: 01:00 UTC on the last Sunday of March.
    const change = Date.UTC(2026, 2, 29, 1);
    expect([change - 1, change].map((at) => offsetAt(at, 'Europe/London'))).toEqual([0, 3_600_000]);
    expect(() => offsetAt(Number.NaN, 'Europe/London')).toThrow(RangeError);
  });
});

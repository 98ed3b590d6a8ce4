import { describe, expect, it } from 'vitest';
import { crossing, NIGHT, type NightFacts, nightDrawing, nightRows } from './night_drawing';

const HOUR = 3_600_000;
const SUNSET = Date.parse('2026-05-12T19:40:00Z');
/** Ten hours of night: eight of the curve. */
const NIGHT_OF: NightFacts = {
  evening_c: 6,
  min_c: -2,
  low_c: -4,
  high_c: 0,
  line_c: 0,
  sunset: SUNSET,
  sunrise: SUNSET + 10 * HOUR,
};

describe('the night in numbers', () => {
  it('falls with the square root of the hours', () => {
    // T(h) = T2 + (Tmin - T2) √((h - 2) / (N - 2)), UC Davis frost trend worksheet: after a quarter of
    // the eight hours half of the fall is done.
    const rows = nightRows(NIGHT_OF);
    expect(rows).toHaveLength(9);
    expect(rows[2]).toMatchObject({ at: SUNSET + 4 * HOUR, air_c: 2, low_c: 1, high_c: 3 });
    expect(rows.at(-1)).toMatchObject({ at: SUNSET + 10 * HOUR, air_c: -2, low_c: -4, high_c: 0 });
  });
  it('comes down to the line when the formula says so', () => {
    // 6 of 8 degrees: (6/8)² = 9/16 of eight hours after the start, 6.5 hours after sunset.
    expect(crossing(NIGHT_OF)).toBe(SUNSET + 6.5 * HOUR);
    expect(crossing({ ...NIGHT_OF, line_c: -3 })).toBeNull();
  });
  it('does not rise when the warm end lies above the evening', () => {
    const rows = nightRows({ ...NIGHT_OF, high_c: 9 });
    expect(rows.every((row) => row.high_c === 6)).toBe(true);
  });
  it('is nothing in a night too short for the curve', () => {
    expect(nightRows({ ...NIGHT_OF, sunrise: SUNSET + 1.5 * HOUR })).toEqual([]);
    expect(nightDrawing({ ...NIGHT_OF, sunrise: SUNSET + 1.5 * HOUR })).toBeNull();
  });
});

describe('the night drawn', () => {
  it('keeps inside its frame, the band around the line', () => {
    const drawn = nightDrawing(NIGHT_OF);
    expect(drawn?.end.x).toBeCloseTo(NIGHT.width - NIGHT.right, 6);
    expect(drawn?.degrees.map(({ value }) => value)).toEqual([-4, -2, 0, 2, 4, 6]);
    expect(drawn?.end.y_high).toBeLessThan(drawn?.end.y ?? 0);
    expect(drawn?.end.y_low).toBeCloseTo(NIGHT.height - NIGHT.bottom, 6);
    expect(drawn?.line_y).toBeCloseTo(drawn?.degrees.find(({ value }) => value === 0)?.y ?? -1, 6);
  });
  it('has round figures in the unit of the plot', () => {
    const drawn = nightDrawing(NIGHT_OF, (c) => (c * 9) / 5 + 32);
    expect(drawn?.degrees.map(({ value }) => value)).toEqual([20, 25, 30, 35, 40, 45]);
  });
  it('has no band where the interval is not known', () => {
    expect(nightDrawing({ ...NIGHT_OF, low_c: null, high_c: null })?.band).toBe('');
  });
});

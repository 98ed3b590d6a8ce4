import { describe, expect, it } from 'vitest';
import { partOfDay, shiftedTo, spotOf, sunInSky, sunOn } from './daylight';

const HOUR = 3_600_000;
// fixtures/outside/sun_public.csv, row Norwich 2025-06-21, within its own tolerance of 78 s.
const NORWICH = { latitude: 52.63, longitude: 1.3, time_zone: 'Europe/London' };
const RISE = Date.parse('2025-06-21T03:30:54Z');
const SET = Date.parse('2025-06-21T20:22:24Z');

it('yesterday’s sun, moved to today, says the same of the hour', () => {
  const day = 86_400_000;
  const then = { rise: Date.parse('2026-04-14T05:10:00Z'), set: Date.parse('2026-04-14T18:55:00Z') };
  for (const [later, clock] of [
    [1, '04:30'],
    [1, '23:30'],
    [3, '12:00'],
  ] as const) {
    const now = Date.parse(`2026-04-14T${clock}:00Z`) + later * day;
    const moved = shiftedTo(now, then);
    expect(((moved?.rise ?? 0) - then.rise) % day).toBe(0);
    // The nearest noon of the sun is less than half a day away.
    expect(Math.abs(((moved?.rise ?? 0) + (moved?.set ?? 0)) / 2 - now)).toBeLessThanOrEqual(day / 2);
  }
  expect(shiftedTo(0, { rise: null, set: null })).toBeUndefined();
  expect(shiftedTo(0, undefined)).toBeUndefined();
});

it('the sun of a day stands where the public table puts it', () => {
  const { rise, set } = sunOn('2025-06-21', NORWICH);
  expect(Math.abs((rise ?? 0) - RISE)).toBeLessThanOrEqual(78_000);
  expect(Math.abs((set ?? 0) - SET)).toBeLessThanOrEqual(78_000);
});

it('has no rise where the sun stays up (same table, Tromso)', () => {
  const tromso = { latitude: 69.65, longitude: 18.96, time_zone: 'Europe/Oslo' };
  expect(sunOn('2025-06-21', tromso)).toEqual({ rise: null, set: null });
});

it('no sun is drawn for a plot that does not say where it lies', () => {
  expect(spotOf({ latitude: 51 })).toBeUndefined();
  expect(spotOf({ latitude: 0, longitude: 0, time_zone: 'UTC' })).toEqual({
    latitude: 0,
    longitude: 0,
    time_zone: 'UTC',
  });
});

describe('the part of the day', () => {
  it('follows the sun where it is known', () => {
    const today = { rise: RISE, set: SET };
    expect(partOfDay(RISE - 2 * HOUR, 3, today)).toBe('morning');
    expect(partOfDay(RISE + 3.9 * HOUR, 8, today)).toBe('morning');
    expect(partOfDay(RISE + 5 * HOUR, 10, today)).toBe('day');
    expect(partOfDay(SET - 0.5 * HOUR, 20, today)).toBe('evening');
  });

  it('follows the clock where it is not, or where the sun never sets', () => {
    expect(partOfDay(RISE, 7, undefined)).toBe('morning');
    expect(partOfDay(RISE, 13, { rise: null, set: null })).toBe('day');
    expect(partOfDay(RISE, 22, { rise: null, set: null })).toBe('evening');
  });
});

it('the drawn sun is on the horizon at rise and set, up at noon, down at midnight', () => {
  const noon = (RISE + SET) / 2;
  expect(sunInSky(RISE, RISE, SET).up).toBeCloseTo(0, 6);
  expect(sunInSky(SET, RISE, SET).up).toBeCloseTo(0, 6);
  expect(sunInSky(noon, RISE, SET)).toEqual({ across: 0.5, up: 1 });
  expect(sunInSky(noon - 12 * HOUR, RISE, SET).up).toBeCloseTo(-1, 6);
  expect(sunInSky(noon + 12 * HOUR, RISE, SET)).toMatchObject({ across: 1 });
});

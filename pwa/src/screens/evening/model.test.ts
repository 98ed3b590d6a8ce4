import { describe, expect, it } from 'vitest';
import type { PastReading } from '../readings/model';
import { airOf, EMPTY_EVENING, eveningSet, isStill, nightsAt, type PastEvening, usualDrop } from './model';

const c = (value: number) => ({ value, unit: 'degC' });
const CLOCK = { time_zone: 'Europe/London', habit: 'morning' as const };

describe('the air', () => {
  it('gives the dew point of a humidity', () => {
    // Magnus, WMO No. 8 annex 4.B: 5 °C at 90 % has its dew point at 3.495 °C.
    const air = airOf({ ...EMPTY_EVENING, air: '5', moisture: 'humidity', moist: '90' }, 'degC');
    expect(air && 'dew_c' in air && air.dew_c).toBeCloseTo(3.495, 3);
  });
  it('waits for both numbers', () => {
    expect(airOf({ ...EMPTY_EVENING, air: '5' }, 'degC')).toBeUndefined();
  });
  it('says in words what cannot be', () => {
    const air = airOf({ ...EMPTY_EVENING, air: '5', moisture: 'dew', moist: '7' }, 'degC');
    expect(air).toEqual({ field: 'moist', fault: expect.stringContaining('above the air temperature') });
  });
  it('takes Fahrenheit', () => {
    // 41 °F is 5 °C.
    const air = airOf({ ...EMPTY_EVENING, air: '41', moisture: 'humidity', moist: '90' }, 'degF');
    expect(air && 'dew_c' in air && air.dew_c).toBeCloseTo(3.495, 3);
  });
});

const evening = (day: string, air: number, sky = 'clear', wind = 'calm'): PastEvening => ({
  observed_at: `${day}T20:00:00Z`,
  air: c(air),
  dew: c(air - 3),
  sky,
  wind,
});
const morning = (day: string, min: number, reset = true, station_id = 's1'): PastReading => ({
  id: `${station_id}${day}`,
  station_id,
  observed_at: `${day}T08:00:00Z`,
  min: c(min),
  reset_done: reset,
});

describe('own nights', () => {
  const evenings = [evening('2026-01-01', 5), evening('2026-01-02', 4, 'overcast'), evening('2026-01-03', 6)];
  const readings = [
    morning('2026-01-01', 2),
    morning('2026-01-02', -1),
    morning('2026-01-03', 3),
    morning('2026-01-04', 1),
  ];
  it('pairs a still evening with the minimum of the next morning', () => {
    expect(nightsAt({ id: 's1' }, evenings, readings, CLOCK)).toEqual([
      { evening_c: 5, dew_c: undefined, min_c: -1 },
      { evening_c: 6, dew_c: undefined, min_c: 1 },
    ]);
  });
  it('adds the thermometer\u2019s own offset, as a difference', () => {
    // 0.9 degrees Fahrenheit of difference are 0.5 of Celsius.
    const nights = nightsAt({ id: 's1', offset: { value: 0.9, unit: 'degF' } }, evenings, readings, CLOCK);
    expect(nights.map((night) => night.min_c)).toEqual([-0.5, 1.5]);
  });
  it('leaves out a minimum that stood for several days, and one with no known reset', () => {
    const gap = [morning('2025-12-28', 0), morning('2026-01-02', -1)];
    expect(nightsAt({ id: 's1' }, evenings, gap, CLOCK)).toEqual([]);
    expect(nightsAt({ id: 's1' }, evenings, [morning('2026-01-02', -1)], CLOCK)).toEqual([]);
  });
  it('knows a still night', () => {
    expect(isStill({ sky: 'clear', wind: 'light' })).toBe(true);
    expect(isStill({ sky: 'clear', wind: 'windy' })).toBe(false);
    expect(isStill({ sky: 'broken', wind: 'calm' })).toBe(false);
    expect(isStill({})).toBe(false);
  });
});

describe('the usual drop', () => {
  // The ten nights of FAO's example (Snyder & de Melo-Abreu 2005, vol. 1, ch. 5).
  const T0 = [3.2, 0.8, 0.2, 2.6, 4.4, 5.2, 2.7, 1.2, 4.5, 5.6];
  const TN = [-3.1, -5, -6.3, -5.4, -4, -2.5, -4.8, -5, -4.4, -3.3];
  const nights = T0.map((evening_c, i) => ({ evening_c, dew_c: undefined, min_c: TN[i] ?? 0 }));
  it('is the mean drop of the nights, with its scatter', () => {
    // Mean and sample deviation of Tn - T0 by mean() and stdev() of Python's statistics module.
    const fit = usualDrop(nights);
    expect(fit).toMatchObject({
      n: 10,
      method: 'mean_drop',
      evening_coef: 1,
      evening_low_c: 0.2,
      evening_high_c: 5.6,
    });
    expect('intercept' in fit && fit.intercept).toBeCloseTo(-7.42, 10);
    expect('rmse_residual' in fit && fit.rmse_residual).toBeCloseTo(1.15354525991253, 12);
  });
  it('makes no fit of seven nights', () => {
    expect(usualDrop(nights.slice(0, 7))).toEqual({ n: 7 });
  });
});

it('writes the evening as typed', () => {
  const draft = { ...EMPTY_EVENING, place_id: 'p1', air: '41', moist: '38', sky: 'clear' as const };
  expect(eveningSet(draft, { observed_at: 'T', observer: 'Kit', unit: 'degF' })).toEqual({
    place_id: 'p1',
    observed_at: 'T',
    air: { value: 41, unit: 'degF' },
    wet: { value: 38, unit: 'degF' },
    sky: 'clear',
    observer: 'Kit',
  });
});

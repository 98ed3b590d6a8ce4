import { describe, expect, it } from 'vitest';
import { readingFlaws } from '../../domain/reading_flaws';
import type { PastReading } from '../readings/model';
import type { Meter } from '../warnings/last_night';
import { countsUntil, openAir, seenIn } from './seen';

const c = (value: number) => ({ value, unit: 'degC' });
const BED: Meter = { id: 's1', kind: 'thermometer', exposure: 'screen', place_id: 'bed', walk_order: 1 };
const TUNNEL: Meter = {
  id: 's2',
  kind: 'thermometer',
  exposure: 'under_cover',
  place_id: 'tun',
  walk_order: 0,
};
const SOIL: Meter = { id: 's3', kind: 'thermometer', exposure: 'soil', place_id: 'bed', walk_order: 0 };
const GRASS: Meter = { id: 's4', kind: 'grass_minimum', place_id: 'bed', walk_order: 0 };
const SECOND: Meter = { id: 's5', kind: 'thermometer', exposure: 'screen', place_id: 'far', walk_order: 2 };
const KINDS = { bed: 'bed', tun: 'tunnel', far: 'open_ground' };
const ALL = [BED, TUNNEL, SOIL, GRASS, SECOND];
const SPAN = { from: Date.parse('2026-05-12T20:40:00Z'), until: Date.parse('2026-05-13T04:10:00Z') };
let n = 0;
const read = (station_id: string, clock: string, shown: Partial<PastReading>): PastReading => {
  n += 1;
  return { id: `t${n}`, station_id, observed_at: `2026-05-${clock}:00Z`, ...shown };
};
const seen = (...readings: PastReading[]) => seenIn(ALL, KINDS, readings, SPAN);

describe('the lowest seen since the evening', () => {
  it('is the lowest current reading of each place; the first in the open stands for all', () => {
    const found = seen(
      read('s1', '12T21:30', { current: c(4) }),
      read('s1', '13T01:00', { current: c(1.5) }),
      read('s1', '13T02:00', { current: c(2) }),
      read('s2', '12T22:00', { current: c(6) }),
      read('s5', '12T22:00', { current: c(0.5) }),
    );
    expect(found).toEqual({ '': 1.5, tun: 6, far: 0.5 });
  });
  it('leaves out the soil, the grass, what has no place, and a reading with no current value', () => {
    const loose: Meter = { id: 's6', kind: 'thermometer', walk_order: 9 };
    const readings = [
      read('s3', '12T22:00', { current: c(-3) }),
      read('s4', '12T22:00', { current: c(-4) }),
      read('s6', '12T22:00', { current: c(-5) }),
      read('s1', '12T22:00', { min: c(-6) }),
      read('gone', '12T22:00', { current: c(-7) }),
    ];
    expect(seenIn([...ALL, loose], KINDS, readings, SPAN)).toEqual({});
  });
  it('takes the moment of the evening and of sunrise, and nothing before or after', () => {
    expect(
      seen(read('s1', '12T20:39', { current: c(-3) }), read('s1', '13T04:11', { current: c(-4) })),
    ).toEqual({});
    expect(seen(read('s1', '12T20:40', { current: c(3) }))).toEqual({ '': 3 });
    expect(seen(read('s1', '13T04:10', { current: c(2) }))).toEqual({ '': 2 });
  });
  it('leaves a doubtful reading out', () => {
    expect(
      seen(
        read('s1', '12T22:00', { current: c(-8), min: c(2) }),
        read('s1', '12T22:05', { current: c(-36) }),
        read('s1', '12T22:10', { current: c(-2), max: c(1), min: c(3) }),
        read('s1', '12T22:15', { current: c(3.5), max: c(12), min: c(3) }),
      ),
    ).toEqual({ '': 3.5 });
  });
  it('adds the calibration, a difference, before it judges', () => {
    // 1.8 degrees Fahrenheit of difference are 1 of Celsius; 41 °F is 5 °C.
    const meters = [{ ...BED, offset: { value: -1.8, unit: 'degF' } }];
    const put = (value: number, unit: string) =>
      seenIn(meters, KINDS, [read('s1', '12T22:00', { current: { value, unit } })], SPAN)[''];
    expect(put(41, 'degF')).toBeCloseTo(4, 9);
    expect(put(-34.5, 'degC')).toBeUndefined();
  });
});

describe('the thermometer of the open air', () => {
  it('is the first on the walk that hangs in no tunnel, then by label', () => {
    expect(openAir(ALL, KINDS)?.id).toBe('s1');
    expect(openAir([TUNNEL, SOIL, GRASS], KINDS)).toBeUndefined();
    const twins = [
      { ...BED, id: 'a', label: 'North' },
      { ...BED, id: 'b', label: 'East' },
    ];
    expect(openAir(twins, KINDS)?.id).toBe('b');
    expect(openAir([{ ...BED, place_id: 'tun' }], KINDS)).toBeUndefined();
  });
});

describe('a night counts', () => {
  it('until sunrise', () => {
    // At the equinox on Greenwich's meridian: six, plus seven minutes by the equation of time, less five that
    // refraction and the sun's own size bring it forward at this latitude (Meeus 1998, ch. 15 and 28).
    const spot = { latitude: 51.48, longitude: 0, time_zone: 'Europe/London' };
    const end = countsUntil('2026-03-20', spot, 'Europe/London');
    expect(Math.abs(end - Date.parse('2026-03-21T06:02:00Z'))).toBeLessThan(3 * 60_000);
  });
  it('until nine where nobody said where the plot is, or the sun does not set', () => {
    const nine = Date.parse('2026-06-22T09:00:00+02:00');
    expect(countsUntil('2026-06-21', undefined, 'Europe/Oslo')).toBe(nine);
    const tromso = { latitude: 69.65, longitude: 18.96, time_zone: 'Europe/Oslo' };
    expect(countsUntil('2026-06-21', tromso, 'Europe/Oslo')).toBe(nine);
  });
});

describe('doubts about a reading', () => {
  const flaws = (current_c?: number, max_c?: number, min_c?: number, soil = false) =>
    readingFlaws({ current_c, max_c, min_c }, soil);
  it('come from the range, from the order of extremes and from a value beyond them by more than a degree', () => {
    expect(flaws(60, 60, -35)).toEqual([]);
    expect(flaws(60.1)).toEqual(['out_of_range']);
    expect(flaws(46, undefined, undefined, true)).toEqual(['out_of_range']);
    expect(flaws(undefined, 3, 4)).toEqual(['max_below_min']);
    expect(flaws(6, 5)).toEqual([]);
    expect(flaws(6.1, 5)).toEqual(['current_above_max']);
    expect(flaws(3.9, undefined, 5)).toEqual(['current_below_min']);
  });
});

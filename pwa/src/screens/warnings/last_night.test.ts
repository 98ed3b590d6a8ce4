import { describe, expect, it } from 'vitest';
import type { PastReading } from '../readings/model';
import { isAsked, type Meter, minimumOf, nightOf, nightWarned, suggested } from './last_night';

const CLOCK = { time_zone: 'Europe/London', habit: 'morning' as const };
const reading = (station_id: string, at: string, min: number): PastReading => ({
  id: `${station_id}${at}`,
  station_id,
  observed_at: at,
  min: { value: min, unit: 'degC' },
  reset_done: true,
});
const METERS: Meter[] = [
  { id: 'out', kind: 'thermometer', exposure: 'screen', place_id: 'bed', walk_order: 1 },
  { id: 'in', kind: 'thermometer', exposure: 'under_cover', place_id: 'tunnel', walk_order: 2 },
  { id: 'soil', kind: 'thermometer', exposure: 'soil', place_id: 'bed', walk_order: 3 },
  { id: 'grass', kind: 'grass_minimum', place_id: 'bed', walk_order: 4 },
];
const READINGS = [
  ...METERS.map(({ id }) => reading(id, '2026-05-12T07:00:00+01:00', 3)),
  reading('out', '2026-05-13T07:00:00+01:00', -0.4),
  reading('in', '2026-05-13T07:05:00+01:00', -1.2),
  reading('soil', '2026-05-13T07:05:00+01:00', -9),
  reading('grass', '2026-05-13T07:06:00+01:00', -3.5),
];
const of = (rule: string, place_ids: string[], readings = READINGS) =>
  minimumOf('2026-05-12', { rule, place_ids }, METERS, readings, CLOCK);

describe('the night', () => {
  it('turns at noon', () => {
    expect(nightOf('2026-05-13T02:00:00+01:00', 'Europe/London')).toBe('2026-05-12');
    expect(nightOf('2026-05-13T12:00:00+01:00', 'Europe/London')).toBe('2026-05-13');
  });
  it('is in the key, or where the window opens', () => {
    expect(nightWarned({ key: '2026-05-12' }, 'Europe/London')).toBe('2026-05-12');
    const opens = { key: 'x', window_start: '2026-05-12T23:30:00Z' };
    // 23:30 UTC is 00:30 of the 13th in London in May: still the night of the 12th.
    expect(nightWarned(opens, 'Europe/London')).toBe('2026-05-12');
  });
});

describe('the minimum that speaks', () => {
  it('is the coldest at the warned places', () => {
    expect(of('frost', ['tunnel', 'bed'])).toMatchObject({ min_c: -1.2, meter: { id: 'in' } });
    expect(of('frost', ['bed'])).toMatchObject({ min_c: -0.4, meter: { id: 'out' } });
  });
  it('is the open air where the warned place has no thermometer', () => {
    expect(of('frost', ['frame'])).toMatchObject({ min_c: -0.4, meter: { id: 'out' } });
  });
  it('is the grass minimum for frost on the ground', () => {
    expect(of('ground_frost', [])).toMatchObject({ min_c: -3.5, meter: { id: 'grass' } });
  });
  it('is none where nobody set the thermometer back the day before, or nobody read it', () => {
    expect(of('frost', ['bed'], [reading('out', '2026-05-13T07:00:00+01:00', -4)])).toBeUndefined();
    expect(of('frost', ['bed'], READINGS.slice(0, 4))).toBeUndefined();
  });
  it('gives the answer at the line that was warned of', () => {
    const minimum = of('frost', ['bed']);
    expect(suggested(minimum, 0)).toBe('happened');
    expect(suggested(minimum, -0.4)).toBe('happened');
    expect(suggested(minimum, -2.2)).toBe('did_not_happen');
    expect(suggested(undefined, 0)).toBeUndefined();
  });
});

it('people are asked from the end of the window for a day and a half', () => {
  const body = { window_end: '2026-05-13T05:00:00Z' };
  expect(isAsked(body, Date.parse('2026-05-13T04:59:00Z'))).toBe(false);
  expect(isAsked(body, Date.parse('2026-05-13T05:00:00Z'))).toBe(true);
  expect(isAsked(body, Date.parse('2026-05-14T17:00:00Z'))).toBe(false);
});

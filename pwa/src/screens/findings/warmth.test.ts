import { describe, expect, it } from 'vitest';
import type { PastReading } from '../readings/model';
import { comingUp, emergingCrop, soilSince } from './coming_up';
import { daysAhead, heatSum } from './heat_sums';
import { frostDays, type WarmDay, warmDays } from './warm_days';
import { warmNumbers, warmPicture } from './warm_pictures';

describe('the days of a thermometer', () => {
  const GLASS = { id: 'g', exposure: 'screen' };
  const CLOCK = { time_zone: 'Europe/London', habit: 'morning' } as const;
  const degc = (value: number) => ({ value, unit: 'degC' });
  const read = (at: string, min: number, max: number, more = {}): PastReading => ({
    ...{
      id: at,
      station_id: 'g',
      observed_at: at,
      current: degc((min + max) / 2),
      min: degc(min),
      max: degc(max),
    },
    ...{ reset_done: true, ...more },
  });
  it('credits a morning maximum to yesterday, and believes nothing before the first reset', () => {
    const days = warmDays(
      GLASS,
      [read('2026-05-01T08:00:00+01:00', 1, 20), read('2026-05-02T08:00:00+01:00', -2, 15)],
      CLOCK,
    );
    expect(days).toEqual([
      expect.objectContaining({ day: '2026-05-01', min: null, max: 15, now: 10.5 }),
      expect.objectContaining({ day: '2026-05-02', min: -2, max: null, now: 6.5, state: 'read' }),
    ]);
    expect(frostDays(days).map(({ day }) => day)).toEqual(['2026-05-02']);
  });
  it('leaves out what stands for several days or is doubtful, marks what was read before sunrise', () => {
    const days = warmDays(
      GLASS,
      [
        read('2026-05-01T08:00:00+01:00', 1, 20),
        read('2026-05-05T08:00:00+01:00', -9, 30),
        read('2026-05-06T04:00:00+01:00', 3, 14),
        read('2026-05-07T08:00:00+01:00', 50, 14),
      ],
      CLOCK,
    );
    const of = (day: string): WarmDay | undefined => days.find((one) => one.day === day);
    expect(of('2026-05-05')).toMatchObject({ min: null, state: 'several_days' });
    expect(of('2026-05-06')).toMatchObject({ min: 3, state: 'early' });
    expect(of('2026-05-07')).toMatchObject({ min: null, now: null, state: 'doubtful' });
  });
  it('a day that nobody read is a row of its own, with no number', () => {
    const days: WarmDay[] = ['2026-05-01', '2026-05-03'].map((day) => ({
      day,
      min: 1,
      max: 9,
      now: null,
      n_now: 0,
      state: 'read',
    }));
    const numbers = warmNumbers(days, 'degC');
    expect(numbers.rows.map((row) => row.slice(0, 3))).toEqual([
      ['2026-05-03', 1, 9],
      ['2026-05-02', null, null],
      ['2026-05-01', 1, 9],
    ]);
    expect(numbers.rows[1]?.[4]).not.toBe(numbers.rows[0]?.[4]);
    expect(warmNumbers(days, 'degF').rows[0]?.[2]).toBeCloseTo(48.2, 9);
    expect(warmPicture(days, false, 'degF').layers.find(({ kind }) => kind === 'level')).toMatchObject({
      y: 32,
    });
  });
});

describe('warmth gathered', () => {
  const day = (i: number, min: number, max: number): WarmDay => ({
    ...{
      day: new Date(Date.UTC(2026, 0, 1 + i)).toISOString().slice(0, 10),
      min,
      max,
      now: null,
      n_now: 0,
      state: 'read',
    },
  });
  it('adds up what was read: 10 days at 10 to 20 °C above 5 °C are 100', () => {
    const sum = heatSum(
      Array.from({ length: 10 }, (_, i) => day(i, 10, 20)),
      2026,
      5,
      '2026-06-30',
    );
    expect(sum?.n_missing).toBe(0);
    expect(sum?.days.at(-1)).toMatchObject({
      day: '2026-01-10',
      low: expect.closeTo(100, 9),
      high: expect.closeTo(100, 9),
    });
  });
  it('reckons a missing day as cool and as warm as those near it', () => {
    const days = [day(0, 10, 20), day(1, 5, 15), day(3, 10, 20)];
    const sum = heatSum(days, 2026, 5, '2026-06-30');
    expect(sum).toMatchObject({ n_missing: 1 });
    expect(sum?.days.at(-1)).toMatchObject({ low: expect.closeTo(30, 9), high: expect.closeTo(35, 9) });
  });
  it('stops where nobody read for long, and has nothing to say of a year without readings', () => {
    const days = [day(0, 10, 20), day(40, 10, 20)];
    expect(heatSum(days, 2026, 5, '2026-06-30')).toMatchObject({ broken_on: '2026-01-12', n_missing: 10 });
    expect(heatSum(days, 2025, 5, '2026-06-30')).toBeUndefined();
  });
  it('says how many days one year is ahead of another', () => {
    const warm = heatSum(
      Array.from({ length: 10 }, (_, i) => day(i, 10, 20)),
      2026,
      5,
      '2026-06-30',
    );
    const cool = heatSum(
      Array.from({ length: 30 }, (_, i) => day(i, 5, 15)),
      2026,
      5,
      '2026-06-30',
    );
    // 100 degree-days: on the 10th at 10 a day, on the 20th at 5 a day.
    expect(warm && cool && daysAhead(warm, cool)).toBe(10);
    expect(warm && cool && daysAhead(cool, warm)).toBeUndefined();
  });
});

describe('coming up', () => {
  const soil = (from: string, n: number, c: number): WarmDay[] =>
    Array.from({ length: n }, (_, i) => ({
      day: new Date(Date.parse(`${from}T00:00:00Z`) + i * 86_400_000).toISOString().slice(0, 10),
      ...{ min: null, max: null, now: c, n_now: 1, state: 'read' as const },
    }));
  const CROPS = [{ id: 'c', kind: 'Carrot', place_id: 'x' }];
  const step = (what: string, day: string, more = {}) => ({ crop_id: 'c', what, day, ...more });
  // Harrington and Minges 1954: carrots took 10 days to come up at 15 °C of the soil.
  it('forecasts from the soil since sowing, near the published days', () => {
    const [row] = comingUp(
      CROPS,
      [step('sown', '2026-05-01')],
      () => soil('2026-04-28', 8, 15),
      '2026-05-05',
    );
    const middle = Number(row?.forecast?.middle.slice(8)) - 1;
    expect(Math.abs(middle - 10)).toBeLessThanOrEqual(2);
    expect((row?.forecast?.from ?? '') < (row?.forecast?.middle ?? '')).toBe(true);
  });
  it('tells sown, come up by word and come up by what was done with it', () => {
    const [row] = comingUp(
      CROPS,
      [
        step('sown', '2026-05-01'),
        step('stage', '2026-05-13', { stage: 'coming up (BBCH 09)' }),
        step('planted', '2026-06-20'),
      ],
      () => undefined,
      '2026-07-01',
    );
    expect(row).toMatchObject({
      came_up_on: '2026-05-13',
      took: 12,
      up_by: '2026-05-13',
      why_not: 'no_soil',
    });
  });
  it('gives none where the soil was read too seldom, is too cold, or nobody has published days', () => {
    const sown = [step('sown', '2026-05-01')];
    const why = (days: WarmDay[], kind = 'Carrot') =>
      comingUp([{ id: 'c', kind }], sown, () => days, '2026-07-01')[0]?.why_not;
    expect(why(soil('2026-05-01', 3, 10))).toBe('soil_gap');
    expect(why(soil('2026-05-01', 60, -1))).toBe('cold');
    expect(why(soil('2026-05-01', 60, 15), 'Potato')).toBe('no_figures');
    expect(why(soil('2026-03-01', 3, 10))).toBe('no_soil');
    expect([emergingCrop('Broad bean'), emergingCrop('French bean'), emergingCrop('Parsnip')]).toEqual([
      undefined,
      'bean',
      'parsnip',
    ]);
  });
  it('fills a short gap on a straight line', () => {
    const days = [...soil('2026-05-01', 1, 10), ...soil('2026-05-05', 1, 14)];
    expect(soilSince(days, '2026-05-01', '2026-05-06')).toEqual({
      soil: [10, 11, 12, 13, 14],
      broken: false,
    });
    expect(soilSince(days, '2026-05-01', '2026-07-06')?.broken).toBe(true);
  });
});

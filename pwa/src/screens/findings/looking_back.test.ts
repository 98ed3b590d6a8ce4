import { describe, expect, it } from 'vitest';
import { pooledLimits } from './bed_limits';
import { apart, bedRanks } from './bed_ranks';
import type { CountView, Point } from './model';
import { pressureNumbers, pressurePicture } from './pressure_picture';
import { seasonMs, seasonWeek, weekMs } from './season_days';
import { seasonPicture } from './season_picture';
import { compareSeasons, quantile, seasonWeeks, usualBand } from './seasons';
import { monthsOf, readingSpan } from './years';

const point = (day: string, mean: number, more: Partial<Point> = {}): Point => ({
  ...{
    round_id: day,
    day,
    at_ms: Date.parse(`${day}T06:00:00Z`),
    kind: 'valid',
    n: 10,
    total: mean * 10,
    mean,
  },
  ...{ low: mean / 2, high: mean * 2, model: 'poisson', n_none: 2, n_not_turned: 1, n_spoiled: 3 },
  ...{ n_no_record: 4, n_disputed: 0, n_kept: 0, cautions: [] },
  ...more,
});

describe('limits of beds', () => {
  // statsmodels 0.15.0: GLM, Poisson with one level a bed, offset log(turns), scale="X2"; t limits with 3 degrees of
  // freedom (6 boards, 3 beds) on the log scale.
  it('are those of a quasi-Poisson fit with one scatter for all beds', () => {
    const limits = pooledLimits([
      [14, 2].map((slugs) => ({ turns: 5, slugs })).concat([{ turns: 4, slugs: 9 }]),
      [30, 11].map((slugs) => ({ turns: 5, slugs })),
      [{ turns: 5, slugs: 3 }],
    ]);
    expect(limits?.[0]?.low).toBeCloseTo(0.3831154167, 8);
    expect(limits?.[0]?.high).toBeCloseTo(8.3232764097, 8);
    expect(limits?.[1]?.low).toBeCloseTo(1.2324997625, 8);
    expect(limits?.[1]?.high).toBeCloseTo(13.6389478615, 8);
    // 51.04 is 85 times the mean of 0.6: of no use, and drawn open.
    expect(limits?.[2]?.low).toBeCloseTo(0.0070535694, 8);
    expect(limits?.[2]?.high).toBeNull();
  });
  it('are never narrower than chance, and unknown where no bed has two boards', () => {
    expect(pooledLimits([[{ turns: 5, slugs: 3 }], [{ turns: 5, slugs: 8 }]])).toBeUndefined();
    const even = pooledLimits([[5, 5, 5, 5].map((slugs) => ({ turns: 5, slugs }))]);
    // phi = 1, 20 slugs, t(3) = 3.182446: exp(3.182446/sqrt(20)) = 2.0373
    expect((even?.[0]?.high ?? 0) / 1).toBeCloseTo(2.0373, 4);
  });
  it('nothing found still has an upper limit', () => {
    const limits = pooledLimits([
      [0, 0].map((slugs) => ({ turns: 4, slugs })),
      [4, 4].map((slugs) => ({ turns: 4, slugs })),
    ]);
    // Poisson limit of nought at 95 %, two-sided: 3.688879 (Garwood 1936), over 8 turns.
    expect(limits?.[0]).toEqual({ low: 0, high: expect.closeTo(3.688879 / 8, 6) });
  });
});

describe('beds by rank', () => {
  const boards = ['a', 'b', 'c', 'd'].map((id, i) => ({
    id,
    place_id: i < 2 ? 'x' : 'y',
    set_on: '2026-01-01',
  }));
  const rounds = ['2026-05-01', '2026-05-08', '2026-03-01'].map((day, i) => ({
    id: `r${i}`,
    day,
    valid: true,
  }));
  const count = (round: number, board: string, state: string, n = 0): CountView => ({
    ...{ id: `${round}${board}${n}`, round_id: `r${round}`, station_id: board, state, count: n },
  });
  it('keeps the states apart, looks back six weeks, and puts most first', () => {
    const counts = [
      count(0, 'a', 'counted', 4),
      count(0, 'b', 'none_found'),
      count(0, 'c', 'not_turned'),
      count(0, 'd', 'counted', 1),
      count(1, 'a', 'spoiled'),
      count(1, 'c', 'none_found'),
      count(1, 'd', 'counted', 3),
      count(1, 'd', 'counted', 5),
      count(2, 'c', 'counted', 99),
    ];
    const found = bedRanks(rounds, counts, boards);
    expect([found?.from, found?.to]).toEqual(['2026-03-27', '2026-05-08']);
    expect(found?.ranks.map((bed) => bed.place_id)).toEqual(['x', 'y']);
    expect(found?.ranks[0]).toMatchObject({
      n: 2,
      total: 4,
      mean: 2,
      n_counted: 1,
      n_none: 1,
      n_spoiled: 1,
      n_no_record: 1,
    });
    expect(found?.ranks[1]).toMatchObject({
      n: 2,
      total: 1,
      n_counted: 1,
      n_none: 1,
      n_not_turned: 1,
      n_disputed: 1,
    });
    expect(apart(found?.ranks ?? [])).toBe(false);
    expect(bedRanks([], counts, boards)).toBeUndefined();
  });
});

describe('seasons', () => {
  it('puts the same days of all years in the same week, leap years too', () => {
    for (const day of ['03-01', '12-31', '02-28', '07-14']) {
      expect(seasonWeek(`2024-${day}`)).toBe(seasonWeek(`2025-${day}`));
      expect(seasonMs(`2024-${day}`)).toBe(seasonMs(`2026-${day}`));
    }
    expect(seasonWeek('2026-01-01')).toBe(0);
    expect(seasonWeek('2024-12-31')).toBe(51);
    expect(Math.abs(weekMs(seasonWeek('2026-05-06')) - seasonMs('2026-05-06'))).toBeLessThanOrEqual(
      3 * 86_400_000,
    );
  });
  it('weighs a week by its boards and leaves rounds that are not valid out', () => {
    const weeks = seasonWeeks([
      point('2026-05-06', 1, { n: 10, total: 10 }),
      point('2026-05-07', 4, { n: 30, total: 120 }),
      point('2026-05-08', 99, { kind: 'not_valid' }),
    ]);
    expect(weeks.get(2026)).toEqual([
      expect.objectContaining({ n_rounds: 2, n_boards: 40, mean: 3.25, least: 1, most: 4 }),
    ]);
  });
  it('compares only the days that both years have, and calls apart what is apart', () => {
    const year = (y: number, means: number[]) => means.map((mean, i) => point(`${y}-05-0${i + 1}`, mean));
    const points = [...year(2025, [9, 8, 9, 8, 9]), point('2025-08-01', 50), ...year(2026, [1, 2, 1, 2, 1])];
    expect(compareSeasons(points, 2026, 2025)).toMatchObject({
      ...{ from: '05-01', to: '05-05', verdict: 'less' },
      ...{ one: { n: 5, mean: 1.4, q1: 1, q3: 2 }, other: { n: 5, mean: 8.6, q1: 8, q3: 9 } },
    });
    expect(compareSeasons(points, 2025, 2026)?.verdict).toBe('more');
    expect(compareSeasons(year(2026, [1, 2, 3, 4]), 2026, 2025)).toBeUndefined();
  });
  // numpy.quantile([1, 2, 4, 8], [0.25, 0.75]) = [1.75, 5.0]
  it('takes quartiles as numpy does', () => {
    expect([quantile([1, 2, 4, 8], 0.25), quantile([1, 2, 4, 8], 0.75)]).toEqual([1.75, 5]);
  });
  it('draws the years that are not chosen as one band', () => {
    const points = [2023, 2024, 2025, 2026].map((y) => point(`${y}-05-06`, y - 2020));
    const weeks = seasonWeeks(points);
    expect(usualBand(weeks, [2026, 2025])).toEqual([expect.objectContaining({ low: 3, high: 4 })]);
    const picture = seasonPicture(weeks, 2026, 2025);
    expect(picture.layers.filter(({ kind }) => kind === 'band')).toHaveLength(1);
    expect(picture.high).toBe(6);
  });
});

describe('the picture of pressure', () => {
  const points = [
    point('2026-05-01', 2),
    point('2026-05-08', 3, { kind: 'not_valid' }),
    point('2026-05-15', 40, { high: null }),
  ];
  it('has a shape for each kind of round, and marks for what was done and froze in its time', () => {
    const marks = ['2026-05-09', '2026-05-09', '2025-01-01'].map((day) => ({ day, label: 'mulch' }));
    const picture = pressurePicture(points, marks, ['2026-05-02', '2024-01-01']);
    const shapes = picture.layers.flatMap((layer) => (layer.kind === 'dots' ? [layer.shape] : []));
    expect(new Set(shapes).size).toBe(2);
    const flags = picture.layers.flatMap((layer) =>
      layer.kind === 'flags' ? [[layer.shape, layer.x.length]] : [],
    );
    expect(flags).toEqual([
      ['triangle', 1],
      ['star', 1],
    ]);
  });
  it('gives each state of a board a column of its own in the file', () => {
    const { columns, rows } = pressureNumbers(points);
    const cell = (file: string) => rows[0]?.[columns.findIndex((column) => column.file === file)];
    expect(rows.map((row) => row[0])).toEqual(['2026-05-15', '2026-05-08', '2026-05-01']);
    expect(
      ['boards_none_found', 'boards_not_turned', 'boards_spoiled', 'boards_no_record'].map(cell),
    ).toEqual([2, 1, 3, 4]);
    expect(cell('high_95_percent_slugs_per_board')).toBeNull();
  });
});

describe('years', () => {
  it('have their months as far as they have begun', () => {
    expect(monthsOf(2024, '2024-03-05')).toEqual([
      { from: '2024-01-01', to: '2024-01-31' },
      { from: '2024-02-01', to: '2024-02-29' },
      { from: '2024-03-01', to: '2024-03-31' },
    ]);
    expect(monthsOf(2023, '2024-03-05')).toHaveLength(12);
  });
  it('read readings from before New Year, and New Year morning, which holds the last maximum', () => {
    expect(readingSpan({ from: '2024-01-01', to: '2024-01-31' })).toEqual({
      from: '2023-12-22',
      to: '2024-01-31',
    });
    expect(readingSpan({ from: '2024-12-01', to: '2024-12-31' })).toEqual({
      from: '2024-12-01',
      to: '2025-01-01',
    });
  });
});

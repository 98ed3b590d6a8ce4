import { describe, expect, it } from 'vitest';
import { againstUsual, type CountView, pressure, settledCounts, spanStart, within } from './model';

const ZONE = 'Europe/London';
const counted = (station: string, n: number, more: Partial<CountView> = {}): CountView => ({
  id: `${station}-${n}`,
  round_id: 'r1',
  station_id: station,
  state: n === 0 ? 'none_found' : 'counted',
  count: n,
  ...more,
});
const NONE = { counts: [], n_none: 0, n_not_turned: 0, n_spoiled: 0, n_disputed: 0, n_kept: 0 };
const round = (id: string, day: string, more = {}) => ({ id, observed_at: `${day}T06:00:00+01:00`, ...more });

describe('which counts may speak', () => {
  it('nought found is a nought, not turned is nothing', () => {
    const settled = settledCounts([
      counted('a', 4),
      counted('b', 0),
      counted('c', 1, { state: 'not_turned' }),
    ]);
    expect(settled).toEqual({ ...NONE, counts: [4, 0], n_none: 1, n_not_turned: 1 });
  });
  it('a board counted twice is left out until one stands', () => {
    const two = [counted('a', 7), counted('a', 9), counted('b', 1)];
    expect(settledCounts(two)).toEqual({ ...NONE, counts: [1], n_disputed: 1 });
    const settled = [
      counted('a', 7, { set_aside: true }),
      counted('a', 9, { stands: true }),
      counted('b', 1),
    ];
    expect(settledCounts(settled)).toEqual({ ...NONE, counts: [9, 1] });
  });
  it('a board of which both counts were kept is left out, and waits for nobody', () => {
    const kept = [counted('a', 7, { stands: true }), counted('a', 9, { stands: true }), counted('b', 1)];
    expect(settledCounts(kept)).toEqual({ ...NONE, counts: [1], n_kept: 1 });
    const [point] = pressure([round('r1', '2026-05-01')], kept, ZONE);
    expect(point).toMatchObject({ kind: 'valid', n: 1, total: 1, n_kept: 1 });
  });
  it('a count from a wrong clock is used, and the round says so', () => {
    const [point] = pressure(
      [round('r1', '2026-05-01')],
      [counted('a', 7), counted('b', 1, { clock_suspect: true })],
      ZONE,
    );
    expect(point).toMatchObject({ kind: 'valid', n: 2, total: 8, clock_suspect: true });
    const [right] = pressure([round('r1', '2026-05-01')], [counted('a', 7)], ZONE);
    expect(right).not.toHaveProperty('clock_suspect');
  });
  it('a spoiled board is no nought: mean and summary are those without it', () => {
    const rest = [counted('a', 4), counted('b', 0), counted('c', 5)];
    const with_spoiled = [...rest, counted('d', 0, { state: 'spoiled' })];
    expect(settledCounts(with_spoiled).counts).toEqual([4, 0, 5]);
    const [point] = pressure([round('r1', '2026-05-01')], with_spoiled, ZONE);
    expect(point).toMatchObject({ n: 3, total: 9, mean: 3, n_not_turned: 0, n_spoiled: 1 });
  });
  it('a board that stood there and of which nothing is written is neither turned nor not turned', () => {
    const boards = [
      { id: 'a' },
      { id: 'b', set_on: '2026-04-01' },
      { id: 'c', set_on: '2026-05-02' },
      { id: 'd', retired_on: '2026-05-01' },
    ];
    const one = [counted('a', 4)];
    expect(pressure([round('r1', '2026-05-01')], one, ZONE, boards)[0]?.n_no_record).toBe(1);
    expect(pressure([round('r1', '2026-05-01')], one, ZONE)[0]?.n_no_record).toBeNull();
  });
  it('a count in conflict is left out too', () => {
    expect(settledCounts([counted('a', 7, { conflicted: true })])).toMatchObject({
      counts: [],
      n_disputed: 1,
    });
  });
});

describe('pressure', () => {
  // Crawley's slug data (The R Book), 40 tiles in the nursery: mean 1.275, 25 noughts.
  const NURSERY = [
    3, 0, 0, 0, 0, 1, 0, 3, 0, 0, 0, 0, 2, 5, 6, 0, 4, 7, 0, 1, 0, 1, 0, 0, 0, 0, 10, 0, 0, 0, 0, 2, 0, 0, 1,
    1, 0, 0, 0, 4,
  ];
  it('gives the mean with the wide interval that clumping asks for', () => {
    const [point] = pressure(
      [round('r1', '2026-05-01')],
      NURSERY.map((n, i) => counted(`b${i}`, n)),
      ZONE,
    );
    expect(point).toMatchObject({ n: 40, total: 51, kind: 'valid', model: 'negative-binomial' });
    expect(point?.mean).toBeCloseTo(1.275, 12);
    // The plain Poisson interval is 0.9493 to 1.6764 (Garwood): honest ones are wider on both sides.
    expect(point?.low).toBeLessThan(0.9493);
    expect(point?.high).toBeGreaterThan(1.6764);
  });
  it('tells valid, not valid and disputed rounds apart, oldest first', () => {
    const rounds = [
      round('r3', '2026-05-03'),
      round('r1', '2026-05-01'),
      round('r2', '2026-05-02', { valid: false, not_valid_reason: 'hoed' }),
    ];
    const counts = [
      counted('a', 1),
      counted('a', 2, { round_id: 'r2' }),
      counted('a', 3, { round_id: 'r3' }),
      counted('b', 3, { round_id: 'r3' }),
      counted('b', 5, { round_id: 'r3' }),
    ];
    const points = pressure(rounds, counts, ZONE);
    expect(points.map((point) => [point.round_id, point.kind])).toEqual([
      ['r1', 'valid'],
      ['r2', 'not_valid'],
      ['r3', 'disputed'],
    ]);
    expect(points[1]?.why_not).toBe('hoed');
  });
  it('has no point for a round of which nothing is settled', () => {
    expect(pressure([round('r1', '2026-05-01')], [counted('a', 1, { state: 'spoiled' })], ZONE)).toEqual([]);
  });
});

describe('against the usual', () => {
  const series = (means: number[]) =>
    pressure(
      means.map((_, i) => round(`r${i}`, `2026-05-${String(i + 1).padStart(2, '0')}`)),
      means.flatMap((n, i) =>
        Array.from({ length: 12 }, (_, b) => counted(`b${b}`, n, { round_id: `r${i}` })),
      ),
      ZONE,
    );
  it('needs three rounds before it', () => {
    expect(againstUsual(series([2, 2, 2]))).toBeUndefined();
    expect(againstUsual(series([2, 2, 2, 2]))).toMatchObject({ usual: 2, n_usual: 3, verdict: 'within' });
  });
  it('says above or below only when the interval leaves the usual behind', () => {
    expect(againstUsual(series([2, 2, 2, 6]))?.verdict).toBe('above');
    expect(againstUsual(series([6, 6, 6, 2]))?.verdict).toBe('below');
  });
  it('reads no further back than the span asks for', () => {
    const rounds = [round('r1', '2025-05-01'), round('r2', '2026-05-01')];
    expect(spanStart(rounds, 'month', ZONE)).toBe('2026-03-31');
    expect(spanStart(rounds, 'all', ZONE)).toBeUndefined();
    expect(spanStart([], 'season', ZONE)).toBeUndefined();
  });
  it('cuts a month back from the newest round', () => {
    const points = series([1, 1, 1]);
    const old = { ...points[0], at_ms: (points[0]?.at_ms ?? 0) - 40 * 86_400_000 } as (typeof points)[number];
    expect(within([old, ...points], 'month')).toHaveLength(3);
    expect(within([old, ...points], 'all')).toHaveLength(4);
    expect(within([], 'month')).toEqual([]);
  });
});

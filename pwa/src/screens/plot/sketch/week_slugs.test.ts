import { describe, expect, it } from 'vitest';
import { bedWeeks, type TurnedBoard } from './week_slugs';

const boards = [
  { id: 'a1', place_id: 'A' },
  { id: 'a2', place_id: 'A' },
  { id: 'b1', place_id: 'B', set_on: '2026-05-07' },
  { id: 'gone', place_id: 'C', retired_on: '2026-05-04' },
];
const rounds = [
  { id: 'r1', day: '2026-05-05', valid: true },
  { id: 'r2', day: '2026-05-08', valid: true },
  { id: 'storm', day: '2026-05-09', valid: false },
];
const said = (round_id: string, station_id: string, rest: Partial<TurnedBoard>): TurnedBoard => {
  return { id: `${round_id}${station_id}${rest.count}`, round_id, station_id, ...rest };
};
const week = (counts: TurnedBoard[]) => bedWeeks(rounds, counts, boards, '2026-05-10');

describe('a week of a bed', () => {
  it('keeps counted, none found, not turned, spoiled and no record apart', () => {
    const bed = week([
      said('r1', 'a1', { state: 'counted', count: 5 }),
      said('r1', 'a2', { state: 'none_found', count: 0 }),
      said('r2', 'a1', { state: 'not_turned' }),
    ]).get('A');
    expect(bed).toMatchObject({
      n_boards: 2,
      n: 2,
      total: 5,
      mean: 2.5,
      n_counted: 1,
      n_none: 1,
      n_not_turned: 1,
      n_spoiled: 0,
      n_no_record: 1,
    });
    // Garwood 1936, 95 %: 5 found is 1.6235 to 11.6683; here over two turns.
    expect(bed?.low).toBeCloseTo(1.6235 / 2, 4);
    expect(bed?.high).toBeCloseTo(11.6683 / 2, 4);
    expect(bed?.model).toBe('poisson');
  });
  it('spoiled is not none found: it leaves the mean alone', () => {
    const bed = week([
      said('r1', 'a1', { state: 'counted', count: 4 }),
      said('r1', 'a2', { state: 'spoiled' }),
    ]).get('A');
    expect([bed?.mean, bed?.n_spoiled, bed?.n]).toEqual([4, 1, 1]);
  });
  it('nothing found has a mean of nought and still an upper limit', () => {
    const bed = week([said('r1', 'a1', { state: 'none_found' })]).get('A');
    expect([bed?.mean, bed?.low]).toEqual([0, 0]);
    expect(bed?.high).toBeCloseTo(3.6889, 4); // Garwood 1936 at 0
  });
  it('without a number there is no mean at all', () => {
    expect(week([said('r1', 'a1', { state: 'not_turned' })]).get('A')).toMatchObject({
      mean: null,
      low: null,
      n: 0,
    });
  });
});

describe('the law of the interval', () => {
  const counts = [0, 0, 9, 0, 0, 1];
  const many = (n: number) => Array.from({ length: n }, (_, i) => ({ id: `m${i}`, place_id: 'M' }));
  const walks = (n: number) =>
    Array.from({ length: n }, (_, i) => ({ id: `w${i}`, day: '2026-05-05', valid: true }));
  it('six turns of two boards are two boards: Poisson', () => {
    const told = counts.map((count, i) => said(`w${i % 3}`, `m${i % 2}`, { state: 'counted', count }));
    const bed = bedWeeks(walks(3), told, many(2), '2026-05-10').get('M');
    expect([bed?.n, bed?.model]).toEqual([6, 'poisson']);
    expect(bed?.high).toBeCloseTo(18.3904 / 6, 3); // Garwood 1936 at 10
  });
  it('six boards that differ more than chance show that slugs clump', () => {
    const told = counts.map((count, i) => said('w0', `m${i}`, { state: 'counted', count }));
    const bed = bedWeeks(walks(1), told, many(6), '2026-05-10').get('M');
    expect(bed?.model).toBe('negative-binomial');
    expect(bed?.high ?? 0).toBeGreaterThan(18.3904 / 6);
  });
});

describe('what is not settled', () => {
  const twice = [
    said('r1', 'a1', { state: 'counted', count: 5 }),
    said('r1', 'a1', { state: 'counted', count: 2 }),
  ];
  it('a double count stands at the side, out of the mean', () => {
    const bed = week([...twice, said('r1', 'a2', { state: 'counted', count: 1 })]).get('A');
    expect(bed).toMatchObject({ mean: 1, n: 1, n_disputed: 1, n_kept: 0, at_side: [[5, 2]] });
  });
  it('both kept asks nothing more, and stays out', () => {
    const bed = week(twice.map((count) => ({ ...count, stands: true }))).get('A');
    expect(bed).toMatchObject({ n: 0, n_disputed: 0, n_kept: 1 });
  });
  it('one that was settled counts', () => {
    const [first, second] = twice as [TurnedBoard, TurnedBoard];
    const bed = week([
      { ...first, stands: true },
      { ...second, set_aside: true },
    ]).get('A');
    expect(bed).toMatchObject({ mean: 5, n_disputed: 0 });
  });
  it('a value in dispute stands at the side too', () => {
    const bed = week([said('r1', 'a1', { state: 'counted', count: 7, conflicted: true })]).get('A');
    expect(bed).toMatchObject({ n: 0, n_disputed: 1, at_side: [[7]] });
  });
});

describe('which rounds and boards speak', () => {
  it('a round that is not valid is left out', () => {
    expect(week([said('storm', 'a1', { state: 'counted', count: 40 })]).get('A')?.n).toBe(0);
  });
  it('a board is only missed on rounds after it was set, and one taken away before is not there', () => {
    const beds = week([]);
    expect(beds.get('B')).toMatchObject({ n_boards: 1, n_no_record: 1 });
    expect(beds.has('C')).toBe(false);
  });
});

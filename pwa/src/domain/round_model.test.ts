import { describe, expect, it } from 'vitest';
import type { SlugCount } from '../generated/api';
import { standing } from './double_counts';
import {
  afterTap,
  type CountView,
  hardestPlaces,
  nextTodo,
  planksOf,
  progressOf,
  undoing,
  whyNotValid,
} from './round_model';

const boards = ['a', 'b', 'c'].map((id, n) => ({
  id,
  label: `Board ${n + 1}`,
  place_id: id === 'c' ? 'q' : 'p',
  place: id === 'c' ? 'Far' : 'Near',
  walk_order: 3 - n,
}));
const ADA = { observer: 'Ada', device_id: 'phone-1' };
const count = (station_id: string, body: SlugCount, id = station_id): CountView => ({
  id,
  body: { station_id, observer: 'Ada', ...body },
  conflicts: [],
});

describe('planks', () => {
  it('stand in walking order and tell no record from none found', () => {
    const planks = planksOf(boards, [count('b', { state: 'none_found', count: 0 })], ADA);
    expect(planks.map((plank) => plank.board.id)).toEqual(['c', 'b', 'a']);
    expect(planks.map((plank) => plank.state)).toEqual(['todo', 'none_found', 'todo']);
    expect(planks[1]?.number).toBe(0);
    expect(planks[0]?.number).toBeUndefined();
  });

  it("keep another person's count beside one's own and leave both out of the mean", () => {
    const counts = [
      count('a', { state: 'counted', count: 4 }),
      count('a', { state: 'counted', count: 6, observer: 'Bo' }, 'a2'),
      count('b', { state: 'counted', count: 2 }),
    ];
    const planks = planksOf(boards, counts, ADA);
    const double = planks.find((plank) => plank.board.id === 'a');
    expect(double?.double).toBe(true);
    expect(double?.mine?.id).toBe('a');
    expect(double?.others.map((other) => other.id)).toEqual(['a2']);
    expect(progressOf(planks)).toMatchObject({ n_done: 2, n_double: 1, numbers: [2], total: 2, n_missed: 1 });
  });

  it('ask nothing more of two counts that a person kept, and still leave them out of the mean', () => {
    const counts = [
      count('a', { state: 'counted', count: 4, stands: true }),
      count('a', { state: 'counted', count: 6, observer: 'Bo', stands: true }, 'a2'),
      count('b', { state: 'counted', count: 2 }),
    ];
    const planks = planksOf(boards, counts, ADA);
    expect(planks.find((plank) => plank.board.id === 'a')).toMatchObject({ double: true, kept: true });
    expect(progressOf(planks)).toMatchObject({ n_done: 2, n_double: 0, n_kept: 1, numbers: [2], total: 2 });
    // A third person's number is a new question.
    const third = count('a', { state: 'counted', count: 9, observer: 'Cy' }, 'a3');
    expect(progressOf(planksOf(boards, [...counts, third], ADA))).toMatchObject({ n_double: 1, n_kept: 0 });
  });

  it('leave a spoiled board out of mean and total, but not out of what is done', () => {
    const counts = [
      count('a', { state: 'counted', count: 4 }),
      count('b', { state: 'spoiled', reason: 'Under water' }),
      count('c', { state: 'none_found', count: 0 }),
    ];
    const planks = planksOf(boards, counts, ADA);
    expect(planks.map((plank) => plank.state)).toEqual(['none_found', 'spoiled', 'counted']);
    expect(progressOf(planks)).toMatchObject({ n_done: 3, n_unturned: 1, numbers: [0, 4], total: 4 });
    expect(hardestPlaces(planks)).toEqual([{ place: 'Near', n: 1, mean: 4 }]);
  });

  it('let a settled count stand, and a number stand beside "could not turn"', () => {
    const four = count('a', { state: 'counted', count: 4, stands: true });
    const six = count('a', { state: 'counted', count: 6, set_aside: true, observer: 'Bo' }, 'a2');
    expect(standing([four, six])).toEqual({ one: four, double: false });
    const not = count('a', { state: 'not_turned', observer: 'Bo' }, 'a3');
    const plain = count('a', { state: 'counted', count: 3 });
    expect(standing([not, plain])).toEqual({ one: plain, double: false });
  });
});

describe('whose count it is', () => {
  const four = count('a', { state: 'counted', count: 4 });
  it('is mine while only this phone has it, and when the server says this phone made it', () => {
    expect(planksOf(boards, [four], ADA)[2]?.mine?.id).toBe('a');
    expect(planksOf(boards, [{ ...four, created_by_device: 'phone-1' }], ADA)[2]?.mine?.id).toBe('a');
  });

  it('is never mine when another phone made it, though its person bears my name or none is given', () => {
    const there = { ...four, created_by_device: 'phone-2' };
    expect(planksOf(boards, [there], ADA)[2]?.mine).toBeUndefined();
    const nameless = count('a', { state: 'counted', count: 4, observer: '' });
    const me = { observer: '', device_id: 'phone-1' };
    expect(planksOf(boards, [{ ...nameless, created_by_device: 'phone-2' }], me)[2]?.mine).toBeUndefined();
    expect(planksOf(boards, [{ ...nameless, created_by_device: 'phone-1' }], me)[2]?.mine?.id).toBe('a');
  });

  it('is not mine when somebody else counted on this phone', () => {
    expect(
      planksOf(boards, [count('a', { observer: 'Bo', state: 'none_found' })], ADA)[2]?.mine,
    ).toBeUndefined();
  });
});

describe('a tap', () => {
  it('counts up from no record and from none found', () => {
    expect(afterTap(undefined, { kind: 'plus' })).toEqual({ state: 'counted', count: 1 });
    expect(afterTap({ state: 'none_found', count: 0 }, { kind: 'plus' })).toEqual({
      state: 'counted',
      count: 1,
    });
    expect(afterTap({ state: 'counted', count: 9999 }, { kind: 'plus' })).toEqual({
      state: 'counted',
      count: 9999,
    });
  });

  it('counts down to none found and no further', () => {
    expect(afterTap({ state: 'counted', count: 2 }, { kind: 'minus' })).toEqual({
      state: 'counted',
      count: 1,
    });
    expect(afterTap({ state: 'counted', count: 1 }, { kind: 'minus' })).toEqual({
      state: 'none_found',
      count: 0,
    });
    expect(afterTap({ state: 'none_found', count: 0 }, { kind: 'minus' })).toBeUndefined();
    expect(afterTap(undefined, { kind: 'minus' })).toBeUndefined();
  });

  it('takes the number away when the board could not be turned, and the reason away when it could', () => {
    const three: SlugCount = { state: 'counted', count: 3 };
    expect(afterTap(three, { kind: 'not_turned', reason: 'Frozen down' })).toEqual({
      state: 'not_turned',
      reason: 'Frozen down',
      count: null,
    });
    const frozen: SlugCount = { state: 'not_turned', reason: 'Frozen down' };
    expect(afterTap(frozen, { kind: 'plus' })).toEqual({ state: 'counted', count: 1, reason: null });
    expect(afterTap(frozen, { kind: 'spoiled' })).toEqual({ state: 'spoiled', reason: null });
  });

  it('of eggs alone says that no slugs were found; a photo alone says nothing yet', () => {
    expect(afterTap(undefined, { kind: 'eggs', by: 1 })).toEqual({
      state: 'none_found',
      count: 0,
      egg_clusters: 1,
    });
    expect(afterTap({ state: 'counted', count: 2 }, { kind: 'eggs', by: 1 })).toEqual({ egg_clusters: 1 });
    expect(afterTap(undefined, { kind: 'photo', sha256: 'f'.repeat(64), bytes: 9 })).toBeUndefined();
  });

  it('can be taken back field by field, or altogether when it was the first', () => {
    const before: SlugCount = { state: 'counted', count: 3, egg_clusters: 1 };
    expect(undoing(before, { state: 'counted', count: 4 })).toEqual({ state: 'counted', count: 3 });
    expect(undoing({ state: 'counted', count: 3 }, { egg_clusters: 1 })).toEqual({ egg_clusters: null });
    expect(undoing(undefined, { state: 'counted', count: 1 })).toBeUndefined();
  });
});

it('the next board is the next one without a record, then the first left behind', () => {
  const planks = planksOf(boards, [count('b', { state: 'counted', count: 1 })], ADA);
  expect(nextTodo(planks, 'c')).toBe('a');
  expect(nextTodo(planks, 'a')).toBe('c');
  const done = planksOf(
    boards,
    ['a', 'b', 'c'].map((id) => count(id, { state: 'none_found', count: 0 })),
    ADA,
  );
  expect(nextTodo(done, 'a')).toBeUndefined();
});

it('places are ranked by slugs a board', () => {
  const counts = [
    count('a', { state: 'counted', count: 2 }),
    count('b', { state: 'counted', count: 4 }),
    count('c', { state: 'counted', count: 9 }),
  ];
  expect(hardestPlaces(planksOf(boards, counts, ADA))).toEqual([
    { place: 'Far', mean: 9, n: 1 },
    { place: 'Near', mean: 3, n: 2 },
  ]);
});

it('a dry or disturbed round is not valid, and says why', () => {
  expect(whyNotValid({ surface: 'dry' })).toBe('dry');
  expect(whyNotValid({ surface: 'dry', disturbed: true })).toBe('disturbed');
  expect(whyNotValid({ surface: 'wet' })).toBeUndefined();
});

import { describe, expect, it } from 'vitest';
import {
  asEdited,
  asTwoCounts,
  type CountRow,
  choicesNow,
  chosenAmong,
  clashesOf,
  deletionOf,
  doubleCounts,
  joined,
  keepBoth,
  keepOne,
  type OpenView,
  settledDoubles,
  settledSet,
  typeRight,
} from './model';

const view = (body: Record<string, unknown>, conflicts: OpenView['conflicts']): OpenView => ({
  id: 'v',
  type: 'slug_count',
  body,
  deleted: false,
  conflicts,
  created_by_device: 'Phone A',
});
const overlap = (id: string, set: Record<string, unknown>, device = 'Phone B') => ({
  id,
  device,
  why: 'overlap' as const,
  set,
});

describe('conflicts', () => {
  const both = view({ count: 7, note: 'wet', observer: 'Kit' }, [
    overlap('x', { count: 9, note: 'damp' }),
    overlap('y', { count: 9 }, 'Phone C'),
  ]);
  it('puts each field\u2019s values side by side, equal ones once', () => {
    const clashes = clashesOf(both);
    expect(
      clashes.map((clash) => [clash.field, clash.sides.map((side) => side.value), clash.may_join]),
    ).toEqual([
      ['count', [7, 9], false],
      ['note', ['wet', 'damp'], true],
    ]);
    expect(clashes[0]?.sides[0]).toMatchObject({ device: 'Phone A', who: 'Kit', conflict_id: '' });
    expect(clashes[0]?.sides[1]).toMatchObject({ device: 'Phone B', conflict_id: 'x' });
  });
  it('has nothing to ask where both meant the same', () => {
    expect(clashesOf(view({ count: 7 }, [overlap('x', { count: 7 })]))).toEqual([]);
  });
  it('settles nothing until every field is decided', () => {
    const clashes = clashesOf(both);
    expect(settledSet(clashes, {})).toBeUndefined();
    expect(settledSet(clashes, { count: { side: 1 } })).toBeUndefined();
    expect(settledSet(clashes, { count: { side: 1 }, note: { join: true } })).toEqual({
      count: 9,
      note: 'wet\ndamp',
    });
  });
  it('holds a choice only between the values between which it was made', () => {
    const before = view({ count: 7 }, [overlap('y', { count: 9 })]);
    const [clash] = clashesOf(before);
    if (!clash) throw new Error('nothing to choose');
    const kept = { count: chosenAmong(clash, { side: 1 }) };
    const settled = (now: OpenView) => settledSet(clashesOf(now), choicesNow(clashesOf(now), kept));
    expect(settled(before)).toEqual({ count: 9 });
    // Another one came, and stands where the chosen one stood.
    expect(
      settled(view({ count: 7 }, [overlap('x', { count: 3 }), overlap('y', { count: 9 })])),
    ).toBeUndefined();
    expect(settled(view({ count: 12 }, [overlap('y', { count: 9 })]))).toBeUndefined();
  });
  it('leaves out what stays as it is, and takes a typed value', () => {
    const clashes = clashesOf(both);
    expect(settledSet(clashes, { count: { side: 0 }, note: { side: 0 } })).toEqual({});
    expect(settledSet(clashes, { count: { typed: 8 }, note: { side: 1 } })).toEqual({
      count: 8,
      note: 'damp',
    });
  });
  it('clears a field with null, as the record does', () => {
    const clashes = clashesOf(view({ note: 'wet' }, [overlap('x', { note: null })]));
    expect(settledSet(clashes, { note: { side: 1 } })).toEqual({ note: null });
  });
  it('joins lists without repeats', () => {
    const a = { sha256: 'aa', bytes: 1 };
    const b = { sha256: 'bb', bytes: 2 };
    const [clash] = clashesOf(view({ photos: [a] }, [overlap('x', { photos: [a, b] })]));
    if (!clash) throw new Error('no clash');
    expect(joined(clash)).toEqual([a, b]);
  });
});

describe('deletions', () => {
  it('tells an edit of a deleted record from a deletion of an edited one', () => {
    const edited = view({ count: 7, state: 'counted' }, [{ id: 'x', why: 'deleted', set: { count: 9 } }]);
    expect(deletionOf(edited)).toBe('edited_after_delete');
    expect(asEdited(edited)).toEqual({ count: 9, state: 'counted' });
    expect(deletionOf(view({}, [{ id: 'x', why: 'delete-vs-edit', set: {} }]))).toBe('delete_after_edit');
    expect(deletionOf(view({}, [overlap('x', { count: 1 })]))).toBeUndefined();
  });
});

describe('double counts', () => {
  const count = (id: string, n: number, at: string, more: Partial<CountRow> = {}): CountRow => ({
    id,
    round_id: 'r',
    station_id: 'b1',
    state: 'counted',
    count: n,
    observed_at: `2026-05-10T${at}:00Z`,
    ...more,
  });
  const two = [count('a', 7, '05:10'), count('b', 9, '05:20')];
  const [double] = doubleCounts(two);
  if (!double) throw new Error('no double count');
  const after = (changes: { id: string; set: Partial<CountRow> }[]) =>
    two.map((row) => ({ ...row, ...changes.find((change) => change.id === row.id)?.set }));

  it('are found by board and round, never across rounds', () => {
    expect(double.counts.map((row) => row.id)).toEqual(['a', 'b']);
    expect(doubleCounts([count('a', 7, '05:10'), count('b', 9, '05:20', { round_id: 'r2' })])).toEqual([]);
  });
  it('"could not turn" beside a number is no dispute', () => {
    expect(
      doubleCounts([count('a', 7, '05:10'), { ...count('b', 0, '05:20'), state: 'not_turned' }]),
    ).toEqual([]);
  });
  it('keeping one settles it and loses neither', () => {
    const settled = after(keepOne(double, 'b'));
    expect(settled.map((row) => [row.count, row.stands, row.set_aside])).toEqual([
      [7, false, true],
      [9, true, false],
    ]);
    expect(doubleCounts(settled)).toEqual([]);
  });
  it('keeping both settles it too, with both values as they were', () => {
    const settled = after(keepBoth(double));
    expect(settled.map((row) => row.count)).toEqual([7, 9]);
    expect(doubleCounts(settled)).toEqual([]);
  });
  it('a typed number goes into the newer count, which stands; nought is "none found"', () => {
    expect(typeRight(double, 8).find((change) => change.id === 'b')?.set).toEqual({
      stands: true,
      set_aside: false,
      count: 8,
      state: 'counted',
    });
    expect(typeRight(double, 0).find((change) => change.id === 'b')?.set).toMatchObject({
      count: 0,
      state: 'none_found',
    });
    expect(doubleCounts(after(typeRight(double, 8)))).toEqual([]);
  });
  it('a third count after settling asks again', () => {
    const third = [...after(keepBoth(double)), count('c', 4, '05:30')];
    expect(doubleCounts(third)).toHaveLength(1);
  });
});

describe('double counts that were settled', () => {
  const count = (id: string, more: Partial<CountRow>): CountRow => ({
    id,
    round_id: 'r',
    station_id: 'b1',
    state: 'counted',
    count: 4,
    observed_at: '2026-05-10T06:00:00+01:00',
    ...more,
  });

  it('are told with what was said, newest first, and only those that a person said something about', () => {
    const counts = [
      count('a', { stands: true }),
      count('b', { stands: true, count: 6 }),
      count('c', { station_id: 'b2', stands: true, observed_at: '2026-05-11T06:00:00+01:00' }),
      count('d', { station_id: 'b2', stands: false, set_aside: true, count: 9 }),
      count('e', { station_id: 'b3' }),
      count('f', { station_id: 'b3', count: 5 }),
      count('g', { station_id: 'b4' }),
      count('h', { station_id: 'b4', state: 'not_turned' }),
    ];
    const found = settledDoubles(counts, '2026-05-01');
    expect(found.map(({ station_id, how, standing }) => [station_id, how, standing])).toEqual([
      ['b2', 'one', ['c']],
      ['b1', 'both', ['a', 'b']],
    ]);
    expect(settledDoubles(counts, '2026-05-11').map(({ station_id }) => station_id)).toEqual(['b2']);
  });

  it('that were kept both ask again when one is told to stand, and are out of the way after it', () => {
    const both = [count('a', { stands: true }), count('b', { stands: true, count: 6 })];
    const [double] = settledDoubles(both, '');
    if (!double) throw new Error('none');
    const after = both.map((one) => ({
      ...one,
      ...keepOne(double, 'b').find(({ id }) => id === one.id)?.set,
    }));
    expect(settledDoubles(after, '')[0]).toMatchObject({ how: 'one', standing: ['b'] });
    expect(doubleCounts(after)).toEqual([]);
  });
});

describe('two values of one count of which nobody can tell the right one', () => {
  const view: OpenView = {
    id: 'x',
    type: 'slug_count',
    deleted: false,
    body: { round_id: 'r', station_id: 'b1', state: 'counted', count: 9, observer: 'Ada', photos: [1] },
    conflicts: [{ id: 'c', why: 'overlap', set: { count: 7 } }],
  };

  it('become two counts that both stand; a photo stays with the first', () => {
    expect(asTwoCounts(view)).toEqual({
      set: { stands: true },
      also: [{ round_id: 'r', station_id: 'b1', state: 'counted', count: 7, observer: 'Ada', stands: true }],
    });
  });

  it('are no way out for a note, a deletion or another kind of record', () => {
    const one = (part: Partial<OpenView>) => asTwoCounts({ ...view, ...part });
    expect(one({ type: 'temperature' })).toBeUndefined();
    expect(one({ conflicts: [{ id: 'c', why: 'overlap', set: { note: 'x' } }] })).toBeUndefined();
    expect(one({ conflicts: [{ id: 'c', why: 'deleted', set: { count: 7 } }] })).toBeUndefined();
    expect(one({ conflicts: [] })).toBeUndefined();
  });
});

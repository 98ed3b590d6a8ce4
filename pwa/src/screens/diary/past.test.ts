import { describe, expect, it } from 'vitest';
import { isPast, joined, madeAt, ownChanges, type Past, putBackSet, saidFields, withPast } from './past';

const changed = (fields: { name: string; from: unknown; to: unknown }[]) =>
  ({ what: 'changed', fields }) as const;

describe('what this phone did and has not sent', () => {
  it('is told newest first, each act with what it replaced', () => {
    const acts = [
      { op_id: '019bbbbb-0000-7000-8000-000000000001', kind: 'put', set: { count: 7 } },
      { op_id: '019bbbbb-0000-7000-8000-000000000002', kind: 'put', set: { count: 9, note: 'rim' } },
      { op_id: '019bbbbb-0000-7000-8000-000000000003', kind: 'del', set: {} },
    ] as const;
    expect(
      ownChanges({ count: 4, state: 'counted' }, acts, false).map(({ what, fields }) => [what, fields]),
    ).toEqual([
      ['removed', []],
      [
        'changed',
        [
          { name: 'count', from: 7, to: 9 },
          { name: 'note', from: null, to: 'rim' },
        ],
      ],
      ['changed', [{ name: 'count', from: 4, to: 7 }]],
    ]);
    expect(ownChanges({}, acts.slice(0, 1), true)[0]?.what).toBe('made');
  });
  it('has the time of its id: RFC 9562, appendix A.6', () => {
    // The example there: 017F22E2-79B0-7CC3-98C4-DC0C0C07398F is 22 February 2022, 14:22:22 at UTC-05:00.
    expect(madeAt('017f22e2-79b0-7cc3-98c4-dc0c0c07398f')?.toISOString()).toBe('2022-02-22T19:22:22.000Z');
    expect(madeAt('2ed6657d-e927-568b-95e1-2665a8aea6a2')).toBeUndefined();
  });
});

describe('putting a value back', () => {
  const body = { state: 'counted', count: 7, note: 'rim' };
  it('is an edit to what was there before', () => {
    const change = changed([{ name: 'count', from: 4, to: 7 }]);
    expect(putBackSet('slug_count', change, 'count', body)).toEqual({ count: 4 });
    expect(
      putBackSet('slug_count', changed([{ name: 'note', from: null, to: 'rim' }]), 'note', body),
    ).toEqual({
      note: null,
    });
  });
  it('takes state and number together, or a counted board would have no number', () => {
    const change = changed([
      { name: 'state', from: 'none_found', to: 'counted' },
      { name: 'count', from: 0, to: 7 },
      { name: 'note', from: null, to: 'rim' },
    ]);
    const both = { state: 'none_found', count: 0 };
    expect(putBackSet('slug_count', change, 'count', body)).toEqual(both);
    expect(putBackSet('slug_count', change, 'state', body)).toEqual(both);
  });
  it('is not offered where it stands so, where it was made, and for what nobody types', () => {
    const change = changed([{ name: 'count', from: 7, to: 9 }]);
    expect(putBackSet('slug_count', change, 'count', body)).toBeUndefined();
    expect(
      putBackSet('slug_count', { ...change, what: 'made' }, 'count', { ...body, count: 9 }),
    ).toBeUndefined();
    const moved = changed([{ name: 'round_id', from: 'a', to: 'b' }]);
    expect(putBackSet('slug_count', moved, 'round_id', { round_id: 'b' })).toBeUndefined();
    expect(saidFields(moved.fields)).toEqual([]);
  });
  it('of a change kept beside the record takes what was meant', () => {
    const kept = { what: 'kept', fields: [{ name: 'count', from: 7, to: 9 }] } as const;
    expect(putBackSet('slug_count', kept, 'count', body)).toEqual({ count: 9 });
  });
});

describe('a past from the server', () => {
  const past = (id: string, revs: number[], next: number | null = null): Past => ({
    record_id: id,
    changes: revs.map((rev) => ({
      rev,
      op_id: `o${rev}`,
      what: 'changed',
      device_id: 'd',
      device: 'A',
      received_at: '2026-05-03T05:00:00+00:00',
      fields: [],
    })),
    next_before: next,
  });
  it('is told from a stranger’s JSON', () => {
    expect(isPast(past('r', [1]))).toBe(true);
    for (const odd of [undefined, null, {}, { record_id: 'r' }, { record_id: 'r', changes: [{}] }, '<html>'])
      expect(isPast(odd)).toBe(false);
  });
  it('grows by older pages, each change once', () => {
    const both = joined(past('r', [5, 4, 3], 3), past('r', [3, 2, 1]));
    expect(both.changes.map(({ rev }) => rev)).toEqual([5, 4, 3, 2, 1]);
    expect(both.next_before).toBeNull();
  });
  it('is kept for the last twenty records that were looked at', () => {
    let kept = withPast([], past('r0', [1]), 't0');
    for (let n = 1; n <= 25; n += 1) kept = withPast(kept, past(`r${n}`, [1]), `t${n}`);
    kept = withPast(kept, past('r25', [2, 1]), 'again');
    expect(kept).toHaveLength(20);
    expect(kept[0]).toEqual({ at: 'again', past: past('r25', [2, 1]) });
    expect(kept.at(-1)?.past.record_id).toBe('r6');
  });
});

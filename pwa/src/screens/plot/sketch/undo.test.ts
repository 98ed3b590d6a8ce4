import { describe, expect, it } from 'vitest';
import {
  added,
  changeOf,
  EMPTY_TRAIL,
  redoneOnce,
  renamed,
  reversed,
  type Step,
  stillSo,
  undoneOnce,
  withoutLast,
} from './undo';

const move = (x: number, before = 0): Step => ({
  what: `to ${x}`,
  changes: [{ type: 'station', id: 's', before: { x_m: before }, after: { x_m: x } }],
});

describe('the trail', () => {
  it('goes back and forth; a new step forgets what was undone', () => {
    let trail = added(added(EMPTY_TRAIL, move(1)), move(2, 1));
    trail = undoneOnce(trail);
    expect([trail.done.length, trail.undone.length]).toEqual([1, 1]);
    expect(redoneOnce(trail).done.at(-1)?.what).toBe('to 2');
    trail = added(trail, move(5, 1));
    expect(trail.undone).toEqual([]);
    expect(undoneOnce(undoneOnce(undoneOnce(trail))).done).toEqual([]);
    expect(withoutLast(trail, 'done').done.length).toBe(1);
  });
  it('a step that changed nothing is no step', () => {
    expect(changeOf('station', 's', { x_m: 1 }, { x_m: 1 })).toBeUndefined();
    expect(added(EMPTY_TRAIL, { what: '', changes: [] })).toBe(EMPTY_TRAIL);
  });
  it('writes only what differs, and null where there was nothing', () => {
    const change = changeOf('station', 's', { y_m: 2, label: 'B1' }, { x_m: 1, y_m: 2 });
    expect(change).toMatchObject({ before: { x_m: null }, after: { x_m: 1 } });
  });
  it('turned round, the last change comes first', () => {
    const step: Step = {
      what: 'both',
      changes: [...move(1).changes, { type: 'place', id: 'p', before: undefined, after: { label: 'A' } }],
    };
    expect(reversed(step).changes).toEqual([
      { type: 'place', id: 'p', before: { label: 'A' }, after: undefined },
      { type: 'station', id: 's', before: { x_m: 1 }, after: { x_m: 0 } },
    ]);
  });
});

describe('what somebody else has done since', () => {
  it('is not undone unseen', () => {
    expect(stillSo(move(1), () => ({ x_m: 1, label: 'B1' }))).toBe(true);
    expect(stillSo(move(1), () => ({ x_m: 3 }))).toBe(false);
    expect(stillSo(move(1), () => undefined)).toBe(false);
  });
  it('null and absent are the same', () => {
    const cleared: Step = {
      what: '',
      changes: [{ type: 'station', id: 's', before: { x_m: 1 }, after: { x_m: null } }],
    };
    expect(stillSo(cleared, () => ({}))).toBe(true);
  });
});

it('a record made again under a new id is followed everywhere', () => {
  const trail = added(EMPTY_TRAIL, {
    what: 'board in a new bed',
    changes: [
      { type: 'place', id: 'old', before: undefined, after: { label: 'A' } },
      { type: 'station', id: 's', before: {}, after: { place_id: 'old' } },
    ],
  });
  const [step] = renamed(trail, 'old', 'new').done;
  expect(step?.changes[0]?.id).toBe('new');
  expect(step?.changes[1]?.after).toEqual({ place_id: 'new' });
});

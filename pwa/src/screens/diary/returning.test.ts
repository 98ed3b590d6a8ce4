import { describe, expect, it } from 'vitest';
import { removedGroups, returnedId, returnItems } from './returning';

// By Python's uuid.uuid5(uuid.UUID(id), "returned"), which the server uses (RFC 9562, 5.5).
const ROUND = '019f0000-0000-7000-8000-000000000001';
const ROUND_BACK = '5cf001d8-17b3-5831-b15f-6484c073a9e0';
const COUNT = '019f0000-0000-7000-8000-000000000002';
const COUNT_BACK = '6ace521b-affd-5953-b11c-35d0a4e767b8';

describe('a removed record that comes back', () => {
  it('has the id that the server and every other phone give it', () => {
    expect(returnedId(ROUND)).toBe(ROUND_BACK);
    expect(returnedId(COUNT)).toBe(COUNT_BACK);
  });
  it('brings back what belongs to it, and what stayed refers to it again', () => {
    const removed = [
      { id: ROUND, type: 'round', body: { kind: 'dawn' } },
      { id: COUNT, type: 'slug_count', body: { round_id: ROUND, station_id: 'b1', count: 4 } },
    ];
    const stayed = [{ id: 'c9', type: 'slug_count', body: { round_id: ROUND, station_id: 'b2', count: 1 } }];
    expect(returnItems(removed, stayed)).toEqual([
      { type: 'round', id: ROUND_BACK, set: { kind: 'dawn', returned_from: ROUND } },
      {
        type: 'slug_count',
        id: COUNT_BACK,
        set: { round_id: ROUND_BACK, station_id: 'b1', count: 4, returned_from: COUNT },
      },
      { type: 'slug_count', id: 'c9', set: { round_id: ROUND_BACK } },
    ]);
  });
});

describe('the list of what was removed', () => {
  it('shows a round with its counts and a crop with its steps as one', () => {
    const list = [
      { id: 'c1', type: 'slug_count', body: { round_id: 'r1' } },
      { id: 'r1', type: 'round', body: {} },
      { id: 'c2', type: 'slug_count', body: { round_id: 'r2' } },
      { id: 'e1', type: 'crop_event', body: { crop_id: 'k1' } },
      { id: 'd1', type: 'damage', body: { crop_id: 'k1' } },
      { id: 'k1', type: 'crop', body: {} },
      { id: 'n1', type: 'note', body: {} },
    ];
    expect(removedGroups(list).map(({ whole, parts }) => [whole.id, parts.map(({ id }) => id)])).toEqual([
      ['r1', ['c1']],
      ['c2', []],
      ['d1', []],
      ['k1', ['e1']],
      ['n1', []],
    ]);
  });
});

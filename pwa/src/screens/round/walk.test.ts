import { expect, it } from 'vitest';
import { type Stand, withDone, withoutLast, withPhoto } from './walk';

const PHOTO = { sha256: 'a'.repeat(64), bytes: 9 };
const done = (board_id: string, before?: { state: 'counted'; count: number }) => ({
  record_id: `r-${board_id}`,
  board_id,
  before,
  wrote: { state: 'counted' as const, count: 1 },
});

it('a tap is remembered for undo and the photos held for its board are given away', () => {
  const held = withPhoto(withPhoto({ undo: [] }, 'a', PHOTO), 'b', PHOTO);
  const stand = withDone(held, done('a'), 'b');
  expect(stand).toEqual({ open: 'b', undo: [done('a')], photos: { b: [PHOTO] } });
});

it('undo opens the board of the last tap and holds the photos of its first record again', () => {
  const tapped = { ...done('a'), wrote: { state: 'counted' as const, count: 1, photos: [PHOTO] } };
  const stand: Stand = { open: 'c', undo: [done('b'), tapped], photos: {} };
  expect(withoutLast(stand)).toEqual({
    last: tapped,
    stand: { open: 'a', undo: [done('b')], photos: { a: [PHOTO] } },
  });
  const later = { ...tapped, before: { state: 'counted' as const, count: 1 } };
  expect(withoutLast({ undo: [later] })?.stand.photos).toBeUndefined();
  expect(withoutLast({ undo: [] })).toBeUndefined();
});

it('no more than two hundred taps are kept', () => {
  let stand: Stand = { undo: [] };
  for (let n = 0; n < 205; n += 1) stand = withDone(stand, done(`b${n}`), 'x');
  expect(stand.undo).toHaveLength(200);
  expect(stand.undo[0]?.board_id).toBe('b5');
});

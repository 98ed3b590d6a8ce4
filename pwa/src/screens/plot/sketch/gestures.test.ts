import { describe, expect, it } from 'vitest';
import { type Corner, cornersOf, outlineAreaM2, rectangleOf } from './geometry';
import {
  dropOf,
  exactRectangle,
  hasSize,
  moveShape,
  nextLabel,
  resizeFields,
  sizeFollows,
  turnShape,
} from './gestures';
import { type Shape, type SketchPlace, shapesOf, spotsOf } from './ground';
import { tapped, walkChanges } from './walk';

const place: SketchPlace = {
  id: 'p',
  kind: 'bed',
  length_m: 4,
  width_m: 1.2,
  outline: cornersOf({ x: 3, y: 2.6, across: 4, along: 1.2, turn: 0 }),
};
const [shape] = shapesOf([place]) as [Shape];
const spots = spotsOf(
  [shape],
  [
    { id: 'in', place_id: 'p', x_m: 1.5, y_m: 2.5 },
    { id: 'spread', place_id: 'p' },
    { id: 'else', place_id: 'q', x_m: 9, y_m: 9 },
  ],
);

describe('a bed that is moved or turned', () => {
  it('takes along the stations that somebody put in it, and no others', () => {
    const { corners, spots: after } = moveShape(shape, spots, 1.04, -0.5);
    expect(corners[0]).toEqual([2, 1.5]);
    expect([...after]).toEqual([['in', [2.5, 2]]]);
  });
  it('turns about its middle, stations with it', () => {
    const { corners, spots: after } = turnShape(shape, spots, 90);
    expect(rectangleOf(corners)).toMatchObject({ x: 3, y: 2.6, turn: 90 });
    expect(after.get('in')).toEqual([3.1, 1.1]);
  });
  it('is the same after a hundred turns, whatever was rounded on the way', () => {
    let turning = shape;
    for (let i = 0; i < 100; i += 1) turning = { ...turning, corners: turnShape(turning, [], 35).corners };
    expect(exactRectangle(turning)).toMatchObject({ across: 4, along: 1.2 });
    expect(outlineAreaM2(turning.corners)).toBeCloseTo(4.8, 2);
  });
});

describe('a bed that is made longer', () => {
  it('says so as length and width, whichever way it lies', () => {
    const flat = { x: 0, y: 0, across: 4, along: 1.2, turn: 0 };
    expect(resizeFields(place, flat, { ...flat, across: 5 })).toMatchObject({ length_m: 5, width_m: 1.2 });
    const upright = { ...flat, across: 1.2, along: 4 };
    expect(resizeFields(place, upright, { ...upright, along: 5 })).toMatchObject({
      length_m: 5,
      width_m: 1.2,
    });
  });
  it('is drawn so when its size is typed into the form of the place', () => {
    const { outline } = sizeFollows(place, { length_m: 6 }) as { outline: Corner[] };
    expect(rectangleOf(outline)).toMatchObject({ across: 6, along: 1.2 });
    expect(outline[0]).toEqual(place.outline?.[0]);
    expect(sizeFollows(place, { label: 'x' })).toEqual({ label: 'x' });
    expect(sizeFollows(undefined, { length_m: 6 })).toEqual({ length_m: 6 });
  });
  it('needs a size before it can be drawn', () => {
    expect(hasSize({ id: 'x', length_m: 3 })).toBe(false);
    expect(hasSize({ id: 'x', length_m: 3, width_m: 1 })).toBe(true);
    expect(hasSize(place)).toBe(true);
  });
});

describe('a station that is let go', () => {
  it('in another place is asked about, outside of all is a spot', () => {
    expect(dropOf({ id: 's', place_id: 'p' }, shape)).toEqual({ kind: 'here' });
    expect(dropOf({ id: 's', place_id: 'p' }, undefined)).toEqual({ kind: 'here' });
    expect(dropOf({ id: 's', place_id: 'q' }, shape)).toEqual({ kind: 'other_place', place_id: 'p' });
  });
  it('is called as the others are', () => {
    expect(nextLabel(['Board 1', 'Board 9', 'Plank 3', 'x'], 'Slug board')).toBe('Board 10');
    expect(nextLabel(['B2'], 'Slug board')).toBe('B3');
    expect(nextLabel([], 'Slug board')).toBe('Slug board 1');
  });
});

describe('the walk by taps', () => {
  const boards = ['a', 'b', 'c', 'd'].map((id, i) => ({ id, label: id, walk_order: i + 1 }));
  it('puts the tapped first and writes only what changes', () => {
    expect(walkChanges(boards, ['c', 'a'])).toEqual([
      { id: 'c', walk_order: 1 },
      { id: 'a', walk_order: 2 },
      { id: 'b', walk_order: 3 },
    ]);
    expect(walkChanges(boards, ['a', 'b'])).toEqual([]);
  });
  it('takes the last tap back, and an earlier one is only counted once', () => {
    expect(tapped(['a', 'b'], 'b')).toEqual(['a']);
    expect(tapped(['a', 'b'], 'a')).toEqual(['a', 'b']);
    expect(tapped(['a'], 'c')).toEqual(['a', 'c']);
  });
});

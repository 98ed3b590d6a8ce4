import { describe, expect, it } from 'vitest';
import {
  boxOf,
  type Corner,
  cornersOf,
  distanceTo,
  halfTurn,
  isInside,
  movedOnGrid,
  outlineAreaM2,
  rectangleOf,
  resized,
  snapped,
  stretchedTo,
  turnedAbout,
  turnedTo,
} from './geometry';

const files = import.meta.glob<{ cases: { name: string; outline: Corner[]; area_m2: number }[] }>(
  '../../../../../fixtures/sketch/outlines.json',
  { eager: true, import: 'default' },
);
const cases = Object.values(files).flatMap((file) => file.cases);
const BED: Corner[] = [
  [1, 2],
  [4, 2],
  [4, 3.2],
  [1, 3.2],
];

describe('areas, worked out by hand and read by the server too', () => {
  it('are there', () => expect(cases.length).toBeGreaterThan(5));
  it.each(cases)('$name', ({ outline, area_m2 }) => {
    expect(outlineAreaM2(outline)).toBeCloseTo(area_m2, 9);
  });
});

describe('snapping', () => {
  it('goes to whole decimetres, without the dust of binary fractions', () => {
    expect([0.14, 0.15, 0.3000001, -0.26, 7].map(snapped)).toEqual([0.1, 0.2, 0.3, -0.3, 7]);
  });
  it('moves a bed so that its left and top edges lie on the grid, and keeps its size', () => {
    const { corners, by } = movedOnGrid(BED, 0.333, -1.018);
    expect(corners[0]).toEqual([1.3, 1]);
    expect(by).toEqual([0.3, -1]);
    expect(outlineAreaM2(corners)).toBeCloseTo(3.6, 9);
  });
  it('brings a bed that lay off the grid onto it', () => {
    const { corners } = movedOnGrid(
      BED.map(([x, y]) => [x + 0.033, y]),
      0,
      0,
    );
    expect(boxOf(corners)).toEqual({ left: 1, top: 2, right: 4, bottom: 3.2 });
  });
});

describe('turning', () => {
  it('carries a point clockwise on a page whose y runs down', () => {
    expect(turnedAbout([[1, 0]], [0, 0], 90)).toEqual([[0, 1]]);
  });
  it('goes in steps of 5°, and half a turn is the same bed', () => {
    const bed = { x: 0, y: 0, across: 3, along: 1, turn: 0 };
    expect(turnedTo(bed, 43).turn).toBe(45);
    expect(turnedTo(bed, -5).turn).toBe(175);
    expect([halfTurn(180), halfTurn(-90), halfTurn(359.999)]).toEqual([0, 90, 0]);
  });
  it('knows a turned bed again by its corners, through rounding', () => {
    const turned = cornersOf({ x: 5, y: 4, across: 4, along: 1.2, turn: 35 });
    expect(rectangleOf(turned)).toEqual({ x: 5, y: 4, across: 4, along: 1.2, turn: 35 });
    expect(outlineAreaM2(turned)).toBeCloseTo(4.8, 2);
  });
  it('does not take other shapes for a bed with right angles', () => {
    const leaning: Corner[] = [
      [0, 0],
      [3, 0],
      [4, 1],
      [1, 1],
    ];
    expect(rectangleOf(leaning)).toBeUndefined();
    expect(rectangleOf(BED.slice(0, 3))).toBeUndefined();
    expect(rectangleOf(undefined)).toBeUndefined();
  });
});

describe('other sides', () => {
  const bed = { x: 2.5, y: 2.6, across: 3, along: 1.2, turn: 0 };
  it('keeps the first corner and follows the finger in decimetres', () => {
    const pulled = stretchedTo(bed, [5.04, 4.47]);
    expect(cornersOf(pulled)[0]).toEqual([1, 2]);
    expect([pulled.across, pulled.along]).toEqual([4, 2.5]);
  });
  it('never lets a bed vanish', () => {
    const pulled = stretchedTo(bed, [-9, -9]);
    expect([pulled.across, pulled.along]).toEqual([0.2, 0.2]);
  });
  it('does so for a turned bed too', () => {
    const turned = { ...bed, turn: 90 };
    const before = cornersOf(turned)[0];
    const after = cornersOf(resized(turned, 5, 1))[0];
    expect(after?.[0]).toBeCloseTo(before?.[0] ?? 0, 3);
    expect(after?.[1]).toBeCloseTo(before?.[1] ?? 0, 3);
  });
});

describe('what lies under a finger', () => {
  it('is inside, or so many metres away', () => {
    expect(isInside([2, 2.5], BED)).toBe(true);
    expect(isInside([2, 3.5], BED)).toBe(false);
    expect(distanceTo([2, 2.5], BED)).toBe(0);
    expect(distanceTo([7, 7.2], BED)).toBeCloseTo(5, 9); // 3, 4, 5 from the corner
  });
});

import { describe, expect, it } from 'vitest';
import { boxOf, type Corner, overlaps } from './geometry';
import { boundsOf, freeSpot, placeAt, type SketchPlace, shapesOf, spotsOf, stationAt } from './ground';

const square = (x: number, y: number, side: number): Corner[] => [
  [x, y],
  [x + side, y],
  [x + side, y + side],
  [x, y + side],
];
const drawn: SketchPlace = { id: 'd', kind: 'bed', label: 'Drawn', outline: square(0, 0, 4) };
const inner: SketchPlace = { id: 'i', kind: 'frame', label: 'Frame', outline: square(1, 1, 1) };
const loose: SketchPlace = { id: 'l', kind: 'bed', label: 'Loose', length_m: 5, width_m: 1 };

describe('places', () => {
  it('that nobody has drawn stand beside the others, to scale, and overlap nothing', () => {
    const shapes = shapesOf([loose, drawn, { ...loose, id: 'm' }]);
    expect(shapes.map((shape) => [shape.place.id, shape.placed])).toEqual([
      ['d', true],
      ['l', false],
      ['m', false],
    ]);
    const [d, l, m] = shapes.map((shape) => boxOf(shape.corners));
    expect(l && l.right - l.left).toBeCloseTo(5, 9);
    expect(l && l.bottom - l.top).toBeCloseTo(1, 9);
    expect(d && l && m && (overlaps(d, l, 0) || overlaps(l, m, 0) || overlaps(d, m, 0))).toBe(false);
  });
  it('an outline that encloses nothing is no outline', () => {
    expect(shapesOf([{ ...drawn, outline: square(0, 0, 0) }])[0]?.placed).toBe(false);
  });
  it('the smaller one lies on top, and a near miss still hits', () => {
    const shapes = shapesOf([drawn, inner]);
    expect(placeAt(shapes, [1.5, 1.5])?.place.id).toBe('i');
    expect(placeAt(shapes, [3, 3])?.place.id).toBe('d');
    expect(placeAt(shapes, [4.3, 2])).toBeUndefined();
    expect(placeAt(shapes, [4.3, 2], 0.5)?.place.id).toBe('d');
  });
  it('a new one gets a free spot in sight, or beside everything when there is none', () => {
    const shapes = shapesOf([drawn]);
    const [x, y] = freeSpot(shapes, [2, 1], { left: -1, top: -1, right: 9, bottom: 5 });
    const box = { left: x, top: y, right: x + 2, bottom: y + 1 };
    expect(overlaps(box, boxOf(drawn.outline ?? []), 0.3)).toBe(false);
    expect(box.right).toBeLessThanOrEqual(9);
    expect(freeSpot(shapes, [2, 1], { left: 0, top: 0, right: 4, bottom: 4 })).toEqual([4.8, 0]);
  });
});

describe('stations', () => {
  const stations = [
    { id: 's1', place_id: 'd', label: 'B1', walk_order: 1, x_m: 0.5, y_m: 0.6 },
    { id: 's2', place_id: 'd', label: 'B2', walk_order: 2 },
    { id: 's3', place_id: 'l', label: 'B3', walk_order: 3, x_m: 99, y_m: 99 },
    { id: 's4', label: 'Gate post', x_m: 5, y_m: 5 },
    { id: 's5', label: 'Nowhere' },
  ];
  it('stand where they were put, else along their place, and move with a place that is only laid out', () => {
    const shapes = shapesOf([drawn, loose]);
    const spots = new Map(spotsOf(shapes, stations).map((spot) => [spot.station.id, spot]));
    expect(spots.get('s1')).toMatchObject({ at: [0.5, 0.6], placed: true });
    expect(spots.get('s2')).toMatchObject({ at: [2, 2], placed: false });
    const box = boxOf(shapes[1]?.corners ?? []);
    expect(spots.get('s3')?.placed).toBe(false);
    expect(spots.get('s3')?.at[0]).toBeGreaterThan(box.left);
    expect(spots.get('s4')?.at).toEqual([5, 5]);
    expect(spots.has('s5')).toBe(false);
  });
  it('the nearest within reach is meant', () => {
    const spots = spotsOf(shapesOf([drawn]), stations.slice(0, 2));
    expect(stationAt(spots, [0.6, 0.6], 0.5)?.station.id).toBe('s1');
    expect(stationAt(spots, [3.9, 3.9], 0.5)).toBeUndefined();
  });
});

it('an empty plot still has ground to look at', () => {
  expect(boundsOf([], [])).toEqual({ left: 0, top: 0, right: 10, bottom: 8 });
});

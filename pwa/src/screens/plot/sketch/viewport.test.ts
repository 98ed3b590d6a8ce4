import { describe, expect, it } from 'vitest';
import type { Corner } from './geometry';
import {
  fitted,
  heldNear,
  including,
  onSize,
  panned,
  pinched,
  scaleBar,
  seen,
  toGround,
  toScreen,
  zoomed,
} from './viewport';

const bounds = { left: 2, top: 1, right: 20, bottom: 19 };
const view = fitted(bounds, 360, 480);

describe('the view of the ground', () => {
  it('shows all of it at first, in the middle', () => {
    const all = seen(view);
    expect(all.left).toBeLessThan(2);
    expect(all.right).toBeGreaterThan(20);
    expect(all.top).toBeLessThan(1);
    expect(all.bottom).toBeGreaterThan(19);
    expect(toScreen(view, [11, 10])).toEqual([180, 240]);
  });
  it('there and back again is the same point', () => {
    const [x, y] = toGround(view, toScreen(view, [3.3, 4.4]));
    expect(x).toBeCloseTo(3.3, 1);
    expect(y).toBeCloseTo(4.4, 1);
  });
  it('zooms about the finger, and only so far', () => {
    const near = zoomed(view, 2, [100, 50]);
    expect(toGround(near, [100, 50])[0]).toBeCloseTo(toGround(view, [100, 50])[0], 9);
    expect(near.scale).toBeCloseTo(2 * view.scale, 9);
    expect(zoomed(view, 1e6).scale).toBe(240);
    expect(zoomed(view, 1e-6).scale).toBe(2);
  });
  it('two fingers keep what lies under them', () => {
    const before: [Corner, Corner] = [
      [100, 100],
      [200, 100],
    ];
    const after: [Corner, Corner] = [
      [80, 150],
      [280, 150],
    ];
    const next = pinched(view, before, after);
    before.forEach((finger, i) => {
      const there = after[i] ?? finger;
      expect(toGround(next, there)[0]).toBeCloseTo(toGround(view, finger)[0], 6);
      expect(toGround(next, there)[1]).toBeCloseTo(toGround(view, finger)[1], 6);
    });
  });
  it('leaves ground around a single small bed', () => {
    expect(fitted({ left: 0, top: 0, right: 2, bottom: 1 }, 360, 480).scale).toBe(60);
  });
  it('moves only when what is to be seen does not lie in sight', () => {
    expect(including(view, { left: 3, top: 3, right: 5, bottom: 5 }, bounds)).toBe(view);
    const wider = seen(including(view, { left: 25, top: 3, right: 29, bottom: 4 }, bounds));
    expect(wider.left).toBeLessThanOrEqual(2);
    expect(wider.right).toBeGreaterThanOrEqual(29);
  });
  it('cannot be pushed out of sight', () => {
    const lost = heldNear(panned(view, -9999, 9999), bounds);
    const [x, y] = toScreen(lost, [20, 1]);
    expect(x).toBeGreaterThanOrEqual(0);
    expect(y).toBeLessThanOrEqual(480);
  });
  it('keeps its middle when the phone is turned', () => {
    const turned = onSize(view, 740, 300);
    expect(toGround(turned, [370, 150])[0]).toBeCloseTo(11, 6);
  });
});

it('the scale bar has a round length that fits', () => {
  expect(scaleBar({ ...view, scale: 18 })).toEqual({ metres: 5, pixels: 90 });
  expect(scaleBar({ ...view, scale: 200 })).toEqual({ metres: 0.2, pixels: 40 });
  expect(scaleBar({ ...view, scale: 3 })).toEqual({ metres: 20, pixels: 60 });
});

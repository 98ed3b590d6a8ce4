import { describe, expect, it } from 'vitest';
import { binsOf, onTheWhole, SQUARE, spotsOf, xOf, yOf } from './reliability';

const bin = (from: number, n: number, mean_p: number, observed: number) => ({
  from,
  to: from + 0.1,
  n,
  mean_p,
  observed,
});

describe('chances beside what came', () => {
  it('gives each tenth the exact limits of its share', () => {
    // Clopper & Pearson 1934: 5 of 10 is 18.71 to 81.29 %; of none in 4 the upper limit is 1 - 0.025^(1/4).
    const [even, few] = binsOf([bin(0.4, 10, 0.45, 0.5), bin(0.9, 4, 0.95, 0)]);
    expect(even).toMatchObject({ came: 5, few: false });
    expect(even?.low).toBeCloseTo(0.1871, 4);
    expect(even?.high).toBeCloseTo(0.8129, 4);
    expect(few).toMatchObject({ came: 0, low: 0, few: true });
    expect(few?.high).toBeCloseTo(1 - 0.025 ** 0.25, 9);
  });
  it('says on the whole whether the chances fit, were too low or too high', () => {
    // 5 of 10 is 18.71 to 81.29 % (as above).
    const said = (mean_p: number) => onTheWhole(binsOf([bin(0, 5, mean_p, 0.2), bin(0.5, 5, mean_p, 0.8)]));
    expect(said(0.19)).toMatchObject({ n: 10, came: 5, share: 0.5, verdict: 'fits' });
    expect(said(0.18)?.verdict).toBe('too_low');
    expect(said(0.82)?.verdict).toBe('too_high');
    expect(onTheWhole([])).toBeUndefined();
  });
  it('weighs the mean chance by the times behind it', () => {
    expect(onTheWhole(binsOf([bin(0, 30, 0.1, 0), bin(0.9, 10, 0.9, 1)]))?.said).toBeCloseTo(0.3, 12);
  });
  it('draws few times small and the rest by area', () => {
    const [few, some, most] = spotsOf(
      binsOf([bin(0, 4, 0.05, 0), bin(0.3, 25, 0.35, 0.4), bin(0.6, 100, 0.65, 0.6)]),
    );
    expect(few?.r).toBeLessThan(some?.r ?? 0);
    expect((most?.r ?? 0) / (some?.r ?? 1)).toBeCloseTo(2, 9);
    expect(most?.y_high).toBeLessThan(most?.y ?? 0);
    expect(most?.y_low).toBeGreaterThan(most?.y ?? 0);
  });
  it('keeps nought and all inside the picture, on one line from corner to corner', () => {
    expect([xOf(0), yOf(1)]).toEqual([SQUARE.left, SQUARE.top]);
    expect([xOf(1), yOf(0)]).toEqual([SQUARE.size - SQUARE.right, SQUARE.size - SQUARE.bottom]);
    expect(xOf(1) - xOf(0)).toBe(yOf(0) - yOf(1));
  });
});

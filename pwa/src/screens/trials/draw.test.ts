import { describe, expect, it } from 'vitest';
import { drawn, numbersFrom } from './draw';

const units = (n: number) => Array.from({ length: n }, (_, i) => ({ id: `u${i}`, usual: 10 - i }));

describe('the draw', () => {
  it('has the numbers of mulberry32', () => {
    // The author's C code (Tommy Ettinger 2017, public domain), compiled with gcc 12, divided by 2^32.
    expect(numbersFrom(1)()).toBe(0.6270739405881613);
    expect(numbersFrom(0)()).toBe(0.26642920868471265);
  });
  it('is the same for the same seed, whatever was tapped first, and another for another', () => {
    const once = drawn(units(8), 'random', 42);
    expect(drawn([...units(8)].reverse(), 'random', 42)).toEqual(once);
    const others = [43, 44, 45, 46].map((seed) => drawn(units(8), 'random', seed).treated.join());
    expect(new Set([...others, once.treated.join()]).size).toBeGreaterThan(2);
  });
  it.each(['random', 'blocked'] as const)('%s: each unit is on one side, halves are even', (how) => {
    for (let n = 2; n <= 15; n += 1) {
      const { treated, control } = drawn(units(n), how, 7 * n);
      expect([...treated, ...control].sort()).toEqual(
        units(n)
          .map(({ id }) => id)
          .sort(),
      );
      expect(Math.abs(treated.length - control.length)).toBeLessThanOrEqual(1);
    }
  });
  it('treats each unit about as often as not, and no pair is tied', () => {
    const times = new Map<string, number>();
    for (let seed = 0; seed < 2000; seed += 1) {
      for (const id of drawn(units(6), 'random', seed).treated) times.set(id, (times.get(id) ?? 0) + 1);
    }
    // 2000 draws of 1/2 have a standard deviation of 22.
    for (const n of times.values()) expect(Math.abs(n - 1000)).toBeLessThan(100);
  });
  it('blocks lie together by their usual count, with one treated in each pair', () => {
    const { treated, blocks } = drawn(units(7), 'blocked', 3);
    expect(blocks).toEqual({ u0: '1', u1: '1', u2: '2', u3: '2', u4: '3', u5: '3', u6: '3' });
    for (const pair of [
      ['u0', 'u1'],
      ['u2', 'u3'],
    ]) {
      expect(treated.filter((id) => pair.includes(id))).toHaveLength(1);
    }
  });
});

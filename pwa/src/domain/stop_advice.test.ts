import { describe, expect, it } from 'vitest';
import { clumpingOf, running, stopAdvice, usualOf } from './stop_advice';

describe('Taylor’s power law on the plot’s own rounds', () => {
  it('gives back the constants that made the rounds', () => {
    // Two boards at m ± d have mean m and variance 2 d²; d is chosen so that variance = 2 m^1.5.
    const rounds = [1, 2, 4, 8, 16, 32].map((m) => [m - Math.sqrt(m ** 1.5), m + Math.sqrt(m ** 1.5)]);
    const usable = rounds.map(([low = 0, high = 0]) => [Math.max(low, 1e-9), high]);
    const found = clumpingOf(usable.slice(1));
    expect(found?.a).toBeCloseTo(2, 6);
    expect(found?.b).toBeCloseTo(1.5, 6);
  });

  it('says nothing with fewer than five rounds', () => {
    expect(
      clumpingOf([
        [1, 3],
        [2, 6],
        [0, 4, 1],
        [3, 9],
      ]),
    ).toBeUndefined();
  });
});

describe('the stop line', () => {
  // Green 1970 with a = 2, b = 1.5, SE/mean = 0.25: 102.4 slugs at 10 boards (computed from his formula).
  const clumping = { a: 2, b: 1.5 };
  it('says enough from the total of the published line on', () => {
    expect(stopAdvice([...Array(9).fill(10), 12], clumping)).toBe('go_on');
    expect(stopAdvice([...Array(9).fill(10), 13], clumping)).toBe('enough');
  });

  it('goes on when today scatters far more than the rounds it was learnt from', () => {
    // Same total as above, nearly all of it under one board: SE/mean is 0.91, the line promises 0.25.
    expect(stopAdvice([...Array(9).fill(1), 103], clumping)).toBe('go_on');
  });

  it('never says enough on a handful of boards or without rounds to learn from', () => {
    expect(stopAdvice([400, 400, 400], clumping)).toBe('go_on');
    expect(stopAdvice([400, 400, 400, 400, 400, 400, 400], undefined)).toBe('learning');
  });
});

it('the usual is the median of the valid rounds’ means, from three rounds on', () => {
  expect(usualOf([[1], [2]])).toBeUndefined();
  expect(usualOf([[1], [2, 4], [8], []])).toEqual({ mean: 3, low: 2, high: 5.5, n_rounds: 3 });
});

it('the running mean says from which law its interval comes', () => {
  expect(running([])).toBeUndefined();
  const alone = running([3]);
  expect(alone?.law).toBe('poisson');
  // Garwood 1936: 3 counted gives 0.6187 to 8.7673.
  expect(alone?.low).toBeCloseTo(0.6187, 4);
  expect(alone?.high).toBeCloseTo(8.7673, 4);
  // 13 on six boards, no more scattered than chance: Garwood gives 6.9220 to 22.2305 for 13, a sixth of it a board.
  const even = running([5, 2, 2, 1, 1, 2]);
  expect(even?.law).toBe('poisson');
  expect(even?.low).toBeCloseTo(6.922 / 6, 3);
  expect(even?.high).toBeCloseTo(22.2305 / 6, 3);
  // None at all on eight boards: Garwood's limit of 3.6889 / 8 would take for granted that slugs do not clump.
  const none = running(Array(8).fill(0));
  expect([none?.low, none?.law]).toEqual([0, 'negative-binomial']);
  expect(none?.high).toBeGreaterThan(3.6889 / 8);
  expect(running([14, 2, 0, 31, 5, 9, 0, 3, 22, 1, 6, 4])?.law).toBe('negative-binomial');
});

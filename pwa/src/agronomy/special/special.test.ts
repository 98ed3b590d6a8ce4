import { describe, expect, it } from 'vitest';
import reference from '../../../../fixtures/outside/special_functions.json';
import { betaQuantile, incompleteBeta, tCdf, tTwoSided } from './beta';
import { gammaQuantile, incompleteGamma, logGamma, normalTwoSided } from './gamma';

/** Largest relative difference over a table, with the row that has it, so that a failure names its case. */
function worst(rows: number[][], compare: (row: number[]) => [got: number, want: number][]): number {
  let most = 0;
  for (const row of rows) {
    for (const [got, want] of compare(row)) {
      const off = want === 0 ? Math.abs(got) : Math.abs(got / want - 1);
      expect(off, `row ${row.join(', ')}: got ${got}, scipy ${want}`).toBeLessThan(1e-11);
      most = Math.max(most, off);
    }
  }
  return most;
}

describe(`special functions equal ${reference.computed_with}`, () => {
  it('log gamma', () => {
    expect(worst(reference.log_gamma, ([x = 0, v = 0]) => [[logGamma(x), v]])).toBeLessThan(1e-12);
  });

  it('both tails of the incomplete gamma function', () => {
    worst(reference.incomplete_gamma, ([a = 0, x = 0, lower = 0, upper = 0]) => {
      const got = incompleteGamma(a, x);
      return [
        [got.lower, lower],
        [got.upper, upper],
      ];
    });
  });

  it('gamma quantiles from either tail', () => {
    worst(reference.gamma_quantile, ([a = 0, p = 0, low = 0, up = 0]) => [
      [gammaQuantile(a, p), low],
      [gammaQuantile(a, p, 'upper'), up],
    ]);
  });

  it('beta quantiles and distribution', () => {
    worst(reference.beta, ([a = 0, b = 0, p = 0, x = 0, swapped = 0, cdf = 0]) => [
      [betaQuantile(a, b, p), x],
      [betaQuantile(b, a, p), swapped],
      [betaQuantile(b, a, p, 'upper'), 1 - x],
      [incompleteBeta(a, b, 0.9 * x).lower, cdf],
    ]);
  });

  it("Student's t", () => {
    worst(reference.student_t, ([df = 0, level = 0, t = 0, below = 0, above = 0]) => [
      [tTwoSided(level, df), t],
      [tCdf(-0.7 * t, df), below],
      [tCdf(0.7 * t, df), above],
    ]);
  });

  it('normal quantile', () => {
    worst(reference.normal_two_sided, ([level = 0, z = 0]) => [[normalTwoSided(level), z]]);
  });
});

/**
 * How exact is a count? The exact (Garwood) interval of a Poisson count, per unit of effort.
 *
 * Garwood 1936, Biometrika 28:437: low = chi2(α/2; 2x)/2, high = chi2(1 - α/2; 2x + 2)/2; a chi-squared
 * quantile with 2a degrees of freedom is twice a gamma quantile of shape a.
 */
import { choice, count, level, number, or, read } from './input';
import { gammaQuantile } from './special/gamma';

export type PoissonIntervalIn = { count: number; effort?: number; level?: number; sided?: 'two' | 'upper' };
export type PoissonInterval = { rate: number; low: number; high: number; method: string; source: string };

/** Limits of the expected count, given `x` found. Upper-sided: everything in the upper tail, low is 0. */
export function garwood(
  x: number,
  coverage: number,
  sided: 'two' | 'upper' = 'two',
): [low: number, high: number] {
  const tail = sided === 'two' ? (1 - coverage) / 2 : 1 - coverage;
  const low = sided === 'upper' || x === 0 ? 0 : gammaQuantile(x, tail);
  return [low, gammaQuantile(x + 1, tail, 'upper')];
}

export function poissonInterval(input: PoissonIntervalIn): PoissonInterval {
  const v = read(input, {
    count: count(),
    effort: or(number({ min: 1e-12 }), 1),
    level: level(),
    sided: or(choice('two', 'upper'), 'two' as const),
  });
  const [low, high] = garwood(v.count, v.level, v.sided);
  return {
    rate: v.count / v.effort,
    low: low / v.effort,
    high: high / v.effort,
    method: 'exact Poisson limits (Garwood), divided by the effort',
    source: 'Garwood 1936, Biometrika 28:437',
  };
}

/**
 * Of those examined, what share? Wilson and exact limits of a proportion.
 *
 * Wilson 1927, J. Am. Stat. Assoc. 22:209; Clopper & Pearson 1934, Biometrika 26:404. When none were found,
 * the one-sided upper limit 1 - (1 - level)^(1/n) is added: the exact form of the rule of three.
 */
import { count, InputFault, level, read } from './input';
import { betaQuantile } from './special/beta';
import { normalTwoSided } from './special/gamma';

export type ProportionIn = { found: number; examined: number; level?: number };
export type Proportion = {
  proportion: number;
  wilson_low: number;
  wilson_high: number;
  exact_low: number;
  exact_high: number;
  upper_one_sided?: number;
  method: string;
  source: string;
};

export function proportion(input: ProportionIn): Proportion {
  const v = read(input, { found: count(), examined: count({ min: 1 }), level: level() });
  const { found: x, examined: n } = v;
  if (x > n) throw new InputFault('/found', `At most the ${n} examined can be found; ${x} is more.`);
  const z = normalTwoSided(v.level);
  const p = x / n;
  const centre = p + (z * z) / (2 * n);
  const half = z * Math.sqrt((p * (1 - p)) / n + (z * z) / (4 * n * n));
  const shrink = 1 + (z * z) / n;
  const tail = (1 - v.level) / 2;
  return {
    proportion: p,
    wilson_low: x === 0 ? 0 : (centre - half) / shrink,
    wilson_high: x === n ? 1 : (centre + half) / shrink,
    exact_low: x === 0 ? 0 : betaQuantile(x, n - x + 1, tail),
    exact_high: x === n ? 1 : betaQuantile(x + 1, n - x, tail, 'upper'),
    ...(x === 0 && { upper_one_sided: -Math.expm1(Math.log1p(-v.level) / n) }),
    method: 'Wilson score interval and Clopper-Pearson exact interval',
    source: 'Wilson 1927, J. Am. Stat. Assoc. 22:209; Clopper & Pearson 1934, Biometrika 26:404',
  };
}

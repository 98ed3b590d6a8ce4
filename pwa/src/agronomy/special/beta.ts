/**
 * Regularised incomplete beta, its quantile, and Student's t. Continued fraction of the incomplete beta
 * function (Abramowitz & Stegun 26.5.8) by modified Lentz; t through the beta distribution (A&S 26.7.1).
 */
import { logGamma } from './gamma';
import { solveCdf } from './solve';

const TINY = 1e-300;

function fraction(a: number, b: number, x: number): number {
  let c = 1;
  let d = 1 / (1 - ((a + b) * x) / (a + 1) || TINY);
  let h = d;
  for (let m = 1; m < 100000; m += 1) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 / (1 + even * d || TINY);
    c = 1 + even / c || TINY;
    h *= d * c;
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / (1 + odd * d || TINY);
    c = 1 + odd / c || TINY;
    h *= d * c;
    if (Math.abs(d * c - 1) < 4e-16) break;
  }
  return h;
}

/** x^a y^b / B(a, b), where y = 1 - x is given apart so that it keeps its digits. */
function front(a: number, b: number, x: number, y: number): number {
  return Math.exp(logGamma(a + b) - logGamma(a) - logGamma(b) + a * Math.log(x) + b * Math.log(y));
}

/** Both tails of the beta distribution at x, given with its complement y = 1 - x. */
export function incompleteBeta(a: number, b: number, x: number, y = 1 - x): { lower: number; upper: number } {
  if (x <= 0) return { lower: 0, upper: 1 };
  if (y <= 0) return { lower: 1, upper: 0 };
  if (x < (a + 1) / (a + b + 2)) {
    const lower = (front(a, b, x, y) * fraction(a, b, x)) / a;
    return { lower, upper: 1 - lower };
  }
  const upper = (front(a, b, x, y) * fraction(b, a, y)) / b;
  return { lower: 1 - upper, upper };
}

/** x with lower (or upper) tail p of the beta distribution. */
export function betaQuantile(a: number, b: number, p: number, tail: 'lower' | 'upper' = 'lower'): number {
  const density = (x: number) => front(a, b, x, 1 - x) / (x * (1 - x));
  return solveCdf((x) => incompleteBeta(a, b, x), density, p, tail, 0, 1, a / (a + b));
}

/** P(T <= t) of Student's t with `df` degrees of freedom. */
export function tCdf(t: number, df: number): number {
  const s = df + t * t;
  const outside = incompleteBeta(df / 2, 0.5, df / s, (t * t) / s).lower / 2;
  return t < 0 ? outside : 1 - outside;
}

/** t exceeded with chance `tail` (below a half): 2.3646 at 0.025 with 7 degrees of freedom. */
export function tUpper(tail: number, df: number): number {
  // The ratio x = df / (df + t^2) loses t for small t; solve for t^2 / (df + t^2) there instead.
  const x = betaQuantile(df / 2, 0.5, 2 * tail);
  if (x < 0.5) return Math.sqrt((df * (1 - x)) / x);
  const y = betaQuantile(0.5, df / 2, 1 - 2 * tail);
  return Math.sqrt((df * y) / (1 - y));
}

/** t with two-sided coverage `level`. */
export const tTwoSided = (level: number, df: number): number => tUpper((1 - level) / 2, df);

/**
 * Likelihood of counts under the negative binomial law of mean m and aggregation k, with a = 1/k.
 *
 * a = 0 is the Poisson law, so that one function serves both and nothing breaks at the boundary.
 *   ll(m, a) = Σ_j T_j ln(1 + j a) - (n/a + S) ln(1 + m a) + S ln m - Σ ln x!
 * where T_j is the number of counts above j, S the total. Written so that no digits cancel for small a.
 * Anscombe 1950, Biometrika 37:358; at any k the likelihood is highest at m = the mean of the counts.
 */
import { logGamma } from './special/gamma';
import { findRoot } from './special/solve';

export type Counts = { n: number; total: number; squares: number; tail: number[]; logFactorials: number };

/** Clumping beyond these is out of any field's reach. */
const LOG_A = { low: Math.log(1e-12), high: Math.log(1e9) };

/** What the likelihood needs to know of a list of counts. */
export function gather(counts: number[]): Counts {
  const tail: number[] = [];
  let [total, squares, logFactorials] = [0, 0, 0];
  for (const x of counts) {
    total += x;
    squares += x * x;
    logFactorials += logGamma(x + 1);
  }
  const sorted = [...counts].sort((p, q) => p - q);
  for (let j = 0, below = 0; below < sorted.length; j += 1) {
    while (below < sorted.length && (sorted[below] ?? 0) <= j) below += 1;
    if (below < sorted.length) tail.push(sorted.length - below);
  }
  return { n: counts.length, total, squares, tail, logFactorials };
}

/** Log likelihood at mean m and a = 1/k. */
export function logLikelihood(c: Counts, m: number, a: number): number {
  if (c.total === 0 && m === 0) return 0;
  const poisson = c.total * Math.log(m) - c.logFactorials;
  if (a === 0) return poisson - c.n * m;
  const spread = Math.log1p(m * a);
  let sum = 0;
  for (let j = 1; j < c.tail.length; j += 1) sum += (c.tail[j] ?? 0) * Math.log1p(j * a);
  return poisson + sum - (c.n / a + c.total) * spread;
}

/** (ln(1+u) - u/(1+u)) / u², by its series where the difference would cancel. */
function logRemainder(u: number): number {
  if (u > 0.02) return (Math.log1p(u) - u / (1 + u)) / (u * u);
  let sum = 0;
  for (let i = 10; i >= 0; i -= 1) sum = (i + 1) / (i + 2) - u * sum;
  return sum;
}

/** Slope of the log likelihood in a, at mean m. */
function slopeInA(c: Counts, m: number, a: number): number {
  let sum = 0;
  for (let j = 1; j < c.tail.length; j += 1) sum += ((c.tail[j] ?? 0) * j) / (1 + j * a);
  return sum + c.n * m * m * logRemainder(m * a) - (c.total * m) / (1 + m * a);
}

/**
 * a = 1/k that makes the counts most likely at mean m; 0 when that is the Poisson law.
 *
 * At the mean of the counts there is one top. At other means the slope may change sign more than once: the walk
 * starts from the second moment about m, and what it finds must beat the Poisson law.
 */
export function bestA(c: Counts, m: number): number {
  const excess = (c.squares - c.total - 2 * c.total * m + c.n * m * m) / (c.n * m * m);
  if (m === c.total / c.n && excess <= 0) return 0;
  const found = climb((t) => slopeInA(c, m, Math.exp(t)), Math.log(Math.min(Math.max(excess, 1e-3), 1e4)));
  return found > 0 && logLikelihood(c, m, found) >= logLikelihood(c, m, 0) ? found : 0;
}

/** From a start in ln a to where the slope turns from up to down; 0 when it only falls. */
function climb(slope: (t: number) => number, start: number): number {
  let [low, high] = [start, start];
  if (slope(start) > 0) {
    while (slope(high) > 0) {
      [low, high] = [high, high + 1];
      if (high > LOG_A.high) return Math.exp(LOG_A.high);
    }
  } else {
    while (slope(low) <= 0) {
      [low, high] = [low - 1, low];
      if (low < LOG_A.low) return 0;
    }
  }
  return Math.exp(findRoot(slope, low, high));
}

/** Largest log likelihood at mean m over all k. */
export const profile = (c: Counts, m: number): number => logLikelihood(c, m, bestA(c, m));

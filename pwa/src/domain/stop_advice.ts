/** What the boards turned so far say, against the plot's usual, and whether they are enough for today. Pure. */
import { countSummary } from '../agronomy/count_summary';
import { stopLine } from '../agronomy/stop_line';

/** Rounds that the usual level and the plot's own clumping are learnt from. */
export const LEARN_FROM = 20;
const ENOUGH_ROUNDS = 5;
/** Standard error a quarter of the mean: good enough to see a doubling. Common practice, no source. */
const PRECISION = 0.25;
/**
 * The line trusts the clumping of earlier rounds. When today's own counts scatter so much more that their standard
 * error is half as large again as the line promises, it is not believed. Our own caution, no source.
 */
const SPREAD_ALLOWED = 1.5;
/** Below this many boards a clumped mean says little, whatever the stop line says. Common practice, no source. */
export const FEWEST_BOARDS = 6;

export interface Running {
  n: number;
  total: number;
  mean: number;
  low: number;
  high: number | null;
  law: 'poisson' | 'negative-binomial';
}

/** The mean a board so far with its 95 % interval; undefined before the first number. */
export function running(numbers: readonly number[]): Running | undefined {
  if (numbers.length === 0) return undefined;
  const found = countSummary({ counts: [...numbers] });
  // A handful of boards cannot show how slugs clump: the limit would run off to thousands. Until there are
  // enough, the exact Poisson interval stands, and its name says so.
  // Nor is an interval of clumped counts shown under the name of Poisson where they scatter as chance would. Only
  // noughts show no clumping either way: there the wider limit of clumped boards stands, by its own name.
  const even = found.model !== 'negative-binomial' && found.total > 0;
  if (found.n < FEWEST_BOARDS || even) {
    const { n, total, mean, poisson_low, poisson_high } = found;
    return { n, total, mean, low: poisson_low ?? 0, high: poisson_high, law: 'poisson' };
  }
  return {
    n: found.n,
    total: found.total,
    mean: found.mean,
    low: found.mean_low_calibrated ?? 0,
    high: found.mean_high_calibrated,
    law: 'negative-binomial',
  };
}

export interface Usual {
  mean: number;
  /** The middle half of the rounds lay between these. */
  low: number;
  high: number;
  n_rounds: number;
}

/** The plot's usual: the median of the last valid rounds' means, with the middle half of them. */
export function usualOf(rounds: readonly (readonly number[])[]): Usual | undefined {
  const means = rounds
    .filter((round) => round.length > 0)
    .slice(-LEARN_FROM)
    .map((round) => round.reduce((a, b) => a + b, 0) / round.length)
    .sort((a, b) => a - b);
  if (means.length < 3) return undefined;
  return {
    mean: quantile(means, 0.5),
    low: quantile(means, 0.25),
    high: quantile(means, 0.75),
    n_rounds: means.length,
  };
}

/** Hyndman and Fan 1996, type 7, on sorted values. */
function quantile(sorted: readonly number[], share: number): number {
  const at = (sorted.length - 1) * share;
  const low = sorted[Math.floor(at)] ?? 0;
  const high = sorted[Math.ceil(at)] ?? low;
  return low + (high - low) * (at - Math.floor(at));
}

export interface Clumping {
  a: number;
  b: number;
}

/**
 * Taylor's power law, variance = a · mean^b, by least squares on the logarithms of the plot's own rounds
 * (Taylor 1961, Nature 189:732). Rounds with fewer than two boards that held slugs say nothing about it.
 */
export function clumpingOf(rounds: readonly (readonly number[])[]): Clumping | undefined {
  const points = rounds.slice(-LEARN_FROM).flatMap((round) => {
    if (round.filter((number) => number > 0).length < 2) return [];
    const mean = round.reduce((a, b) => a + b, 0) / round.length;
    const variance = round.reduce((sum, x) => sum + (x - mean) ** 2, 0) / (round.length - 1);
    return variance > 0 ? [{ x: Math.log(mean), y: Math.log(variance) }] : [];
  });
  if (points.length < ENOUGH_ROUNDS) return undefined;
  const mx = points.reduce((sum, p) => sum + p.x, 0) / points.length;
  const my = points.reduce((sum, p) => sum + p.y, 0) / points.length;
  const sxx = points.reduce((sum, p) => sum + (p.x - mx) ** 2, 0);
  if (sxx === 0) return undefined;
  const b = points.reduce((sum, p) => sum + (p.x - mx) * (p.y - my), 0) / sxx;
  return { a: Math.exp(my - b * mx), b };
}

export type StopAdvice = 'enough' | 'go_on' | 'learning';

/** Whether enough boards are turned for today's mean: Green's stop line with the plot's own clumping. */
export function stopAdvice(numbers: readonly number[], clumping: Clumping | undefined): StopAdvice {
  if (!clumping || clumping.b >= 2) return 'learning';
  if (numbers.length < FEWEST_BOARDS) return 'go_on';
  if (ownPrecision(numbers) > PRECISION * SPREAD_ALLOWED) return 'go_on';
  const total = numbers.reduce((a, b) => a + b, 0);
  const line = stopLine({ method: 'green', ...clumping, d: PRECISION, n: [numbers.length] }).lines[0];
  const stop = line && 'stop_total' in line ? line.stop_total : null;
  return stop !== null && total >= stop ? 'enough' : 'go_on';
}

/** Standard error over mean, from the counts alone; infinite while nothing is found. */
function ownPrecision(numbers: readonly number[]): number {
  const n = numbers.length;
  const mean = numbers.reduce((a, b) => a + b, 0) / n;
  if (mean === 0) return Number.POSITIVE_INFINITY;
  const variance = numbers.reduce((sum, x) => sum + (x - mean) ** 2, 0) / (n - 1);
  return Math.sqrt(variance / n) / mean;
}

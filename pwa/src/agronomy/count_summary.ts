/**
 * What do these boards say together: how many, how clumped, how sure?
 *
 * Negative binomial law by maximum likelihood (Anscombe 1950, Biometrika 37:358), intervals by profile
 * likelihood; the Poisson interval (Garwood 1936, Biometrika 28:437) stands beside them to show what ignoring
 * the clumping would claim. The calibrated interval, the one to believe, scales the chi-squared cut-off by
 * 1 + 1.5/n when boards are clumped (Bartlett's idea, 1937; the factor is from simulation on the server).
 */
import { clusterLimits } from './cluster_limits';
import { summaryCautions, summaryWhyNot } from './count_words';
import { count, InputFault, level, list, maybe, number, type Reader, read, text } from './input';
import { bestA, type Counts, gather, logLikelihood, profile } from './negative_binomial';
import { garwood } from './poisson_interval';
import { gammaQuantile, normalTwoSided } from './special/gamma';
import { findRoot } from './special/solve';
import { spread } from './spread';

export type CountSummaryIn = { counts: number[]; clusters?: (string | number)[]; level?: number };

type Limits = [low: number | null, high: number | null];

/** A phone never sees more on one board; the likelihood steps through every count below the largest. */
const LARGEST_ON_A_BOARD = 20_000;
const CORRECTION = 1.5;
const LARGEST_LOG_MEAN = Math.log(1e9);

/** Limits of the mean where twice the fall of the profile (k set anew at each mean) reaches `drop`. */
function meanLimits(c: Counts, mean: number, a: number, drop: number): Limits {
  const floor = logLikelihood(c, mean, a) - drop / 2;
  const f = (t: number) => profile(c, Math.exp(t)) - floor;
  const top = Math.log(mean);
  let step = Math.max(2 * Math.sqrt((1 / mean + a) / c.n), 1e-6);
  let [below, above] = [top - step, top + step];
  while (f(below) > 0) below -= step;
  const low = Math.exp(findRoot(f, below, top));
  const ceiling = Math.max(LARGEST_LOG_MEAN, top + 1);
  above = Math.min(above, ceiling);
  while (f(above) > 0) {
    if (above >= ceiling) return [low, null];
    above = Math.min(above + step, ceiling);
    step *= 1.5;
  }
  return [low, Math.exp(findRoot(f, top, above))];
}

/** Limits of a = 1/k at the mean of the counts; the lower is 0 when they do not rule the Poisson law out. */
function clumpingLimits(c: Counts, mean: number, a: number, drop: number): [low: number, high: number] {
  const floor = logLikelihood(c, mean, a) - drop / 2;
  const f = (t: number) => logLikelihood(c, mean, Math.exp(t)) - floor;
  const top = a > 0 ? Math.log(a) : -27;
  let above = Math.max(top, -10) + 1;
  while (f(above) > 0) above += 2;
  const high = Math.exp(findRoot(f, top, above));
  if (logLikelihood(c, mean, 0) >= floor) return [0, high];
  let below = top - 1;
  while (f(below) > 0) below -= 2;
  return [Math.exp(findRoot(f, below, top)), high];
}

type Fitted = {
  a: number;
  aLow: number | null;
  aHigh: number | null;
  plain: Limits;
  calibrated: Limits;
  wald: Limits;
};

/** No slug, no clumping to be seen: the calibrated upper limit then takes boards to be clumped with this k. */
const NIL_K = 0.3;

/** Solves (1 + m/k)^(-k n) = (1 - coverage)/2; null when it is too large to be of use. */
function nilLimit(n: number, coverage: number): number | null {
  const power = -Math.log((1 - coverage) / 2) / (NIL_K * n);
  return power < 20 ? NIL_K * Math.expm1(power) : null;
}

function fit(c: Counts, coverage: number, poisson: Limits, clumped: boolean): Fitted {
  const alone = { a: 0, aLow: null, aHigh: null, plain: poisson, calibrated: poisson };
  if (c.total === 0) {
    const calibrated: Limits = c.n > 1 ? [0, nilLimit(c.n, coverage)] : poisson;
    return { ...alone, calibrated, wald: [null, null] };
  }
  const mean = c.total / c.n;
  const a = c.n > 1 ? bestA(c, mean) : 0;
  const reach = Math.exp(normalTwoSided(coverage) * Math.sqrt((1 / mean + a) / c.n));
  const wald: Limits = [mean / reach, mean * reach];
  if (c.n === 1) return { ...alone, wald };
  // Twice the fall of a log likelihood is chi-squared with one degree of freedom.
  const drop = 2 * gammaQuantile(0.5, 1 - coverage, 'upper');
  const plain = meanLimits(c, mean, a, drop);
  const calibrated = clumped ? meanLimits(c, mean, a, drop * (1 + CORRECTION / c.n)) : plain;
  const [aLow, aHigh] = clumpingLimits(c, mean, a, drop);
  return { a, aLow, aHigh, plain, calibrated, wald };
}

const label: Reader<string> = (value, at) =>
  typeof value === 'number' ? `${number()(value, at)}` : text()(value, at);

export type CountSummary = ReturnType<typeof countSummary>;

export function countSummary(input: CountSummaryIn) {
  const v = read(input, {
    counts: list(count({ max: LARGEST_ON_A_BOARD }), { min: 1 }),
    clusters: maybe(list(label)),
    level: level(),
  });
  if (v.clusters && v.clusters.length !== v.counts.length) {
    throw new InputFault('/clusters', `Give one cluster for each of the ${v.counts.length} counts.`);
  }
  const c = gather(v.counts);
  const about = spread(v.counts);
  const [low, high] = garwood(c.total, v.level).map((limit) => limit / c.n) as [number, number];
  const fitted = fit(c, v.level, [low, high], about.k_moment !== null);
  const clusters = v.clusters && clusterLimits(v.counts, v.clusters, v.level);
  return {
    ...about,
    poisson_low: low,
    poisson_high: high,
    k: fitted.a > 0 ? 1 / fitted.a : null,
    k_low: fitted.aHigh ? 1 / fitted.aHigh : null,
    k_high: fitted.aLow ? 1 / fitted.aLow : null,
    log_likelihood: logLikelihood(c, about.mean, fitted.a),
    log_likelihood_poisson: logLikelihood(c, about.mean, 0),
    mean_low: fitted.plain[0],
    mean_high: fitted.plain[1],
    mean_low_calibrated: fitted.calibrated[0],
    mean_high_calibrated: fitted.calibrated[1],
    mean_low_wald: fitted.wald[0],
    mean_high_wald: fitted.wald[1],
    ...(clusters && { mean_low_cluster: clusters.low, mean_high_cluster: clusters.high }),
    model: fitted.a > 0 ? 'negative-binomial' : 'poisson',
    why_not: summaryWhyNot(about, fitted.a, fitted.aLow, fitted.calibrated[1], clusters),
    cautions: summaryCautions(about, clusters),
    method: 'negative binomial by maximum likelihood, profile likelihood intervals',
    source: 'Anscombe 1950, Biometrika 37:358; Garwood 1936, Biometrika 28:437',
  };
}

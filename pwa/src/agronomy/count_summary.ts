/**
 * What do these boards say together? Mean, spread, aggregation k, and honest intervals.
 *
 * k and the interval of the mean are by maximum and profile likelihood of the negative binomial law; the
 * Poisson (Garwood) interval stands beside them to show what ignoring the clumping would claim.
 * Lloyd 1967 mean crowding (J. Animal Ecology 36:1); Morisita 1959 index; Fisher's dispersion test.
 */
import { count, InputFault, level, list, maybe, number, type Reader, read, text } from './input';
import { bestA, type Counts, gather, logLikelihood, profile } from './negative_binomial';
import { garwood } from './poisson_interval';
import { tTwoSided } from './special/beta';
import { gammaQuantile, incompleteGamma, normalTwoSided } from './special/gamma';
import { findRoot } from './special/solve';

export type CountSummaryIn = { counts: number[]; clusters?: (string | number)[]; level?: number };

type Limits = { low: number | null; high: number | null };

/** Mean and spread without any law behind them; what is undefined is null. */
function moments(counts: number[]) {
  const n = counts.length;
  const total = counts.reduce((sum, x) => sum + x, 0);
  const mean = total / n;
  const squares = counts.reduce((sum, x) => sum + (x - mean) ** 2, 0);
  const variance = n > 1 ? squares / (n - 1) : null;
  const pairs = counts.reduce((sum, x) => sum + x * (x - 1), 0);
  const over = variance !== null && mean > 0 ? variance / mean : null;
  return {
    n,
    total,
    mean,
    variance,
    variance_mean_ratio: over,
    n_zero: counts.filter((x) => x === 0).length,
    k_moment: variance !== null && variance > mean ? (mean * mean) / (variance - mean) : null,
    dispersion_chi2: over === null ? null : squares / mean,
    dispersion_df: n - 1,
    dispersion_p: over === null ? null : incompleteGamma((n - 1) / 2, squares / mean / 2).upper,
    lloyd: over === null ? null : mean + over - 1,
    morisita: total > 1 ? (n * pairs) / (total * (total - 1)) : null,
  };
}

/** Where twice the fall of the log likelihood from its top reaches chi-squared (1 df) at this level. */
function dropAllowed(coverage: number): number {
  return gammaQuantile(0.5, 1 - coverage, 'upper');
}

/** Profile likelihood limits of the mean, k set anew at each mean; no upper limit below 1e9: null. */
export function profileMean(c: Counts, mean: number, coverage: number): Limits {
  const floor = profile(c, mean) - dropAllowed(coverage);
  const f = (t: number) => profile(c, Math.exp(t)) - floor;
  const top = Math.log(mean);
  let [below, above] = [top - 1, top + 1];
  while (f(below) > 0) below -= 2;
  while (f(above) > 0 && above < 21) above += 1;
  const high = f(above) > 0 ? null : Math.exp(findRoot(f, top, above));
  return { low: Math.exp(findRoot(f, below, top)), high };
}

/** Profile likelihood limits of k at the mean of the counts; a limit the counts leave open is null. */
function profileK(c: Counts, mean: number, a: number, coverage: number): Limits {
  const floor = logLikelihood(c, mean, a) - dropAllowed(coverage);
  const f = (t: number) => logLikelihood(c, mean, Math.exp(t)) - floor;
  const top = a > 0 ? Math.log(a) : -40;
  let above = Math.max(top, -10) + 1;
  while (f(above) > 0 && above < 600) above += 2;
  const low = Math.exp(-findRoot(f, top, above));
  if (logLikelihood(c, mean, 0) >= floor) return { low, high: null };
  let below = top - 1;
  while (f(below) > 0) below -= 2;
  return { low, high: Math.exp(-findRoot(f, below, top)) };
}

/** Limits of the mean that let boards of one group go up and down together (linearised, t with groups - 1 df). */
function clusterLimits(counts: number[], clusters: string[], mean: number, coverage: number): Limits {
  const sums = new Map<string, number>();
  counts.forEach((x, i) => {
    const name = clusters[i] ?? '';
    sums.set(name, (sums.get(name) ?? 0) + x - mean);
  });
  const groups = sums.size;
  if (groups < 2 || mean === 0) return { low: null, high: null };
  let squares = 0;
  for (const sum of sums.values()) squares += sum * sum;
  const se = Math.sqrt((squares * groups) / (groups - 1)) / (counts.length * mean);
  const reach = Math.exp(tTwoSided(coverage, groups - 1) * se);
  return { low: mean / reach, high: mean * reach };
}

const label: Reader<string> = (value, at) =>
  typeof value === 'number' ? `${number()(value, at)}` : text()(value, at);

export type CountSummary = ReturnType<typeof countSummary>;

export function countSummary(input: CountSummaryIn) {
  const v = read(input, { counts: list(count(), { min: 1 }), clusters: maybe(list(label)), level: level() });
  if (v.clusters && v.clusters.length !== v.counts.length) {
    throw new InputFault('/clusters', 'Give one cluster for each count.');
  }
  const c = gather(v.counts);
  const about = moments(v.counts);
  const { n, mean, total } = about;
  const [poissonLow, poissonHigh] = garwood(total, v.level);
  const a = total > 0 ? bestA(c, mean) : 0;
  const known = n > 1 && total > 0;
  const limits = known ? profileMean(c, mean, v.level) : { low: poissonLow / n, high: poissonHigh / n };
  const kLimits = known ? profileK(c, mean, a, v.level) : { low: null, high: null };
  const reach = Math.exp(normalTwoSided(v.level) * Math.sqrt((1 / mean + a) / n));
  const cluster = v.clusters && clusterLimits(v.counts, v.clusters, mean, v.level);
  return {
    ...about,
    poisson_low: poissonLow / n,
    poisson_high: poissonHigh / n,
    k: a > 0 ? 1 / a : null,
    k_low: kLimits.low,
    k_high: kLimits.high,
    log_likelihood: logLikelihood(c, mean, a),
    log_likelihood_poisson: logLikelihood(c, mean, 0),
    mean_low: limits.low,
    mean_high: limits.high,
    mean_low_wald: total > 0 ? mean / reach : null,
    mean_high_wald: total > 0 ? mean * reach : null,
    ...(cluster && { mean_low_cluster: cluster.low, mean_high_cluster: cluster.high }),
    model: a > 0 ? 'negative-binomial' : 'poisson',
    ...words(about, a, limits, !!v.clusters),
    method: 'negative binomial by maximum likelihood, profile likelihood intervals',
    source: 'Anscombe 1950, Biometrika 37:358; Garwood 1936, Biometrika 28:437',
  };
}

function words(about: ReturnType<typeof moments>, a: number, limits: Limits, clustered: boolean) {
  const whyNot: string[] = [];
  const cautions: string[] = [];
  if (about.n === 1) whyNot.push('One board tells nothing of the spread between boards.');
  else if (about.total === 0)
    whyNot.push('All counts are zero, so the spread between boards cannot be seen.');
  else if (a === 0) whyNot.push('The counts scatter no more than chance alone would, so k has no upper end.');
  if (limits.high === null) whyNot.push('So few boards had any that the mean has no upper limit.');
  if (clustered)
    cautions.push('Boards in one group go up and down together, so the plain interval is too narrow.');
  return { why_not: whyNot, cautions };
}

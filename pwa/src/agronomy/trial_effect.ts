/**
 * By how much did treated boards change against untreated ones, board by board?
 *
 * Given a unit's total, what was counted after is binomial with odds effort x block x ratio if treated (McCullagh &
 * Nelder 1989, Generalized Linear Models, 4.5 and 7.4); with one block and equal effort the ratio is Henderson and
 * Tilton's (1955, J. Econ. Entomol. 48:157). Pearson's dispersion, at least 1; t quantile.
 */
import { count, InputFault, level, list, maybe, number, type Reader, read, text } from './input';
import { tCdf, tTwoSided } from './special/beta';
import { normalTwoSided } from './special/gamma';
import { type Fit, fitBlocks, type Unit } from './trial_blocks';

export type TrialEffectIn = {
  treated_before: number[];
  treated_after: number[];
  control_before: number[];
  control_after: number[];
  treated_effort?: number[];
  control_effort?: number[];
  treated_blocks?: (string | number)[];
  control_blocks?: (string | number)[];
  level?: number;
};
export type TrialEffect = {
  percent: number | null;
  low: number | null;
  high: number | null;
  ratio: number | null;
  ratio_low: number | null;
  ratio_high: number | null;
  log_ratio: number | null;
  se_log_ratio: number | null;
  p: number | null;
  dispersion: number | null;
  df: number;
  n_treated: number;
  n_control: number;
  n_blocks: number;
  why_not: string[];
  cautions: string[];
  method: string;
  source: string;
};

const MOST_UNITS = 1000;
/** Below so many units a side an interval by t still holds, but hardly anything can be shown. */
const FEW = 6;
/** Added to each total for the interval when nothing was left where treated (Haldane 1956, Anscombe 1956). */
const HALF = 0.5;

const label: Reader<string> = (value, at) =>
  typeof value === 'number' ? `${number()(value, at)}` : text()(value, at);
const COUNTS = list(count({ max: 1e6 }), { min: 1, max: MOST_UNITS });
const EFFORTS = maybe(list(number({ min: 1e-6, max: 1e6 }), { max: MOST_UNITS }));
const BLOCKS = maybe(list(label, { max: MOST_UNITS }));

type Side = {
  before: number[];
  after: number[];
  effort: number[] | undefined;
  blocks: string[] | undefined;
};

function unitsOf(kind: 'treated' | 'control', { before, after, effort, blocks }: Side): Unit[] {
  const n = before.length;
  for (const [name, given] of Object.entries({ after, effort, blocks })) {
    if (given && given.length !== n) {
      throw new InputFault(`/${kind}_${name}`, `Give one for each of the ${n} in ${kind}_before.`);
    }
  }
  return before.map((count, i) => ({
    before: count,
    after: after[i] ?? 0,
    effort: effort?.[i] ?? 1,
    block: blocks?.[i] ?? '',
    treated: kind === 'treated',
  }));
}

export function trialEffect(input: TrialEffectIn): TrialEffect {
  const v = read(input, {
    treated_before: COUNTS,
    treated_after: COUNTS,
    control_before: COUNTS,
    control_after: COUNTS,
    treated_effort: EFFORTS,
    control_effort: EFFORTS,
    treated_blocks: BLOCKS,
    control_blocks: BLOCKS,
    level: level(),
  });
  const side = (before: number[], after: number[], effort?: number[], blocks?: string[]): Side => ({
    before,
    after,
    effort,
    blocks,
  });
  const treated = unitsOf(
    'treated',
    side(v.treated_before, v.treated_after, v.treated_effort, v.treated_blocks),
  );
  const control = unitsOf(
    'control',
    side(v.control_before, v.control_after, v.control_effort, v.control_blocks),
  );
  if (!v.treated_blocks !== !v.control_blocks) {
    throw new InputFault(
      `/${v.treated_blocks ? 'control' : 'treated'}_blocks`,
      'Give the blocks of both sides, or of neither.',
    );
  }
  return answer(fitBlocks(treated, control), treated, control, v.level);
}

function answer(fit: Fit, treated: Unit[], control: Unit[], wanted: number): TrialEffect {
  const [ratio, low, high] = limits(fit, wanted);
  const logRatio = ratio ? fit.logRatio : null;
  const se = logRatio === null ? null : fit.se;
  const percent = (of: number | null) => (of === null ? null : 100 * (1 - of));
  return {
    percent: percent(ratio),
    low: percent(high),
    high: percent(low),
    ratio,
    ratio_low: low,
    ratio_high: high,
    log_ratio: logRatio,
    se_log_ratio: se,
    p: logRatio !== null && se !== null && fit.df > 0 ? 2 * tCdf(-Math.abs(logRatio) / se, fit.df) : null,
    dispersion: fit.dispersion,
    df: fit.df,
    n_treated: fit.nTreated,
    n_control: fit.nControl,
    n_blocks: fit.nBlocks,
    why_not: whyNot(fit, treated, control, ratio !== null && high === null),
    cautions: cautions(fit),
    method:
      "share counted after, given each board's total: binomial by blocks, quasi scale, t (Henderson-Tilton)",
    source:
      'McCullagh & Nelder 1989, Generalized Linear Models; Henderson & Tilton 1955, J. Econ. Entomol. 48:157',
  };
}

const exp = (log: number): number | null => (log < 700 ? Math.exp(log) : null);

/** Ratio and its limits. */
function limits(fit: Fit, wanted: number): [number | null, number | null, number | null] {
  if (fit.logRatio === null || fit.logRatio === Infinity) return [null, null, null];
  const reach = fit.df > 0 ? tTwoSided(wanted, fit.df) : normalTwoSided(wanted);
  if (fit.logRatio === -Infinity) {
    const [ta, tb, ca, cb] = fit.totals.map((count) => count + HALF) as [number, number, number, number];
    const centre = Math.log(ta) - Math.log(tb) - Math.log(ca) + Math.log(cb) - fit.logEffort;
    return [0, 0, exp(centre + reach * Math.sqrt(1 / ta + 1 / tb + 1 / ca + 1 / cb))];
  }
  if (fit.se === null) return [null, null, null];
  return [Math.exp(fit.logRatio), exp(fit.logRatio - reach * fit.se), exp(fit.logRatio + reach * fit.se)];
}

const total = (units: Unit[], of: 'before' | 'after'): number =>
  units.reduce((sum, unit) => sum + unit[of], 0);

function whyNot(fit: Fit, treated: Unit[], control: Unit[], endless: boolean): string[] {
  const said: string[] = [];
  if (fit.logRatio === null || fit.logRatio === Infinity) said.push(undefinedWords(treated, control));
  else if (fit.logRatio === -Infinity) {
    said.push('The ratio is 0, so its logarithm and the chance p are undefined.');
  }
  if (endless) said.push('The counts are so small that the interval has no upper end.');
  if (fit.df === 0) {
    said.push('With one unit a side there is no scatter to see, so dispersion and p are undefined.');
  } else if (fit.dispersion === null) {
    said.push('The dispersion needs counts before and after on both sides.');
  }
  return said;
}

function undefinedWords(treated: Unit[], control: Unit[]): string {
  if (total(control, 'after') === 0) {
    return 'Nothing was left in the control, so there is nothing to compare with.';
  }
  if (total(control, 'before') === 0) {
    return 'Nothing was counted in the control before, so its change cannot be worked out.';
  }
  if (total(treated, 'before') === 0) {
    return 'Nothing was counted before where treated, so no change can be worked out.';
  }
  return 'No block has treated and untreated units with counts before and after.';
}

function cautions(fit: Fit): string[] {
  const said: string[] = [];
  const fewest = Math.min(fit.nTreated, fit.nControl);
  if (fit.df === 0) {
    said.push(
      'One unit a side is one comparison: the interval takes the counts as scattering by chance alone, and is too ' +
        'narrow.',
    );
  } else if (fewest < FEW) {
    said.push(`With ${fewest} on one side the answer rests on few; repeat it on more.`);
  }
  if (fit.nBlocks > 0 && Math.min(...fit.totals) < 5) said.push('A count below 5 makes the interval rough.');
  if (fit.logRatio === -Infinity) {
    said.push('Nothing was left where treated; the interval adds a half to every total.');
  }
  if (fit.leftOut) said.push('Blocks or units that cannot be compared were left out.');
  return said;
}

/** Counts before and after on units in blocks: the ratio of their changes by maximum likelihood. */

/** What was treated, or left, as one: counts before and after, and effort after over before. */
export type Unit = { before: number; after: number; effort: number; block: string; treated: boolean };

export type Fit = {
  /** Null when no block can be compared; infinite when one side has none left or had none. */
  logRatio: number | null;
  se: number | null;
  dispersion: number | null;
  df: number;
  nTreated: number;
  nControl: number;
  nBlocks: number;
  /** Treated after, treated before, untreated after, untreated before, in the blocks that are compared. */
  totals: [number, number, number, number];
  /** Log of the mean effort where treated over that where untreated. */
  logEffort: number;
  leftOut: boolean;
};

const NEWTON_STEPS = 200;
/** A log ratio beyond this has no end: on one side nothing is left, or nothing was there. */
const ENDLESS = 30;

const sum = (values: readonly number[]): number => values.reduce((all, one) => all + one, 0);
const totalOf = (unit: Unit): number => unit.before + unit.after;
/** Expected share counted after, at the log odds of equal effort. */
const share = (unit: Unit, logOdds: number): number => 1 / (1 + Math.exp(-(logOdds + Math.log(unit.effort))));

export function fitBlocks(treated: readonly Unit[], control: readonly Unit[]): Fit {
  const units = [...treated, ...control];
  const groups = new Map<string, Unit[]>();
  for (const unit of units) {
    if (totalOf(unit) > 0) groups.set(unit.block, [...(groups.get(unit.block) ?? []), unit]);
  }
  const blocks = [...groups.values()].filter(comparable);
  const used = blocks.flat();
  const mine = used.filter((unit) => unit.treated);
  const theirs = used.filter((unit) => !unit.treated);
  const totals: Fit['totals'] = [
    sum(mine.map((unit) => unit.after)),
    sum(mine.map((unit) => unit.before)),
    sum(theirs.map((unit) => unit.after)),
    sum(theirs.map((unit) => unit.before)),
  ];
  const df = Math.max(used.length - blocks.length - 1, 0);
  return {
    ...top(blocks, df, totals),
    df,
    nTreated: mine.length,
    nControl: theirs.length,
    nBlocks: blocks.length,
    totals,
    logEffort: logMeanEffort(mine) - logMeanEffort(theirs),
    leftOut: used.length < units.length,
  };
}

function comparable(group: readonly Unit[]): boolean {
  const kinds = new Set(group.map((unit) => unit.treated));
  return kinds.size === 2 && group.some((unit) => unit.before > 0) && group.some((unit) => unit.after > 0);
}

function logMeanEffort(units: readonly Unit[]): number {
  return units.length > 0 ? Math.log(sum(units.map((unit) => unit.effort)) / units.length) : 0;
}

type Top = Pick<Fit, 'logRatio' | 'se' | 'dispersion'>;
const none = (logRatio: number | null): Top => ({ logRatio, se: null, dispersion: null });

function top(blocks: readonly Unit[][], df: number, [ta, tb, ca, cb]: Fit['totals']): Top {
  if (blocks.length === 0) return none(null);
  if (tb === 0 || ca === 0 || cb === 0) return none(Infinity);
  if (ta === 0) return none(-Infinity);
  let ratio = 0;
  let levels = blocks.map(logOdds);
  for (let turn = 0; turn < NEWTON_STEPS; turn += 1) {
    const [step, moves] = newton(blocks, ratio, levels);
    const largest = Math.max(Math.abs(step), ...moves.map(Math.abs));
    // Both parts of a step are held back alike: it stays a step uphill.
    const held = Math.min(1, 1 / Math.max(largest, 1e-300));
    ratio += held * step;
    levels = levels.map((level, b) => level + held * (moves[b] ?? 0));
    if (Math.abs(ratio) > ENDLESS) return none(Infinity);
    if (largest < 1e-12) break;
  }
  const information = sum(blocks.map((group, b) => informationOf(group, ratio, levels[b] ?? 0)));
  if (information <= 0) return none(Infinity);
  const dispersion = spread(blocks, ratio, levels, df);
  return { logRatio: ratio, se: Math.sqrt((dispersion ?? 1) / information), dispersion };
}

/** Where the search of a block's level starts: all its units as if untreated. */
function logOdds(group: readonly Unit[]): number {
  const effort = sum(group.map((unit) => Math.log(unit.effort))) / group.length;
  return Math.log(sum(group.map((unit) => unit.after)) / sum(group.map((unit) => unit.before))) - effort;
}

/** Score and information of the treated, then of the untreated, of one block. */
function sums(group: readonly Unit[], ratio: number, level: number): [number, number, number, number] {
  const found: [number, number, number, number] = [0, 0, 0, 0];
  for (const unit of group) {
    const p = share(unit, unit.treated ? level + ratio : level);
    const at = unit.treated ? 0 : 2;
    found[at] += unit.after - totalOf(unit) * p;
    found[at + 1] = (found[at + 1] ?? 0) + totalOf(unit) * p * (1 - p);
  }
  return found;
}

/** One Newton step: the levels of blocks are eliminated, each stands in its own equation only. */
function newton(blocks: readonly Unit[][], ratio: number, levels: readonly number[]): [number, number[]] {
  const all = blocks.map((group, b) => sums(group, ratio, levels[b] ?? 0));
  const told = all.filter(([, it, , ic]) => it + ic > 0);
  const score = sum(told.map(([ut, it, uc, ic]) => (ut * ic - uc * it) / (it + ic)));
  const information = sum(told.map(([, it, , ic]) => (it * ic) / (it + ic)));
  const step = information > 0 ? score / information : score < 0 ? -1 : 1;
  return [step, all.map(([ut, it, uc, ic]) => (it + ic > 0 ? (ut + uc - it * step) / (it + ic) : 0))];
}

function informationOf(group: readonly Unit[], ratio: number, level: number): number {
  const [, treated, , control] = sums(group, ratio, level);
  return treated + control > 0 ? (treated * control) / (treated + control) : 0;
}

/** Pearson's dispersion of the units about their expected shares, at least 1. */
function spread(
  blocks: readonly Unit[][],
  ratio: number,
  levels: readonly number[],
  df: number,
): number | null {
  if (df === 0) return null;
  const squares = blocks.flatMap((group, b) =>
    group.map((unit) => {
      const p = share(unit, (levels[b] ?? 0) + (unit.treated ? ratio : 0));
      const variance = totalOf(unit) * p * (1 - p);
      return variance > 0 ? (unit.after - totalOf(unit) * p) ** 2 / variance : 0;
    }),
  );
  return Math.max(sum(squares) / df, 1);
}

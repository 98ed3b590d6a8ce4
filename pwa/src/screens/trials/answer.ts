/** What the counts of a trial say. Pure; worked out anew each time, never stored. */
import { type TrialEffect, trialEffect } from '../../agronomy';
import type { Counted, Side, Trial, UnitCounts } from './model';

export interface Answer {
  effect: TrialEffect;
  /** What was counted as one: beds, or single boards. */
  by: 'place' | 'board';
  n_treated: number;
  n_control: number;
  verdict: 'worked' | 'no_evidence' | 'more' | 'not_yet';
}

/**
 * What the counts say. Beds are the units where at least two a side were treated or left as one; a single bed a
 * side is one comparison, there the boards have to stand for it, and the screen says so.
 */
export function answerOf(trial: Trial, counted: Counted): Answer | undefined {
  const usable = counted.units.filter(({ before_n, after_n }) => before_n > 0 && after_n > 0);
  const of = (side: Side) => usable.filter(({ unit }) => unit.side === side);
  const [treated, control] = [of('treated'), of('control')];
  if (treated.length === 0 || control.length === 0) return undefined;
  const blocked = trial.allocation === 'blocked' && usable.every(({ unit }) => unit.block !== undefined);
  const effort = (all: readonly UnitCounts[]) => all.map(({ before_n, after_n }) => after_n / before_n);
  const block = (all: readonly UnitCounts[]) => all.map(({ unit }) => unit.block ?? '');
  const effect = trialEffect({
    treated_before: treated.map(({ before }) => before),
    treated_after: treated.map(({ after }) => after),
    control_before: control.map(({ before }) => before),
    control_after: control.map(({ after }) => after),
    treated_effort: effort(treated),
    control_effort: effort(control),
    ...(blocked ? { treated_blocks: block(treated), control_blocks: block(control) } : {}),
  });
  return {
    effect,
    by: usable.some(({ unit }) => unit.kind === 'place') ? 'place' : 'board',
    n_treated: treated.length,
    n_control: control.length,
    verdict: verdictOf(effect),
  };
}

function verdictOf({ ratio_low: low, ratio_high: high, df }: TrialEffect): Answer['verdict'] {
  if (low === null) return 'not_yet';
  // One unit a side shows no scatter of its own: such an interval proves nothing.
  if (df > 0 && high !== null && high < 1) return 'worked';
  return df > 0 && low > 1 ? 'more' : 'no_evidence';
}

/** One trial from its records: boards, days and counts. Pure. */
import { numberOn, standing } from '../../domain/double_counts';
import type { Trial as TrialRecord } from '../../generated/api';
import type { Base } from '../../storage';
import { dayPlus, daysBetween, localDay } from '../forms/local_time';

export type Trial = TrialRecord & { id: string; base?: Base };
export interface Place {
  id: string;
  label: string;
  outline?: readonly (readonly [number, number])[];
}
export interface Board {
  id: string;
  label: string;
  place_id?: string;
  x_m?: number;
  y_m?: number;
}
export interface RoundLike {
  id: string;
  observed_at?: string;
  kind?: string;
  valid?: boolean;
  disturbed?: boolean;
  conflicted?: boolean;
}
export interface CountLike {
  round_id?: string;
  station_id?: string;
  state?: string;
  count?: number;
  stands?: boolean;
  set_aside?: boolean;
  conflicted?: boolean;
}

export type Side = 'treated' | 'control';
/** What was treated, or left, as one: a bed with its boards, or a single board. */
export interface Unit {
  id: string;
  side: Side;
  label: string;
  kind: 'place' | 'board';
  boards: Board[];
  block: string | undefined;
}

/** Places and boards of both sides; one that is on no list any more keeps its seat without boards. */
export function unitsOf(trial: Trial, places: readonly Place[], boards: readonly Board[]): Unit[] {
  const side = (ids: readonly string[] | undefined, which: Side): Unit[] =>
    (ids ?? []).map((id) => {
      const board = boards.find((one) => one.id === id);
      const place = places.find((one) => one.id === id);
      const block = trial.blocks?.[id];
      return {
        id,
        side: which,
        label: board?.label ?? place?.label ?? '',
        kind: board ? ('board' as const) : ('place' as const),
        boards: board ? [board] : boards.filter(({ place_id }) => place_id === id),
        block: block === undefined || block === null ? undefined : String(block),
      };
    });
  return [...side(trial.treated_ids, 'treated'), ...side(trial.control_ids, 'control')];
}

/** Nematodes are judged from day 7 to 42: UK suppliers' leaflets (death in 4 to 21 days, active six weeks). */
export const DRENCH_DAYS = { from: 7, to: 42 } as const;
export const isDrench = (kind: string | undefined): boolean => kind === 'nematodes' || kind === 'brew';

/** Windows of a trial with the treatment on a day, so many weeks before and after it. */
export function windowsOf(
  kind: string | undefined,
  treatOn: string,
  weeks: { before: number; after: number },
): Required<Pick<Trial, 'before_from' | 'before_to' | 'treat_on' | 'after_from' | 'after_to'>> {
  const last = isDrench(kind) ? Math.min(7 * weeks.after, DRENCH_DAYS.to) : 7 * weeks.after;
  const first = isDrench(kind) ? DRENCH_DAYS.from : 1;
  return {
    before_from: dayPlus(treatOn, -7 * weeks.before),
    before_to: treatOn,
    treat_on: treatOn,
    after_from: dayPlus(treatOn, first),
    after_to: dayPlus(treatOn, Math.max(last, first)),
  };
}

/** The same trial with the treatment done on another day than planned: what lies after it moves along. */
export function treatedOn(trial: Trial, day: string): Partial<Trial> {
  const planned = trial.treat_on ?? trial.before_to ?? day;
  const moved = (date: string | undefined, fallback: string) =>
    date === undefined ? fallback : dayPlus(date, daysBetween(planned, day));
  const usual = windowsOf(trial.kind, day, { before: 4, after: 6 });
  return {
    treat_on: day,
    before_from: trial.before_from ?? usual.before_from,
    before_to: day,
    after_from: moved(trial.after_from, usual.after_from),
    after_to: moved(trial.after_to, usual.after_to),
  };
}

export type Phase = 'unset' | 'planned' | 'before' | 'treat' | 'wait' | 'after' | 'over';
export interface Standing {
  phase: Phase;
  treat_on: string | undefined;
  /** Days since the treatment; negative before it. */
  day: number | undefined;
  treated: boolean;
}
/** Days for which a treatment that nobody wrote down is asked for. */
const ASKED_DAYS = 10;

export function standingOf(trial: Trial, today: string): Standing {
  const treatOn = trial.treat_on ?? trial.before_to;
  const treated = (trial.treatment_ids?.length ?? 0) > 0;
  if (treatOn === undefined || !trial.after_from || !trial.after_to) {
    return { phase: 'unset', treat_on: treatOn, day: undefined, treated };
  }
  const day = daysBetween(treatOn, today);
  return { phase: phaseOf(trial, { today, day, treated }), treat_on: treatOn, day, treated };
}

function phaseOf(trial: Trial, at: { today: string; day: number; treated: boolean }): Phase {
  const { after_from = '', after_to = '', before_from } = trial;
  if (at.today > after_to) return 'over';
  if (at.day < 0) return before_from && at.today < before_from ? 'planned' : 'before';
  if (!at.treated && at.day <= ASKED_DAYS) return 'treat';
  return at.today < after_from ? 'wait' : 'after';
}

export type When = 'before' | 'after';
/** One round that speaks for the trial: what each side had under the boards that were turned. */
export interface RoundRow {
  round_id: string;
  day: string;
  when: When;
  treated: { total: number; n: number };
  control: { total: number; n: number };
}
export interface UnitCounts {
  unit: Unit;
  before: number;
  after: number;
  before_n: number;
  after_n: number;
}
export interface Counted {
  rows: RoundRow[];
  units: UnitCounts[];
  /** Rounds in the windows that were left out: not valid, disturbed or in conflict. */
  n_left_out: number;
}

export function whenOf(trial: Trial, day: string): When | undefined {
  const within = (from: string | undefined, to: string | undefined) =>
    from !== undefined && to !== undefined && day >= from && day <= to;
  if (within(trial.after_from, trial.after_to)) return 'after';
  return within(trial.before_from, trial.before_to) ? 'before' : undefined;
}

/** Settled numbers of valid dawn rounds in both windows, board by board. */
export function countedIn(
  trial: Trial,
  units: readonly Unit[],
  rounds: readonly RoundLike[],
  counts: readonly CountLike[],
  timeZone: string,
): Counted {
  const totals = new Map<string, UnitCounts>(
    units.map((unit) => [unit.id, { unit, before: 0, after: 0, before_n: 0, after_n: 0 }]),
  );
  const unitOf = new Map(units.flatMap((unit) => unit.boards.map((board) => [board.id, unit] as const)));
  const byRound = grouped(counts, ({ round_id }) => round_id);
  const rows: RoundRow[] = [];
  let leftOut = 0;
  for (const round of rounds) {
    const day = round.observed_at === undefined ? '' : localDay(round.observed_at, timeZone);
    const when = whenOf(trial, day);
    if (when === undefined || (round.kind ?? 'dawn') !== 'dawn') continue;
    if (round.valid === false || round.disturbed === true || round.conflicted === true) {
      leftOut += 1;
      continue;
    }
    const row: RoundRow = {
      round_id: round.id,
      day,
      when,
      treated: { total: 0, n: 0 },
      control: { total: 0, n: 0 },
    };
    for (const [board, number] of settledBoards(byRound.get(round.id) ?? [])) {
      const unit = unitOf.get(board);
      const own = unit && totals.get(unit.id);
      if (!own) continue;
      own[when] += number;
      own[`${when}_n`] += 1;
      row[unit.side].total += number;
      row[unit.side].n += 1;
    }
    if (row.treated.n + row.control.n > 0) rows.push(row);
  }
  rows.sort((a, b) => (a.day < b.day ? -1 : 1));
  return { rows, units: [...totals.values()], n_left_out: leftOut };
}

function grouped<T>(items: readonly T[], key: (item: T) => string | undefined): Map<string, T[]> {
  const groups = new Map<string, T[]>();
  for (const item of items) {
    const of = key(item);
    if (of === undefined) continue;
    const group = groups.get(of);
    if (group) group.push(item);
    else groups.set(of, [item]);
  }
  return groups;
}

/** Boards of a round with a number that nobody disputes. */
export function settledBoards(counts: readonly CountLike[]): [string, number][] {
  return [...grouped(counts, ({ station_id }) => station_id)].flatMap(([board, of]) => {
    const { one, double } = standing(of.map((body) => ({ body })));
    const number = one && !double && one.body.conflicted !== true ? numberOn(one.body) : undefined;
    return number === undefined ? [] : [[board, number] as [string, number]];
  });
}

export type DueWhat = 'count_before' | 'treat' | 'count_after' | 'read';
/** A round older than this is no news of the trial any more; our choice, no source. */
const COUNT_EVERY_DAYS = 3;
/** Days after its end for which a trial says that its answer is there. */
const READ_DAYS = 7;

/** Over for so long that nothing is asked for any more. */
export function isLongOver(trial: Trial, today: string): boolean {
  return trial.after_to !== undefined && daysBetween(trial.after_to, today) > READ_DAYS;
}

/** What the trial wants of a person today. */
export function dueOf(trial: Trial, rows: readonly RoundRow[], today: string): DueWhat | undefined {
  const { phase } = standingOf(trial, today);
  if (phase === 'treat') return 'treat';
  if (phase === 'over') return isLongOver(trial, today) ? undefined : 'read';
  if (phase !== 'before' && phase !== 'after') return undefined;
  const last = rows.filter(({ when }) => when === phase).at(-1)?.day;
  const stale = last === undefined || daysBetween(last, today) >= COUNT_EVERY_DAYS;
  return stale ? `count_${phase}` : undefined;
}

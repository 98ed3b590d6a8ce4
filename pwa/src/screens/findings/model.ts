/** Slug pressure per round: which counts may speak, their mean and interval, and where they stand on paper. Pure. */
import { type CountSummary, countSummary } from '../../agronomy';
import { allKept, numberOn, standing } from '../../domain/double_counts';
import { FEWEST_BOARDS } from '../../domain/stop_advice';
import { dayPlus, localDay } from '../forms/local_time';

export interface RoundView {
  id: string;
  observed_at?: string;
  started_at?: string;
  kind?: string;
  valid?: boolean;
  not_valid_reason?: string;
  disturbed?: boolean;
  conflicted?: boolean;
  clock_suspect?: boolean;
}
export interface CountView {
  id: string;
  round_id?: string;
  station_id?: string;
  state?: string;
  count?: number;
  stands?: boolean;
  set_aside?: boolean;
  observed_at?: string;
  /** An open conflict about this record. */
  conflicted?: boolean;
  /** Sent by a phone whose clock was wrong. */
  clock_suspect?: boolean;
}

/** A board as far as it matters whether it stood on a day. */
export interface BoardView {
  id: string;
  kind?: string;
  place_id?: string;
  set_on?: string;
  retired_on?: string;
}

export interface Settled {
  counts: number[];
  /** Of the counts, those that a person said had none. */
  n_none: number;
  n_not_turned: number;
  n_spoiled: number;
  /** Boards left out because two counts or two values are waiting to be settled. */
  n_disputed: number;
  /** Boards counted twice of which a person said that both are kept: left out, but not waiting. */
  n_kept: number;
}

/** The numbers that may go into a mean: one a board, none that is still in dispute. */
export function settledCounts(counts: readonly CountView[]): Settled {
  const boards = new Map<string, { body: CountView }[]>();
  for (const count of counts) {
    if (count.station_id === undefined) continue;
    const of = boards.get(count.station_id);
    if (of) of.push({ body: count });
    else boards.set(count.station_id, [{ body: count }]);
  }
  const settled: Settled = { counts: [], n_none: 0, n_not_turned: 0, n_spoiled: 0, n_disputed: 0, n_kept: 0 };
  for (const of of boards.values()) {
    const { one, double } = standing(of);
    const number = one && numberOn(one.body);
    if (double && allKept(of.map(({ body }) => body))) settled.n_kept += 1;
    else if (double || one?.body.conflicted) settled.n_disputed += 1;
    else if (number !== undefined) {
      settled.counts.push(number);
      if (one?.body.state === 'none_found') settled.n_none += 1;
    } else if (one?.body.state === 'spoiled') settled.n_spoiled += 1;
    else if (one) settled.n_not_turned += 1;
  }
  return settled;
}

export type PointKind = 'valid' | 'not_valid' | 'disputed';
export interface Point {
  round_id: string;
  day: string;
  at_ms: number;
  kind: PointKind;
  why_not?: string;
  n: number;
  total: number;
  mean: number;
  low: number | null;
  high: number | null;
  /** Which law the interval stands on, by the calculation's own name for it. */
  model: string;
  n_none: number;
  n_not_turned: number;
  n_spoiled: number;
  /** Boards that stood there that day and of which nothing was written; null where nobody knows which stood. */
  n_no_record: number | null;
  n_disputed: number;
  n_kept: number;
  /** Its time, or one of a count, is from a wrong clock: used all the same, and said. */
  clock_suspect?: true;
  cautions: string[];
}

/** One point for every round with at least one settled board, oldest first. */
export function pressure(
  rounds: readonly RoundView[],
  counts: readonly CountView[],
  timeZone: string,
  boards: readonly BoardView[] = [],
): Point[] {
  const byRound = new Map<string, CountView[]>();
  // By id, whatever order they were read in: the same counts give the same figures to the last digit.
  for (const count of [...counts].sort(byId)) {
    if (count.round_id === undefined) continue;
    const of = byRound.get(count.round_id);
    if (of) of.push(count);
    else byRound.set(count.round_id, [count]);
  }
  const points = rounds.flatMap((round) => {
    const point = pointOf(round, byRound.get(round.id) ?? [], timeZone, boards);
    return point ? [point] : [];
  });
  return points.sort((a, b) => a.at_ms - b.at_ms || byId({ id: a.round_id }, { id: b.round_id }));
}

function byId(a: { id: string }, b: { id: string }): number {
  return a.id < b.id ? -1 : a.id > b.id ? 1 : 0;
}

/** Profile likelihoods cost a millisecond or more each: a round that has not changed is not reckoned again. */
const reckoned = new Map<string, CountSummary>();
/** Half a year of rounds, twice over. */
const MOST_KEPT = 300;

/** What was reckoned, for the next time the app is opened: a summary depends on its counts alone and never goes stale. */
export function reckonedSoFar(): [string, CountSummary][] {
  return [...reckoned].slice(-MOST_KEPT);
}

export function knowReckoned(known: readonly (readonly [string, CountSummary])[]): void {
  for (const [counts, summary] of known) if (!reckoned.has(counts)) reckoned.set(counts, summary);
}

function summaryOf(counts: readonly number[]): CountSummary {
  const key = counts.join();
  const before = reckoned.get(key);
  if (before) {
    // Used last stands last, so that what is kept for the next time is what this time needed.
    reckoned.delete(key);
    reckoned.set(key, before);
    return before;
  }
  const summary = countSummary({ counts: [...counts] });
  reckoned.set(key, summary);
  return summary;
}

export function stoodOn(board: BoardView, day: string): boolean {
  return (board.set_on ?? '') <= day && (board.retired_on === undefined || board.retired_on > day);
}

/** Nothing written is not the same as not turned; rounds of other kinds pass no boards. */
function noRecord(day: string, counts: readonly CountView[], boards: readonly BoardView[]): number | null {
  if (boards.length === 0) return null;
  const told = new Set(counts.map(({ station_id }) => station_id));
  return boards.filter((board) => stoodOn(board, day) && !told.has(board.id)).length;
}

function pointOf(
  round: RoundView,
  counts: readonly CountView[],
  timeZone: string,
  boards: readonly BoardView[],
): Point | undefined {
  const at = round.observed_at ?? round.started_at;
  const settled = settledCounts(counts);
  if (at === undefined || settled.counts.length === 0) return undefined;
  const summary = summaryOf(settled.counts);
  // A handful of boards cannot show clumping: there the exact Poisson interval stands, as in the round itself.
  const negative = summary.model === 'negative-binomial' && summary.n >= FEWEST_BOARDS;
  const notValid = round.valid === false;
  const disputed = settled.n_disputed > 0 || round.conflicted === true;
  const day = localDay(at, timeZone);
  return {
    round_id: round.id,
    day,
    at_ms: Date.parse(at),
    kind: notValid ? 'not_valid' : disputed ? 'disputed' : 'valid',
    ...(notValid && round.not_valid_reason ? { why_not: round.not_valid_reason } : {}),
    n: settled.counts.length,
    total: settled.counts.reduce((sum, count) => sum + count, 0),
    mean: summary.mean,
    low: negative ? summary.mean_low_calibrated : summary.poisson_low,
    high: negative ? summary.mean_high_calibrated : summary.poisson_high,
    model: negative ? 'negative-binomial' : 'poisson',
    n_none: settled.n_none,
    n_not_turned: settled.n_not_turned,
    n_spoiled: settled.n_spoiled,
    n_no_record: noRecord(day, counts, boards),
    n_disputed: settled.n_disputed,
    n_kept: settled.n_kept,
    ...([round, ...counts].some((one) => one.clock_suspect) ? { clock_suspect: true as const } : {}),
    // The interval shown is the calibrated one or Poisson's: what is said of the plain one is about neither.
    cautions: summary.cautions.filter((words) => !words.includes('mean_low')),
  };
}

export interface Comparison {
  latest: Point;
  usual: number;
  n_usual: number;
  verdict: 'above' | 'below' | 'within';
}

/**
 * The last valid round against the mean of the valid ones before it (at most ten, at least three).
 * It only says whether the usual mean lies outside the last round's own interval; it is no surge alarm.
 */
export function againstUsual(points: readonly Point[]): Comparison | undefined {
  const valid = points.filter((point) => point.kind === 'valid');
  const latest = valid.at(-1);
  const before = valid.slice(0, -1).slice(-10);
  if (!latest || before.length < 3) return undefined;
  const usual = before.reduce((sum, point) => sum + point.mean, 0) / before.length;
  const verdict =
    latest.low !== null && latest.low > usual
      ? 'above'
      : latest.high !== null && latest.high < usual
        ? 'below'
        : 'within';
  return { latest, usual, n_usual: before.length, verdict };
}

export type Span = 'month' | 'season' | 'all';
const SPAN_DAYS: Record<Exclude<Span, 'all'>, number> = { month: 31, season: 183 };

/** The day before which a span has nothing to show, counted back from the newest round. */
export function spanStart(rounds: readonly RoundView[], span: Span, timeZone: string): string | undefined {
  const newest = rounds
    .map((round) => round.observed_at ?? '')
    .reduce((a, b) => (Date.parse(b) > Date.parse(a || '1970-01-01') ? b : a), '');
  if (span === 'all' || newest === '') return undefined;
  return dayPlus(localDay(newest, timeZone), -SPAN_DAYS[span]);
}

/** Points of the last month, half year, or all, counted back from the newest. */
export function within(points: readonly Point[], span: Span): Point[] {
  const newest = points.at(-1)?.at_ms;
  if (newest === undefined || span === 'all') return [...points];
  return points.filter((point) => point.at_ms >= newest - SPAN_DAYS[span] * 86_400_000);
}

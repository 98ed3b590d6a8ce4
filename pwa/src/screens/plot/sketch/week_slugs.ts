/**
 * What the boards of each place say in one week. Pure.
 *
 * Counted, none found, not turned, spoiled and no record stay five different things; a board counted twice and not
 * settled, and a value in dispute, are left out of the mean and stand at the side. Rounds that are not valid are left
 * out as a whole. The law of the interval is chosen as for a round: exact Poisson (Garwood 1936) for a handful of
 * boards or where they show no clumping, else negative binomial.
 */
import { countSummary, poissonInterval } from '../../../agronomy';
import { allKept, numberOn, standing } from '../../../domain/double_counts';
import { FEWEST_BOARDS } from '../../../domain/stop_advice';
import { dayPlus } from '../../forms/local_time';
import type { SketchStation } from './ground';

export interface WalkedRound {
  id: string;
  day: string;
  valid: boolean;
}
export interface TurnedBoard {
  id: string;
  round_id?: string;
  station_id?: string;
  state?: string;
  count?: number;
  stands?: boolean;
  set_aside?: boolean;
  conflicted?: boolean;
}
export interface BedWeek {
  /** Boards that stood there, and turns of them that gave a number. */
  n_boards: number;
  n: number;
  total: number;
  mean: number | null;
  low: number | null;
  high: number | null;
  model: 'poisson' | 'negative-binomial' | null;
  n_counted: number;
  n_none: number;
  n_not_turned: number;
  n_spoiled: number;
  /** Walked past without a word: a board stood there, a round was walked, nothing was written. */
  n_no_record: number;
  /** Waiting for somebody to say which count stands. */
  n_disputed: number;
  /** Counted twice, and somebody said that both are kept. */
  n_kept: number;
  /** Numbers at the side: what was said where it is not settled. */
  at_side: number[][];
}

function blank(): BedWeek & { numbers: number[] } {
  const nothing = { mean: null, low: null, high: null, model: null };
  const counts = { n_counted: 0, n_none: 0, n_not_turned: 0, n_spoiled: 0, n_no_record: 0 };
  return {
    ...{ n_boards: 0, n: 0, total: 0, ...nothing, ...counts, n_disputed: 0, n_kept: 0 },
    at_side: [],
    numbers: [],
  };
}

function stood(board: SketchStation, day: string): boolean {
  return (board.set_on ?? '') <= day && (board.retired_on === undefined || board.retired_on > day);
}

/** Every place in which a board stood that week, by place id. */
export function bedWeeks(
  rounds: readonly WalkedRound[],
  counts: readonly TurnedBoard[],
  boards: readonly SketchStation[],
  sunday: string,
): Map<string, BedWeek> {
  const beds = new Map<string, ReturnType<typeof blank>>();
  const said = new Map<string, TurnedBoard[]>();
  for (const count of counts) {
    const key = `${count.round_id} ${count.station_id}`;
    said.set(key, [...(said.get(key) ?? []), count]);
  }
  const valid = rounds.filter((round) => round.valid);
  const monday = dayPlus(sunday, -6);
  for (const board of boards) {
    if (!board.place_id || !(stood(board, monday) || stood(board, sunday))) continue;
    const bed = beds.get(board.place_id) ?? blank();
    beds.set(board.place_id, bed);
    bed.n_boards += 1;
    for (const round of valid)
      addTurn(bed, said.get(`${round.id} ${board.id}`) ?? [], stood(board, round.day));
  }
  return new Map([...beds].map(([id, bed]) => [id, summed(bed)]));
}

function addTurn(bed: ReturnType<typeof blank>, told: readonly TurnedBoard[], expected: boolean): void {
  if (told.length === 0) {
    if (expected) bed.n_no_record += 1;
    return;
  }
  const { one, double } = standing(told.map((body) => ({ body })));
  const disputed = one?.body.conflicted === true;
  if (double || disputed) {
    if (double && allKept(told)) bed.n_kept += 1;
    else bed.n_disputed += 1;
    bed.at_side.push(told.flatMap((count) => numberOn(count) ?? []));
    return;
  }
  const number = one && numberOn(one.body);
  if (number !== undefined) {
    bed.numbers.push(number);
    if (one?.body.state === 'none_found') bed.n_none += 1;
    else bed.n_counted += 1;
  } else if (one?.body.state === 'spoiled') bed.n_spoiled += 1;
  else bed.n_not_turned += 1;
}

function summed({ numbers, ...bed }: ReturnType<typeof blank>): BedWeek {
  const n = numbers.length;
  if (n === 0) return bed;
  const total = numbers.reduce((sum, number) => sum + number, 0);
  const rest = { ...bed, n, total, mean: total / n };
  // Many turns of a few boards are no more boards: only boards beside each other show how slugs clump.
  if (bed.n_boards >= FEWEST_BOARDS && n >= FEWEST_BOARDS) {
    const summary = countSummary({ counts: numbers });
    if (summary.model === 'negative-binomial') {
      const [low, high] = [summary.mean_low_calibrated, summary.mean_high_calibrated];
      return { ...rest, low, high, model: 'negative-binomial' };
    }
  }
  const { low, high } = poissonInterval({ count: total });
  return { ...rest, low: low / n, high: high / n, model: 'poisson' };
}

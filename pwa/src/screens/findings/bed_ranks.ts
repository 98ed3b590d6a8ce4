/** Beds by their slugs over the last weeks. Pure. */
import { allKept, numberOn, standing } from '../../domain/double_counts';
import { dayPlus } from '../forms/local_time';
import { type BoardSum, pooledLimits } from './bed_limits';
import { type BoardView, type CountView, stoodOn } from './model';

/** Weeks that a decision of today looks back on. Our choice, no source. */
export const RANK_DAYS = 42;

export interface WalkedRound {
  id: string;
  day: string;
  valid: boolean;
}
export interface BedRank {
  place_id: string;
  n_boards: number;
  /** Turns that gave a number, and what they found together. */
  n: number;
  total: number;
  mean: number;
  /** Limits by board (bed_limits.ts); null where no bed has two, and high alone where it is beyond all use. */
  low: number | null;
  high: number | null;
  n_counted: number;
  n_none: number;
  n_not_turned: number;
  n_spoiled: number;
  n_no_record: number;
  n_disputed: number;
}

interface Tally extends Omit<BedRank, 'mean' | 'low' | 'high'> {
  by: Map<string, BoardSum>;
}

/** The last `RANK_DAYS` before the newest valid round; the bed with most first. */
export function bedRanks(
  rounds: readonly WalkedRound[],
  counts: readonly CountView[],
  boards: readonly BoardView[],
): { ranks: BedRank[]; from: string; to: string } | undefined {
  const valid = rounds.filter((round) => round.valid);
  const to =
    valid
      .map((round) => round.day)
      .sort()
      .at(-1) ?? '';
  if (to === '') return undefined;
  const from = dayPlus(to, -RANK_DAYS);
  const walked = valid.filter((round) => round.day >= from && round.day <= to);
  const said = new Map<string, CountView[]>();
  const days = new Set(walked.map((round) => round.id));
  for (const count of counts) {
    if (!count.round_id || !days.has(count.round_id)) continue;
    const key = `${count.round_id} ${count.station_id}`;
    const of = said.get(key);
    if (of) of.push(count);
    else said.set(key, [count]);
  }
  const beds = new Map<string, Tally>();
  for (const board of boards) {
    if (!board.place_id) continue;
    const bed = beds.get(board.place_id) ?? emptyTally(board.place_id);
    let seen = false;
    for (const round of walked) {
      const told = said.get(`${round.id} ${board.id}`) ?? [];
      const stood = stoodOn(board, round.day);
      if (told.length > 0 || stood) seen = true;
      addTurn(bed, board.id, told, stood);
    }
    if (!seen) continue;
    bed.n_boards += 1;
    beds.set(board.place_id, bed);
  }
  const told = [...beds.values()].filter((bed) => bed.n > 0);
  const limits = pooledLimits(told.map((bed) => [...bed.by.values()]));
  const ranks = told.map(({ by: _, ...bed }, i): BedRank => {
    const { low, high } = limits?.[i] ?? { low: null, high: null };
    return { ...bed, mean: bed.total / bed.n, low, high };
  });
  ranks.sort((a, b) => b.mean - a.mean || (a.place_id < b.place_id ? -1 : 1));
  return { ranks, from, to };
}

function emptyTally(place_id: string): Tally {
  return {
    ...{ place_id, n_boards: 0, n_counted: 0, n_none: 0, n_not_turned: 0, n_spoiled: 0 },
    ...{ n_no_record: 0, n_disputed: 0, n: 0, total: 0, by: new Map() },
  };
}

function addTurn(bed: Tally, board: string, told: readonly CountView[], stood: boolean): void {
  if (told.length === 0) {
    if (stood) bed.n_no_record += 1;
    return;
  }
  const { one, double } = standing(told.map((body) => ({ body })));
  if (double || one?.body.conflicted) {
    if (!(double && allKept(told))) bed.n_disputed += 1;
    return;
  }
  const number = one && numberOn(one.body);
  if (number !== undefined) {
    const sum = bed.by.get(board) ?? { turns: 0, slugs: 0 };
    bed.by.set(board, { turns: sum.turns + 1, slugs: sum.slugs + number });
    bed.n += 1;
    bed.total += number;
    if (one?.body.state === 'none_found') bed.n_none += 1;
    else bed.n_counted += 1;
  } else if (one?.body.state === 'spoiled') bed.n_spoiled += 1;
  else bed.n_not_turned += 1;
}

/** Whether the first stands above the last for sure, as far as their limits tell. */
export function apart(ranks: readonly BedRank[]): boolean {
  const [first, last] = [ranks[0], ranks.at(-1)];
  return Boolean(first && last && first.low !== null && last.high !== null && first.low > last.high);
}

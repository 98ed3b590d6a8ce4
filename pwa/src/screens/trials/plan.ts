/** Planning a trial: who takes part, when, and whether it can show anything at all. Pure. */
import { countSummary, type TrialPower, trialPower } from '../../agronomy';
import type { TreatmentKind } from '../diary/treatment';
import { dayPlus, localDay } from '../forms/local_time';
import { type Allocation, type Drawn, type DrawUnit, drawn } from './draw';
import {
  type Board,
  type CountLike,
  type Place,
  type RoundLike,
  settledBoards,
  type Trial,
  windowsOf,
} from './model';

export interface PlanDraft {
  name: string;
  question: string;
  kind: TreatmentKind;
  by: 'place' | 'board';
  unit_ids: string[];
  treat_on: string;
  weeks_before: number;
  weeks_after: number;
  rounds_a_week: number;
  allocation: 'random' | 'blocked';
  /** As typed; it stays on the screen so that the draw can be repeated. */
  seed: string;
  percent_fewer: number;
}

export const WEEKS = { least: 1, most: 12 } as const;
export const PERCENTS = [30, 50, 70] as const;

export function emptyPlan(today: string, seed: number, roundsAWeek: number): PlanDraft {
  return {
    name: '',
    question: '',
    kind: 'nematodes',
    by: 'place',
    unit_ids: [],
    treat_on: dayPlus(today, 28),
    weeks_before: 4,
    weeks_after: 6,
    rounds_a_week: roundsAWeek,
    allocation: 'blocked',
    seed: String(seed),
    percent_fewer: 50,
  };
}

/** The typed seed, or nothing where it is none. */
export function seedOf(text: string): number | undefined {
  if (!/^\d{1,10}$/.test(text.trim())) return undefined;
  const seed = Number(text.trim());
  return seed <= 4_294_967_295 ? seed : undefined;
}

export type PlanFault = 'name' | 'units' | 'seed' | 'day';
export function planFaults(draft: PlanDraft): PlanFault[] {
  const faults: PlanFault[] = [];
  if (draft.name.trim() === '') faults.push('name');
  if (draft.unit_ids.length < 2) faults.push('units');
  if (!/^\d{4}-\d\d-\d\d$/.test(draft.treat_on)) faults.push('day');
  if (seedOf(draft.seed) === undefined) faults.push('seed');
  return faults;
}

/** Weeks of counts that say how a board usually is. */
export const PAST_DAYS = 56;

export interface Past {
  /** Mean a board, by board and by place. */
  usual: ReadonlyMap<string, number>;
  /** All settled numbers of the last weeks, board by board. */
  of_board: ReadonlyMap<string, number[]>;
  rounds_a_week: number;
}

export function pastOf(
  rounds: readonly RoundLike[],
  counts: readonly CountLike[],
  boards: readonly Board[],
  today: string,
  timeZone: string,
): Past {
  const from = dayPlus(today, -PAST_DAYS);
  const valid = rounds.filter(({ observed_at, kind, valid, disturbed }) => {
    const day = observed_at === undefined ? '' : localDay(observed_at, timeZone);
    return (
      day >= from && day <= today && (kind ?? 'dawn') === 'dawn' && valid !== false && disturbed !== true
    );
  });
  const ofBoard = new Map<string, number[]>();
  for (const round of valid) {
    for (const [board, number] of settledBoards(counts.filter(({ round_id }) => round_id === round.id))) {
      ofBoard.set(board, [...(ofBoard.get(board) ?? []), number]);
    }
  }
  const mean = (numbers: readonly number[]) => numbers.reduce((sum, n) => sum + n, 0) / numbers.length;
  const usual = new Map<string, number>();
  for (const [board, numbers] of ofBoard) usual.set(board, mean(numbers));
  for (const place of new Set(boards.map(({ place_id }) => place_id))) {
    const own = boards
      .filter(({ place_id }) => place_id === place)
      .flatMap(({ id }) => ofBoard.get(id) ?? []);
    if (place && own.length > 0) usual.set(place, mean(own));
  }
  const weeks = PAST_DAYS / 7;
  return { usual, of_board: ofBoard, rounds_a_week: Math.max(1, Math.round(valid.length / weeks)) };
}

export function drawOf(draft: PlanDraft, past: Past): Drawn {
  const units: DrawUnit[] = draft.unit_ids.map((id) => ({ id, usual: past.usual.get(id) }));
  return drawn(units, draft.allocation, seedOf(draft.seed) ?? 0);
}

/** Public counts of slugs under tiles on two grasslands have k 0.786 together (Crawley, The R Book, slugsurvey). */
const USUAL_K = 0.8;
/** Slugs a board where nobody has counted yet; our choice, no source. */
const USUAL_MEAN = 2;
/** So many numbers show how counts clump. */
const ENOUGH_COUNTS = 12;
/** No clumping at all, for the formula. */
const NO_CLUMPING = 1e6;

export interface Power {
  answer: TrialPower;
  mean: number;
  k: number;
  /** Mean and clumping come from the plot's own counts. */
  own: boolean;
  n_boards: number;
  n_rounds: number;
  /** Chance that it shows the effect, from cautious to hopeful. */
  low: number;
  high: number;
  verdict: 'good' | 'fair' | 'poor';
}

/** Whether the planned trial can show the wanted effect; `undefined` until both sides have a board. */
export function powerOf(
  draft: PlanDraft,
  draw: Drawn,
  boards: readonly Board[],
  past: Past,
): Power | undefined {
  const of = (ids: readonly string[]) =>
    boards.filter((board) => ids.includes(board.id) || ids.includes(board.place_id ?? ''));
  const [treated, control] = [of(draw.treated), of(draw.control)];
  const n = Math.min(treated.length, control.length);
  if (n === 0) return undefined;
  const days = windowsOf(draft.kind, draft.treat_on, {
    before: draft.weeks_before,
    after: draft.weeks_after,
  });
  const weeks = (Date.parse(days.after_to) - Date.parse(days.after_from)) / 604_800_000;
  const rounds = Math.max(1, Math.round(weeks * draft.rounds_a_week));
  const counts = [...treated, ...control].flatMap(({ id }) => past.of_board.get(id) ?? []);
  const own = counts.length >= ENOUGH_COUNTS && counts.some((count) => count > 0);
  const summary = own ? countSummary({ counts }) : undefined;
  const mean = summary?.mean ?? USUAL_MEAN;
  const k = summary ? (summary.k ?? NO_CLUMPING) : USUAL_K;
  const answer = trialPower({ mean, k, n_boards: n, n_rounds: rounds, percent_fewer: draft.percent_fewer });
  const [low, high] = [answer.power_boards_keep, answer.power].sort((a, b) => a - b) as [number, number];
  const verdict = low >= 0.8 ? 'good' : high < 0.5 ? 'poor' : 'fair';
  return { answer, mean, k, own, n_boards: n, n_rounds: rounds, low, high, verdict };
}

/** The record that is kept. */
export function trialSet(draft: PlanDraft, draw: Drawn): Omit<Trial, 'id'> {
  const question = draft.question.trim();
  return {
    name: draft.name.trim(),
    ...(question ? { question } : {}),
    treated_ids: draw.treated,
    control_ids: draw.control,
    ...(draft.allocation === 'blocked' ? { blocks: draw.blocks } : {}),
    ...windowsOf(draft.kind, draft.treat_on, { before: draft.weeks_before, after: draft.weeks_after }),
    kind: draft.kind,
    allocation: draft.allocation as Allocation,
    seed: seedOf(draft.seed) ?? 0,
    percent_fewer: draft.percent_fewer,
  };
}

/** Places with a board, or boards, to choose from. */
export function choices(
  by: PlanDraft['by'],
  places: readonly Place[],
  boards: readonly Board[],
): { id: string; label: string }[] {
  if (by === 'board') {
    const place = new Map(places.map(({ id, label }) => [id, label]));
    return boards.map(({ id, label, place_id }) => ({
      id,
      label: [label, place.get(place_id ?? '')].filter(Boolean).join(' · '),
    }));
  }
  return places.filter(({ id }) => boards.some(({ place_id }) => place_id === id));
}

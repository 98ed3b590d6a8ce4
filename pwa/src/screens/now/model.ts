/** What is due this morning or evening: gathered from the phone's own records, decided by pure functions. */
import { planksOf, progressOf } from '../../domain/round_model';
import { type Running, running } from '../../domain/stop_advice';
import type { Ask, View } from '../../storage';
import { localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { isRetired } from '../plot/model';
import { boardsOn, counterHere } from '../round/model';
import { beetleDays, type Catch, type Trap, type TrapsDue, trapsDue } from '../traps/in_ground';

export interface RoundToday {
  view: View<'round'>;
  n_boards: number;
  n_done: number;
  total: number;
  /** One for each board that was looked at. */
  numbers: readonly number[];
}

export interface Due {
  n_boards: number;
  open: RoundToday | undefined;
  done: (RoundToday & { mean: Running | undefined }) | undefined;
  last: { day: string; mean: Running } | undefined;
  traps: TrapsDue;
  thermometers: { all: number; unread: number };
  /** Somebody has read this evening. */
  evening_read: boolean;
}

export async function readDue(facts: PlotFacts, now: Date, ask: Ask): Promise<Due> {
  const today = localDay(now, facts.time_zone);
  const [boards, rounds, stations, catches, readings, evenings, watches] = await Promise.all([
    boardsOn(today, ask),
    ask.list('round', {
      from: localDay(new Date(now.getTime() - 45 * 86_400_000), facts.time_zone),
      to: today,
    }),
    ask.list('station'),
    ask.list('trap_catch'),
    ask.list('temperature', { from: today, to: today }),
    ask.list('evening', { from: today, to: today }),
    ask.list('watch'),
  ]);
  const dawn = rounds
    .filter(({ body }) => body.kind === 'dawn' && body.observed_at)
    .sort((a, b) => Date.parse(a.body.observed_at ?? '') - Date.parse(b.body.observed_at ?? ''));
  const { todays, last } = splitRounds(dawn, today, facts.time_zone);
  const lying = stations.filter(({ id, body }) => !isRetired({ ...body, id }, today));
  const traps = lying.filter(({ body }) => body.kind === 'bait_trap' || body.kind === 'beetle_trap');
  const meters = lying.filter(({ body }) => body.kind === 'thermometer' || body.kind === 'grass_minimum');
  const read = new Set(readings.map(({ body }) => body.station_id));
  const openView = todays.findLast(({ body }) => !body.finished_at);
  const doneView = todays.findLast(({ body }) => body.finished_at !== undefined);
  const open = openView && (await told(openView, facts, boards, ask));
  // One of the three is shown; a mean with its interval takes longer than reading its round.
  const over = !open && doneView ? await told(doneView, facts, boards, ask) : undefined;
  const done = over && { ...over, mean: running(over.numbers) };
  return {
    n_boards: boards.length,
    open,
    done,
    last: last && !open && !done ? await lastOf(last, facts, boards, ask) : undefined,
    traps: trapsDue(
      traps.map(({ id, body }) => ({ ...body, id }) as Trap),
      catches.map(({ id, body }) => ({ ...body, id }) as Catch),
      now,
      facts.time_zone,
      beetleDays(watches.map(({ body }) => body)),
    ),
    evening_read: evenings.length > 0,
    thermometers: { all: meters.length, unread: meters.filter(({ id }) => !read.has(id)).length },
  };
}

export function splitRounds(
  dawn: readonly View<'round'>[],
  today: string,
  timeZone: string,
): { todays: View<'round'>[]; last: View<'round'> | undefined } {
  const isToday = (view: View<'round'>): boolean => localDay(view.body.observed_at ?? '', timeZone) === today;
  return { todays: dawn.filter(isToday), last: dawn.findLast((view) => !isToday(view)) };
}

type Boards = Awaited<ReturnType<typeof boardsOn>>;

async function told(view: View<'round'>, facts: PlotFacts, boards: Boards, ask: Ask): Promise<RoundToday> {
  const [counts, me] = await Promise.all([ask.countsOfRound(view.id), counterHere(facts.observer, ask)]);
  const progress = progressOf(planksOf(boards, counts, me));
  return {
    view,
    n_boards: progress.n_boards,
    n_done: progress.n_done,
    total: progress.total,
    numbers: progress.numbers,
  };
}

async function lastOf(view: View<'round'>, facts: PlotFacts, boards: Boards, ask: Ask): Promise<Due['last']> {
  const mean = running((await told(view, facts, boards, ask)).numbers);
  return mean && { day: view.body.observed_at ?? '', mean };
}

import { type Ask, get, list, oneByOne } from '../../storage';
import { known } from '../forms/known';
import { dayPlus, localDay } from '../forms/local_time';
import { inWalkingOrder } from '../plot/model';
import type { OtherTreatment } from './flaws';
import {
  type Board,
  type CountLike,
  countedIn,
  dueOf,
  isLongOver,
  type Place,
  type RoundLike,
  standingOf,
  type Trial,
  unitsOf,
} from './model';
import { PAST_DAYS } from './plan';

export const TRIAL_TYPES = ['trial', 'place', 'station', 'round', 'slug_count', 'treatment'] as const;

/** Beds and boards of the plot as trials see them. */
export async function loadGround(ask: Ask = oneByOne) {
  const [places, stations] = await Promise.all([ask.list('place'), ask.list('station')]);
  const boards = inWalkingOrder(
    stations
      .map((view) => ({ ...known(view.body), id: view.id }))
      .filter(({ kind }) => kind === 'slug_board'),
  );
  return {
    places: places
      .map(({ id, body }) => ({ ...known(body), id }) as Place & { archived?: boolean })
      .filter(({ archived }) => archived !== true) as Place[],
    boards: boards as Board[],
  };
}
export type Ground = Awaited<ReturnType<typeof loadGround>>;

/** Rounds and counts of some days; a count belongs to its round, whose day may be the one before midnight. */
async function loadCounts(from: string, to: string, ask: Ask = oneByOne) {
  const [rounds, counts] = await Promise.all([
    ask.list('round', { from, to }),
    ask.list('slug_count', { from: dayPlus(from, -1), to: dayPlus(to, 1) }),
  ]);
  return {
    rounds: rounds.map(
      ({ id, body, conflicts }) => ({ ...known(body), id, conflicted: conflicts.length > 0 }) as RoundLike,
    ),
    counts: counts.map(
      ({ body, conflicts }) => ({ ...known(body), conflicted: conflicts.length > 0 }) as CountLike,
    ),
  };
}

/** Everything that one trial says today. */
async function storyOf(trial: Trial, ground: Ground, today: string, timeZone: string, ask: Ask = oneByOne) {
  const units = unitsOf(trial, ground.places, ground.boards);
  const days = [trial.before_from, trial.before_to, trial.after_from, trial.after_to].filter(
    (day): day is string => day !== undefined,
  );
  days.sort();
  const [from, to] = [days[0], days.at(-1)];
  const { rounds, counts } = from && to ? await loadCounts(from, to, ask) : { rounds: [], counts: [] };
  const counted = countedIn(trial, units, rounds, counts, timeZone);
  return {
    trial,
    units,
    counted,
    standing: standingOf(trial, today),
    due: dueOf(trial, counted.rows, today),
  };
}
export type Story = Awaited<ReturnType<typeof storyOf>>;

/** All trials, or only those that may want something still: what is long over is not counted again for that. */
export async function loadTrials(
  timeZone: string,
  now: Date,
  which: 'all' | 'running' = 'all',
  ask: Ask = oneByOne,
) {
  const today = localDay(now, timeZone);
  const [views, ground] = await Promise.all([ask.list('trial'), loadGround(ask)]);
  const trials = views
    .map(({ id, base, body }) => ({ ...known(body), id, base }) as Trial)
    .filter((trial) => which === 'all' || !isLongOver(trial, today));
  const stories = await Promise.all(trials.map((trial) => storyOf(trial, ground, today, timeZone, ask)));
  // The newest first: what runs now stands above what is long over.
  const at = ({ trial }: Story) => trial.after_to ?? trial.treat_on ?? '';
  return { today, ground, stories: stories.sort((a, b) => (at(a) > at(b) ? -1 : 1)) };
}

export async function loadTrial(id: string, timeZone: string, now: Date) {
  const today = localDay(now, timeZone);
  const [view, ground, treatments] = await Promise.all([get('trial', id), loadGround(), list('treatment')]);
  if (!view || view.deleted) return { today, ground, treatments: [], story: undefined };
  return {
    today,
    ground,
    treatments: treatments.flatMap(({ id: treatment, body }) =>
      body.observed_at
        ? [
            {
              id: treatment,
              kind: body.kind ?? 'other',
              day: localDay(body.observed_at, timeZone),
              place_ids: body.place_ids ?? [],
            } satisfies OtherTreatment,
          ]
        : [],
    ),
    story: await storyOf({ ...known(view.body), id } as Trial, ground, today, timeZone),
  };
}
export type OneTrial = Awaited<ReturnType<typeof loadTrial>>;

export async function loadPast(timeZone: string, now: Date) {
  const today = localDay(now, timeZone);
  const [ground, past] = await Promise.all([loadGround(), loadCounts(dayPlus(today, -PAST_DAYS), today)]);
  return { today, ground, ...past };
}

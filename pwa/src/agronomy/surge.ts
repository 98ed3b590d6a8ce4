/**
 * Are there more than usual? Each board against itself.
 *
 * Our own method (the server has the published ones as well): what the boards usually have, how far they scatter
 * and how the nights swing is learned from earlier rounds (board_model.ts); the total of the newest one, two and
 * three rounds is held against a gamma law of that mean and variance, its quantile pushed out by the ratio of t
 * to normal quantile because the variance is learned too. Windows do not reach back past an alarm.
 */
import { type BoardModel, learn, type Rounds, roundOf, sum, TINY } from './board_model';
import { choice, count, InputFault, list, maybe, number, orNull, read } from './input';
import { tUpper } from './special/beta';
import { gammaQuantile, normalUpper } from './special/gamma';

export type SurgeIn = { method: 'boards'; rounds: Rounds; alpha?: number };
export type SurgePoint = {
  /** Position in the rounds, from 0. */
  i: number;
  count: number;
  expected: number;
  limit: number;
  score: number | null;
  alarm: boolean;
};
export type Surge = {
  points: SurgePoint[];
  n_alarms: number;
  why_not: string[];
  cautions: string[];
  method: string;
  source: string;
};

/** From so many earlier rounds on there is a limit, and older rounds than `REMEMBERED` are forgotten. */
const FIRST = 5;
/** Up to so many a caution goes with the limit. */
const ENOUGH = 12;
const REMEMBERED = 40;
/** The newest round alone, with the one before, and with the two before. */
const WINDOWS = 3;
/** Chance of a false alarm in each window; together about one in sixty quiet rounds (simulated on the server). */
const USUAL_ALPHA = 0.0115;
/** How much less sure the swing of the nights is than its degrees of freedom say: activity is skewed. */
const SWING_DOUBT = 3;

const total = (row: (number | null)[]): number => sum(row.map((count) => count ?? 0));

export function surge(input: SurgeIn): Surge {
  const v = read(input, {
    method: choice('boards'),
    rounds: list(list(orNull(count())), { max: 2000 }),
    alpha: maybe(number({ min: 1e-9, below: 1 })),
  });
  const uneven = v.rounds.findIndex((row) => row.length !== v.rounds[0]?.length);
  if (uneven >= 0) throw new InputFault(`/rounds/${uneven}`, 'Every round needs one entry for each board.');
  if (v.alpha !== undefined && v.alpha >= 0.5) {
    throw new InputFault('/alpha', 'For boards a false alarm must be rarer than one in two.');
  }
  const points = watchBoards(v.rounds, v.alpha ?? USUAL_ALPHA);
  const surveyed = v.rounds.filter((row) => row.some((x) => x !== null)).length;
  const cautions = ['More than usual for this plot: it says nothing of a damage threshold.'];
  if (points.length && surveyed <= ENOUGH) {
    cautions.push(
      `Only ${surveyed - 1} earlier rounds: the limit is rough, and rises below three times the usual may pass unseen.`,
    );
  }
  return {
    points,
    n_alarms: points.filter((point) => point.alarm).length,
    why_not: points.length
      ? []
      : [`There must be ${FIRST} earlier rounds; ${surveyed} have counts, the newest included.`],
    cautions,
    method:
      'each board against itself: gamma-Poisson predictive limit for the newest one, two and three rounds',
    source:
      'our own, judged by simulation (HONESTY.md); gamma prior after Clayton & Kaldor 1987, Biometrics 43:671',
  };
}

/** One point for each round with a counted board and at least five such rounds before it. */
function watchBoards(rounds: Rounds, alpha: number): SurgePoint[] {
  const rows = rounds.map((row, i) => ({ row, i })).filter(({ row }) => row.some((count) => count !== null));
  const known = rows.map(({ row }) => row);
  const models = new Map<number, BoardModel>();
  const modelBefore = (now: number): BoardModel => {
    const model = models.get(now) ?? learn(known.slice(Math.max(now - REMEMBERED, 0), now));
    models.set(now, model);
    return model;
  };
  const points: SurgePoint[] = [];
  let since = 0;
  for (let now = FIRST; now < known.length; now += 1) {
    let [expected, limit] = [0, Infinity];
    for (let back = 0; back < WINDOWS; back += 1) {
      const before = now - back;
      if (back && (before < FIRST || before < since)) break;
      const model = modelBefore(before);
      const parts = known.slice(before, now + 1).map((row) => roundOf(model, row));
      if (back === 0) expected = parts[0]?.[0] ?? 0;
      limit = Math.min(limit, upper(model, parts, alpha) - sum(known.slice(before, now).map(total)));
    }
    limit = Math.max(limit, expected);
    const found = total(known[now] ?? []);
    const alarm = found > limit;
    const score = limit > expected ? (found - expected) / (limit - expected) : null;
    points.push({ i: rows[now]?.i ?? now, count: found, expected, limit, score, alarm });
    if (alarm) since = now + 1;
  }
  return points;
}

/** What the total of a window exceeds with chance alpha when nothing has changed. */
function upper(model: BoardModel, parts: [number, number, number][], alpha: number): number {
  const [mean, scatter, swing] = [0, 1, 2].map((i) => sum(parts.map((part) => part[i] ?? 0))) as [
    number,
    number,
    number,
  ];
  const variance = mean + scatter + swing;
  const newest = parts.at(-1) ?? [0, 0, 0];
  // The learned level is common to all rounds of the window, so its error adds up.
  const level = sum(newest) / Math.max(newest[0], TINY) ** 2 / model.nRounds;
  const spread = variance + level * mean ** 2;
  const quantile = (gammaQuantile(mean ** 2 / spread, alpha, 'upper') * spread) / mean;
  const doubt =
    ((swing / variance) ** 2 * (1 + 3 * model.swing) * SWING_DOUBT) / Math.max(model.nRounds - 1, 1) +
    (scatter / variance) ** 2 / model.nScatter;
  const df = Math.max(1 / Math.max(doubt, 1e-3), 3);
  return mean + ((quantile - mean) * tUpper(alpha, df)) / normalUpper(alpha);
}

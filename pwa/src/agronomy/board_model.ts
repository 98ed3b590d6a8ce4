/**
 * What each board usually has, how nights swing them all, and how far they scatter beyond that.
 *
 * Count of board b in round s: mean a_s u_b, the nightly activity a_s of mean 1. Boards and nights by alternating
 * ratios; boards are drawn together by a gamma prior as wide as the variance between them beyond what scatter
 * explains (empirical Bayes: Clayton & Kaldor 1987, Biometrics 43:671); the rest is our own, judged by simulation
 * on the server. A round more than 3 standard deviations above expectation counts for (3/z)^8; the first weights
 * come from the median and the median absolute deviation, else two surges would hide each other.
 */

/** Counts of rounds by boards; null where a board was not turned or spoiled. */
export type Rounds = (number | null)[][];

export type BoardModel = {
  /** Expected count of each board on an average night. */
  usual: number[];
  /** Extra variance of a board's count on a given night, relative to its square (1/k). */
  scatter: number;
  /** Variance of the nightly activity that all boards share, relative to its mean. */
  swing: number;
  /** Rounds behind it, earlier surges counted for less. */
  nRounds: number;
  /** Degrees of freedom behind `scatter`. */
  nScatter: number;
};

const [ROUNDS_OF_WEIGHTS, ROUNDS_OF_EFFECTS] = [4, 5];
/** From so many standard deviations a round counts for less, and by which power. */
const [SURGE_FROM, SURGE_FALL] = [3, 8];
/** From the median absolute deviation to a standard deviation, for a normal law. */
const MAD_TO_SD = 1.4826;
/** Before a plot has shown how its nights swing: variance 0.1 (a third up or down), worth three rounds. */
const [USUAL_SWING, USUAL_WORTH] = [0.1, 3];
export const TINY = 1e-9;

export const sum = (values: number[]): number => values.reduce((total, x) => total + x, 0);

/** Sum over the counted boards of a round. */
function over(row: (number | null)[], value: (count: number, board: number) => number): number {
  let total = 0;
  row.forEach((count, board) => {
    if (count !== null) total += value(count, board);
  });
  return total;
}

/** Sum over all counted boards of all rounds, each round with its weight. */
function weighted(
  rounds: Rounds,
  weight: number[],
  value: (count: number, b: number, s: number) => number,
): number {
  return sum(rounds.map((row, s) => (weight[s] ?? 0) * over(row, (count, b) => value(count, b, s))));
}

/** Expected total of the boards present, and its scatter and swing parts of variance. */
export function roundOf(model: BoardModel, row: (number | null)[]): [number, number, number] {
  const at = (board: number) => model.usual[board] ?? 0;
  const expected = over(row, (_, b) => at(b));
  return [expected, model.scatter * over(row, (_, b) => at(b) ** 2), model.swing * expected ** 2];
}

/** Learn the boards from earlier rounds; at least one. */
export function learn(rounds: Rounds): BoardModel {
  const boards = rounds[0]?.length ?? 0;
  const totals = rounds.map((row) => over(row, (count) => count));
  let weight = firstWeights(rounds, boards, totals);
  let usual: number[] | undefined;
  let [scatter, nScatter, swing] = [0, 1, 0];
  for (let turn = 0; turn < ROUNDS_OF_WEIGHTS; turn += 1) {
    const [own, activity] = effects(rounds, boards, totals, weight);
    [scatter, nScatter] = scatterOf(rounds, weight, activity, own, usual ?? own, swing);
    const drawn = drawnTogether(rounds, boards, weight, activity, scatter);
    const seen = sum(totals.map((total, s) => total * (weight[s] ?? 0)));
    const level =
      seen /
      Math.max(
        weighted(rounds, weight, (_, b) => drawn[b] ?? 0),
        TINY,
      );
    const scaled = drawn.map((u) => u * level);
    usual = scaled;
    const expected = rounds.map((row) => over(row, (_, b) => scaled[b] ?? 0));
    const between = rounds.map((row) => scatter * over(row, (_, b) => (scaled[b] ?? 0) ** 2));
    swing = swingOf(totals, weight, expected, between);
    weight = totals.map((total, s) => {
      const e = expected[s] ?? 0;
      const z = (total - e) / Math.sqrt(Math.max(e + (between[s] ?? 0) + swing * e * e, TINY));
      return weightOf(z);
    });
  }
  if (sum(totals) === 0) {
    // Nothing ever: half a slug stands in, so that one slug is no alarm where few rounds have passed.
    const turned = sum(rounds.map((row) => over(row, () => 1)));
    usual = Array.from({ length: boards }, () => 0.5 / turned);
  }
  return { usual: usual ?? [], scatter, swing, nRounds: sum(weight), nScatter };
}

const weightOf = (z: number): number => (z > SURGE_FROM ? (SURGE_FROM / z) ** SURGE_FALL : 1);

function median(values: number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const [low, high] = [Math.floor((sorted.length - 1) / 2), Math.floor(sorted.length / 2)];
  return ((sorted[low] ?? 0) + (sorted[high] ?? 0)) / 2;
}

/** Weights from how far each night's activity stands above the median. */
function firstWeights(rounds: Rounds, boards: number, totals: number[]): number[] {
  const even = rounds.map(() => 1);
  const [own] = effects(rounds, boards, totals, even);
  const expected = rounds.map((row) => over(row, (_, b) => own[b] ?? 0));
  const activity = totals.map((total, s) => total / Math.max(expected[s] ?? 0, TINY));
  const middle = median(activity);
  const level = (middle * sum(expected)) / rounds.length;
  if (level <= 0) return even;
  const spread = MAD_TO_SD * median(activity.map((a) => Math.abs(a - middle)));
  const least = middle * Math.sqrt(USUAL_SWING + 1 / level);
  return activity.map((a) => weightOf((a - middle) / Math.max(spread, least)));
}

/** Each board's own level and each night's activity, by alternating ratios. */
function effects(rounds: Rounds, boards: number, totals: number[], weight: number[]): [number[], number[]] {
  let activity = rounds.map(() => 1);
  let own: number[] = Array(boards).fill(0);
  const seen = sum(totals.map((total, s) => total * (weight[s] ?? 0)));
  for (let turn = 0; turn < ROUNDS_OF_EFFECTS; turn += 1) {
    const [exposure, found] = perBoard(rounds, boards, weight, activity);
    const overall = seen / Math.max(sum(exposure), TINY);
    own = exposure.map((e, b) => (e > 0 ? (found[b] ?? 0) / Math.max(e, TINY) : overall));
    activity = rounds.map((row, s) => {
      const expected = over(row, (_, b) => own[b] ?? 0);
      return expected > 0 ? (totals[s] ?? 0) / Math.max(expected, TINY) : 1;
    });
    const mean = sum(activity.map((a, s) => a * (weight[s] ?? 0))) / sum(weight);
    if (mean <= 0) return [own, rounds.map(() => 1)];
    activity = activity.map((a) => a / mean);
  }
  return [own, activity];
}

/** For each board the weighted nights it was turned on, by their activity, and the weighted count. */
function perBoard(
  rounds: Rounds,
  boards: number,
  weight: number[],
  activity: number[],
): [number[], number[]] {
  const exposure: number[] = Array(boards).fill(0);
  const found: number[] = Array(boards).fill(0);
  rounds.forEach((row, s) => {
    const w = weight[s] ?? 0;
    row.forEach((count, b) => {
      if (count === null) return;
      exposure[b] = (exposure[b] ?? 0) + w * (activity[s] ?? 0);
      found[b] = (found[b] ?? 0) + w * count;
    });
  });
  return [exposure, found];
}

/** 1/k of a board on a given night, from what boards and nights leave over; and its degrees of freedom. */
function scatterOf(
  rounds: Rounds,
  weight: number[],
  activity: number[],
  own: number[],
  usual: number[],
  swing: number,
): [number, number] {
  const values = sum(rounds.map((row) => over(row, () => 1)));
  const boards = own.filter((_, b) => rounds.some((row) => (row[b] ?? null) !== null)).length;
  const free = Math.max(values - rounds.length - boards + 1, 0);
  // The square is taken from the smoothed levels: that of the raw ones would carry their own noise.
  const square = weighted(rounds, weight, (_, b) => (usual[b] ?? 0) ** 2) * (1 + swing);
  if (free === 0 || square <= 0) return [0, 1];
  const mean = (b: number, s: number) => (activity[s] ?? 0) * (own[b] ?? 0);
  const leftOver = (weighted(rounds, weight, (count, b, s) => (count - mean(b, s)) ** 2) * values) / free;
  return [Math.max((leftOver - weighted(rounds, weight, (_, b, s) => mean(b, s))) / square, 0), free];
}

/** Board levels drawn towards the overall level as far as their differences are chance. */
function drawnTogether(
  rounds: Rounds,
  boards: number,
  weight: number[],
  activity: number[],
  scatter: number,
): number[] {
  const [exposure, seen] = perBoard(rounds, boards, weight, activity);
  const overall = sum(seen) / Math.max(sum(exposure), TINY);
  const expected = exposure.map((e) => e * overall);
  const inflation = 1 + scatter * overall;
  let squares = sum(expected.map((e, b) => ((seen[b] ?? 0) - e) ** 2 - e * inflation));
  if (boards > 1) squares *= boards / (boards - 1);
  const variance = Math.max(squares / Math.max(sum(expected.map((e) => e * e)), TINY), 0);
  const prior = 1 / Math.max(variance, 1e-6);
  return expected.map((e, b) => (overall * (prior + (seen[b] ?? 0) / inflation)) / (prior + e / inflation));
}

/** Relative variance of the nightly activity, held together with its usual size. */
function swingOf(totals: number[], weight: number[], expected: number[], between: number[]): number {
  const worth = sum(weight);
  const free = Math.max(worth - 1, 0);
  const square = sum(expected.map((e, s) => e * e * (weight[s] ?? 0)));
  if (free === 0 || square <= 0) return USUAL_SWING;
  const beyond = expected.map(
    (e, s) => ((((totals[s] ?? 0) - e) ** 2 * worth) / free - e - (between[s] ?? 0)) * (weight[s] ?? 0),
  );
  return Math.max((USUAL_WORTH * USUAL_SWING + (free * sum(beyond)) / square) / (USUAL_WORTH + free), 0);
}

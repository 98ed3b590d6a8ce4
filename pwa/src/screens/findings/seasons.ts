/** One season against another: the same days of the year, the same boards' means. Pure. */
import type { Point } from './model';
import { seasonMs, seasonWeek, weekMs } from './season_days';

export interface SeasonWeek {
  /** Place on the year 2000 [ms]. */
  at: number;
  n_rounds: number;
  n_boards: number;
  /** Slugs a board over all turned boards of the week, and of its lowest and highest round. */
  mean: number;
  least: number;
  most: number;
}

/** Week by week for each year that has a valid round; newest year last. */
export function seasonWeeks(points: readonly Point[]): Map<number, SeasonWeek[]> {
  const years = new Map<number, Map<number, Point[]>>();
  for (const point of points) {
    if (point.kind !== 'valid') continue;
    const year = Number(point.day.slice(0, 4));
    const weeks = years.get(year) ?? new Map<number, Point[]>();
    years.set(year, weeks);
    const week = seasonWeek(point.day);
    weeks.set(week, [...(weeks.get(week) ?? []), point]);
  }
  const weekOf = ([week, of]: [number, Point[]]): SeasonWeek => {
    const n_boards = of.reduce((sum, point) => sum + point.n, 0);
    const means = of.map((point) => point.mean);
    return {
      at: weekMs(week),
      n_rounds: of.length,
      n_boards,
      mean: of.reduce((sum, point) => sum + point.total, 0) / n_boards,
      least: Math.min(...means),
      most: Math.max(...means),
    };
  };
  const sorted = [...years].sort(([a], [b]) => a - b);
  return new Map(sorted.map(([year, weeks]) => [year, [...weeks].sort(([a], [b]) => a - b).map(weekOf)]));
}

/** Lowest and highest week of all other years, where at least two of them have one. */
export function usualBand(
  weeks: ReadonlyMap<number, readonly SeasonWeek[]>,
  without: readonly number[],
): { at: number; low: number; high: number }[] {
  const by = new Map<number, number[]>();
  for (const [year, of] of weeks) {
    if (without.includes(year)) continue;
    for (const week of of) by.set(week.at, [...(by.get(week.at) ?? []), week.mean]);
  }
  return [...by]
    .filter(([, means]) => means.length >= 2)
    .sort(([a], [b]) => a - b)
    .map(([at, means]) => ({ at, low: Math.min(...means), high: Math.max(...means) }));
}

export interface Stretch {
  n: number;
  mean: number;
  /** The middle half of the rounds' means. */
  q1: number;
  q3: number;
}
export interface SeasonComparison {
  /** Days that both years have been walked: `MM-DD`. */
  from: string;
  to: string;
  one: Stretch;
  other: Stretch;
  verdict: 'less' | 'more' | 'alike';
}

/** Fewer rounds say nothing of a season. Our choice, no source. */
const LEAST_ROUNDS = 4;

/**
 * Over the days of the year that both have rounds on. Rounds of one season follow each other, so no interval is made of
 * them: the middle halves of their means stand beside each other, and only when they are apart is it called a difference.
 */
export function compareSeasons(
  points: readonly Point[],
  year: number,
  otherYear: number,
): SeasonComparison | undefined {
  const of = (y: number): Point[] =>
    points.filter((point) => point.kind === 'valid' && Number(point.day.slice(0, 4)) === y);
  const [a, b] = [of(year), of(otherYear)];
  if (a.length === 0 || b.length === 0) return undefined;
  const ends = (found: Point[]): [number, number] => {
    const days = found.map((point) => seasonMs(point.day));
    return [Math.min(...days), Math.max(...days)];
  };
  const [[a0, a1], [b0, b1]] = [ends(a), ends(b)];
  const [from, to] = [Math.max(a0, b0), Math.min(a1, b1)];
  const within = (found: Point[]) =>
    found.filter((point) => seasonMs(point.day) >= from && seasonMs(point.day) <= to);
  const [one, other] = [stretch(within(a)), stretch(within(b))];
  if (!one || !other) return undefined;
  const day = (ms: number): string => new Date(ms).toISOString().slice(5, 10);
  const verdict = one.q3 < other.q1 ? 'less' : one.q1 > other.q3 ? 'more' : 'alike';
  return { from: day(from), to: day(to), one, other, verdict };
}

function stretch(points: readonly Point[]): Stretch | undefined {
  if (points.length < LEAST_ROUNDS) return undefined;
  const means = points.map((point) => point.mean).sort((x, y) => x - y);
  const boards = points.reduce((sum, point) => sum + point.n, 0);
  const total = points.reduce((sum, point) => sum + point.total, 0);
  return { n: points.length, mean: total / boards, q1: quantile(means, 0.25), q3: quantile(means, 0.75) };
}

/** Linear between the order statistics: definition 7 of Hyndman and Fan 1996, The American Statistician 50:361. */
export function quantile(sorted: readonly number[], share: number): number {
  const at = (sorted.length - 1) * share;
  const [low, high] = [sorted[Math.floor(at)] ?? 0, sorted[Math.ceil(at)] ?? 0];
  return low + (high - low) * (at - Math.floor(at));
}

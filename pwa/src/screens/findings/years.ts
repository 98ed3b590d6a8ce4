/** A finished year in a few kilobytes: what the pictures need of it, so that ten years open as fast as one. Pure. */
import { dayPlus } from '../forms/local_time';
import type { PastReading } from '../readings/model';
import { type BoardView, type CountView, type Point, pressure, type RoundView } from './model';
import { type Clock, type Glass, type WarmDay, warmDays } from './warm_days';

export interface YearDigest {
  year: number;
  points: Point[];
  /** By thermometer. */
  warm: Record<string, WarmDay[]>;
}

/** Raise it when a digest holds something else than before: older ones are then made anew. */
export const DIGEST_VERSION = 2;

export interface Ground {
  boards: readonly BoardView[];
  glasses: readonly Glass[];
}

/** The months of a year as local dates, each with its last day. */
export function monthsOf(year: number, today: string): { from: string; to: string }[] {
  return Array.from({ length: 12 }, (_, i) => {
    const from = `${year}-${String(i + 1).padStart(2, '0')}-01`;
    const next = i === 11 ? `${year + 1}-01-01` : `${year}-${String(i + 2).padStart(2, '0')}-01`;
    return { from, to: dayPlus(next, -1) };
  }).filter(({ from }) => from <= today);
}

/** Put the rounds of one month into the digest. */
export function withRounds(
  digest: YearDigest,
  rounds: readonly RoundView[],
  counts: readonly CountView[],
  ground: Ground,
  timeZone: string,
): YearDigest {
  const more = pressure(rounds, counts, timeZone, ground.boards);
  return { ...digest, points: [...digest.points, ...more].sort((a, b) => a.at_ms - b.at_ms) };
}

/** Readings of a year and some days about it: the reset before its first one, New Year's maximum of its last day. */
export function readingSpan(month: { from: string; to: string }): { from: string; to: string } {
  const from = month.from.endsWith('-01-01') ? dayPlus(month.from, -10) : month.from;
  return { from, to: month.to.endsWith('-12-31') ? dayPlus(month.to, 1) : month.to };
}

/** All readings of a year together. */
export function withReadings(
  digest: YearDigest,
  readings: readonly PastReading[],
  ground: Ground,
  clock: Clock,
): YearDigest {
  const warm: Record<string, WarmDay[]> = {};
  for (const glass of ground.glasses) {
    const days = warmDays(glass, readings, clock).filter(({ day }) => day.startsWith(`${digest.year}-`));
    if (days.length > 0) warm[glass.id] = days;
  }
  return { ...digest, warm };
}

export function emptyYear(year: number): YearDigest {
  return { year, points: [], warm: {} };
}

export function pointsOf(digests: readonly YearDigest[]): Point[] {
  return digests.flatMap((digest) => digest.points).sort((a, b) => a.at_ms - b.at_ms);
}

/** The days of one thermometer over several years. */
export function warmOf(digests: readonly YearDigest[], station: string): WarmDay[] {
  return [...digests].sort((a, b) => a.year - b.year).flatMap((digest) => digest.warm[station] ?? []);
}

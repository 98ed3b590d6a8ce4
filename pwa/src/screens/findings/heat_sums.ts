/** Warmth gathered since New Year, and how sure: a day that nobody read is not nought degrees. Pure. */
import { degreeDays } from '../../agronomy';
import { dayPlus, daysBetween } from '../forms/local_time';
import type { WarmDay } from './warm_days';

/** A missing day lies between the coolest and the warmest read day this near to it. Our choice, no source. */
const NEAR_DAYS = 10;

export interface HeatDay {
  day: string;
  /** Degree-days since 1 January: with every missing day as cool, and as warm, as days near it were. */
  low: number;
  high: number;
  read: boolean;
}
export interface HeatSum {
  days: HeatDay[];
  n_missing: number;
  /** The first day after which too long nothing was read to go on; absent when it goes to the end. */
  broken_on?: string;
}

/** `until`: last day to reckon. Undefined when no day of the year has both a minimum and a maximum. */
export function heatSum(
  days: readonly WarmDay[],
  year: number,
  base_c: number,
  until: string,
): HeatSum | undefined {
  const begin = `${year}-01-01`;
  const end = until < `${year}-12-31` ? until : `${year}-12-31`;
  if (end < begin) return undefined;
  const known = new Map(days.map((day) => [day.day, day]));
  const n = daysBetween(begin, end) + 1;
  const all = Array.from({ length: n }, (_, i) => dayPlus(begin, i));
  const both = all.map((day) => {
    const found = known.get(day);
    const there = found && found.min !== null && found.max !== null && found.min <= found.max;
    return there ? [found.min as number, found.max as number] : [null, null];
  });
  const daily = degreeDays({
    ...{ min_c: both.map(([low]) => low ?? null), max_c: both.map(([, high]) => high ?? null) },
    ...{ base_c, max_missing: n },
  }).daily;
  const last = daily.findLastIndex((value) => value !== null);
  if (last < 0) return undefined;
  const sum: HeatSum = { days: [], n_missing: 0 };
  let [low, high] = [0, 0];
  for (let i = 0; i <= last; i += 1) {
    const value = daily[i] ?? null;
    const near = value === null ? nearTo(daily, i) : [value, value];
    if (!near) {
      sum.broken_on = all[i] ?? end;
      break;
    }
    if (value === null) sum.n_missing += 1;
    low += near[0] ?? 0;
    high += near[1] ?? 0;
    sum.days.push({ day: all[i] ?? '', low, high, read: value !== null });
  }
  return sum.days.length > 0 ? sum : undefined;
}

/** Least and most of the read days near a missing one; undefined when none is near. */
function nearTo(daily: readonly (number | null)[], i: number): [number, number] | undefined {
  const near = daily
    .slice(Math.max(0, i - NEAR_DAYS), i + NEAR_DAYS + 1)
    .filter((value): value is number => value !== null);
  return near.length > 0 ? [Math.min(...near), Math.max(...near)] : undefined;
}

/** Days by which a year is ahead of another at its last day: when the other had gathered as much. */
export function daysAhead(one: HeatSum, other: HeatSum): number | undefined {
  const last = one.days.at(-1);
  if (!last) return undefined;
  const middle = (day: HeatDay): number => (day.low + day.high) / 2;
  const reached = other.days.find((day) => middle(day) >= middle(last));
  if (!reached) return undefined;
  return daysBetween(`2000${last.day.slice(4)}`, `2000${reached.day.slice(4)}`);
}

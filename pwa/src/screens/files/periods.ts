// Which weeks and years a report can be of: those in which something was written down, and the present ones.

import { dayPlus } from '../forms/local_time';

export type Periods = {
  /** Mondays, the newest first. */ weeks: string[] /** The newest first. */;
  years: number[];
};

/** The Monday of a day's week (ISO 8601). */
export function mondayOf(day: string): string {
  const weekday = new Date(`${day}T00:00:00Z`).getUTCDay();
  return dayPlus(day, -((weekday + 6) % 7));
}

/** `days`: local days of records, in any order; the week and the year of today are always there, what is to come never. */
export function periodsOf(days: Iterable<string>, today: string): Periods {
  const weeks = new Set<string>([mondayOf(today)]);
  const years = new Set<number>([Number(today.slice(0, 4))]);
  for (const day of new Set(days)) {
    if (day === '' || day > today) continue;
    weeks.add(mondayOf(day));
    years.add(Number(day.slice(0, 4)));
  }
  return { weeks: [...weeks].sort().reverse(), years: [...years].sort((a, b) => b - a) };
}

/** The last day that a report of this week is about: its Sunday, or today while it lasts. */
export function lastDayOf(monday: string, today: string): string {
  const sunday = dayPlus(monday, 6);
  return sunday < today ? sunday : today;
}

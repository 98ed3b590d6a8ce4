/** The same days of all years over each other: every day stands on its day of the year 2000, which has all 366. Pure. */

const DAY = 86_400_000;

/** Midnight of a local date [ms UTC], where pictures put it. */
export function dayMs(day: string): number {
  return Date.parse(`${day}T00:00:00Z`);
}

export function dayOf(ms: number): string {
  return new Date(ms).toISOString().slice(0, 10);
}

export function seasonMs(day: string): number {
  return dayMs(`2000${day.slice(4, 10)}`);
}

export const YEAR_BEGIN = dayMs('2000-01-01');
export const YEAR_END = dayMs('2000-12-31');

/** The season's weeks count from 1 January; the last one takes the odd days. */
export function seasonWeek(day: string): number {
  return Math.min(51, Math.floor((seasonMs(day) - YEAR_BEGIN) / (7 * DAY)));
}

/** Where a week stands: its fourth day. */
export function weekMs(week: number): number {
  return YEAR_BEGIN + (week * 7 + 3) * DAY;
}

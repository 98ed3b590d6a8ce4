/** Weeks of the slider: from Monday to Sunday by the plot's own days (ISO 8601). Pure. */
import { dayPlus, daysBetween } from '../../forms/local_time';

export interface Week {
  /** Its Monday, `2026-05-04`. */
  from: string;
  /** Its Sunday. */
  to: string;
}

export function mondayOf(day: string): string {
  return dayPlus(day, -((new Date(`${day}T00:00:00Z`).getUTCDay() + 6) % 7));
}

export function weekOf(day: string): Week {
  const from = mondayOf(day);
  return { from, to: dayPlus(from, 6) };
}

/** Every week from the first day with something to this one; at least this one. */
export function weeksBetween(first: string | undefined, today: string): Week[] {
  const last = mondayOf(today);
  const start = first === undefined || first > today ? last : mondayOf(first);
  const n = daysBetween(start, last) / 7;
  return Array.from({ length: n + 1 }, (_, i) => weekOf(dayPlus(start, 7 * i)));
}

/** The newest week with one of these days in it, or the last one. */
export function newestWith(weeks: readonly Week[], days: readonly string[]): number {
  const newest = [...days].sort().at(-1) ?? '';
  const at = weeks.findIndex((week) => newest >= week.from && newest <= week.to);
  return at >= 0 ? at : weeks.length - 1;
}

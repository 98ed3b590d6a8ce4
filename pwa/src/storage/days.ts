// A day is a local date in the plot's time zone.

import { offsetAt } from '../agronomy/local_time';

/** "2026-11-25" of an RFC 3339 time; '' if there is none. Without a zone the date as written. */
export function dayIn(at: unknown, zone: string | undefined): string {
  if (typeof at !== 'string') return '';
  if (!zone) return at.slice(0, 10);
  const time = Date.parse(at);
  if (Number.isNaN(time)) return at.slice(0, 10);
  return new Date(time + offsetAt(time, zone)).toISOString().slice(0, 10);
}

/** The date some days later (or earlier). */
export function dayShift(date: string, days: number): string {
  return new Date(Date.parse(`${date}T00:00:00Z`) + days * 86_400_000).toISOString().slice(0, 10);
}

/** Stretches of so many days that follow each other from `from` on; the last has no end. */
export function stepsOf(from: string, days: number, step: number): { from: string; to?: string }[] {
  const steps: { from: string; to?: string }[] = [];
  for (let n = 0; n < days; n += step) {
    const to = n + step < days ? { to: dayShift(from, n + step - 1) } : {};
    steps.push({ from: dayShift(from, n), ...to });
  }
  return steps;
}

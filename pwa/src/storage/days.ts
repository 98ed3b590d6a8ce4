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

/** A stretch with fewer records than this costs more to ask for than to read. */
const FEW = 150;

/**
 * Read the days from `from` on in stretches that follow each other; between them a tap gets its turn. The first is `step`
 * days long, and each twice the one before while there was little to read. The last, from `days` on, has no end.
 */
export async function inSteps(
  from: string,
  days: number,
  step: number,
  read: (stretch: { from: string; to?: string }) => Promise<number>,
): Promise<void> {
  let width = step;
  for (let n = 0; n < days; ) {
    const next = n + width;
    const to = next < days ? { to: dayShift(from, next - 1) } : {};
    const found = await read({ from: dayShift(from, n), ...to });
    n = next;
    width = found < FEW ? width * 2 : step;
  }
}

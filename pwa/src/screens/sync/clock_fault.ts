/** Whether a phone's clock is wrong enough to matter, and how to say by how much. Pure. */

const MINUTE = 60_000;
/** The server marks what is sent by a clock that is further off than this. */
const TOLERANCE_MS = 2 * MINUTE;

export interface ClockFault {
  way: 'ahead' | 'behind';
  unit: 'minutes' | 'hours' | 'days';
  n: number;
}

export function clockFault(aheadMs: number | undefined): ClockFault | undefined {
  if (aheadMs === undefined || Math.abs(aheadMs) <= TOLERANCE_MS) return undefined;
  const minutes = Math.abs(aheadMs) / MINUTE;
  const way = aheadMs > 0 ? 'ahead' : 'behind';
  if (minutes < 90) return { way, unit: 'minutes', n: Math.round(minutes) };
  if (minutes < 36 * 60) return { way, unit: 'hours', n: Math.round(minutes / 60) };
  return { way, unit: 'days', n: Math.round(minutes / 1440) };
}

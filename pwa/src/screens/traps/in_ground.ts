/**
 * Bait traps: which lie in the ground and since when. Pure, and small: Now is drawn with it at the first start.
 *
 * A trap's time in the ground is one `trap_catch`: written with `set_at` when it goes in, completed with the
 * catch when it comes out. A lift that re-baits starts the next time in the ground by itself.
 */
import { daysBetween, localDay } from '../forms/local_time';
import type { Quantity } from '../readings/model';

/**
 * Days in the ground: 10 to 14, then the bait and the soil around it are searched.
 * Source: Farm Advisory Service / SAC Consulting, Scotland, April 2025, project PHC2024/04.
 */
export const DAYS = { from: 10, to: 14 } as const;
export interface Trap {
  id: string;
  label: string;
  place_id?: string;
  walk_order?: number;
}
export interface Catch {
  id: string;
  station_id: string;
  set_at?: string;
  observed_at?: string;
  state?: string;
  wireworms?: number;
  rebaited?: boolean;
  soil?: Quantity;
  disputed?: boolean;
}

/** A record with a `set_at` and no result yet. */
export function isOpen(record: Catch): boolean {
  return record.set_at !== undefined && record.observed_at === undefined && record.state === undefined;
}

export type Timing = 'early' | 'due' | 'late';
export interface InGround {
  trap: Trap;
  set_at: string;
  days: number;
  timing: Timing;
  /** The record that waits for its catch; none after a lift that re-baited. */
  catch_id?: string;
}

/** What lies in the ground now, longest first, and the traps that do not. */
export function trapsNow(
  traps: readonly Trap[],
  catches: readonly Catch[],
  now: Date,
  timeZone: string,
): { in_ground: InGround[]; idle: Trap[] } {
  const today = localDay(now, timeZone);
  const inGround: InGround[] = [];
  const idle: Trap[] = [];
  for (const trap of traps) {
    const setting = settingOf(trap, catches);
    if (setting === undefined) idle.push(trap);
    else {
      const days = daysBetween(localDay(setting.set_at, timeZone), today);
      inGround.push({ trap, days, timing: timingOf(days), ...setting });
    }
  }
  inGround.sort((a, b) => b.days - a.days || (a.trap.walk_order ?? 0) - (b.trap.walk_order ?? 0));
  return { in_ground: inGround, idle };
}

const latestBy = (records: readonly Catch[], at: 'set_at' | 'observed_at'): Catch | undefined =>
  [...records].sort((a, b) => Date.parse(b[at] ?? '') - Date.parse(a[at] ?? ''))[0];

/** Since when the trap lies in the ground, or `undefined` when it was lifted and not set again. */
function settingOf(trap: Trap, catches: readonly Catch[]): { set_at: string; catch_id?: string } | undefined {
  const own = catches.filter((record) => record.station_id === trap.id);
  const open = latestBy(own.filter(isOpen), 'set_at');
  const lifted = latestBy(
    own.filter((record) => record.observed_at !== undefined && record.state !== 'not_turned'),
    'observed_at',
  );
  if (open?.set_at && Date.parse(open.set_at) >= Date.parse(lifted?.set_at ?? open.set_at)) {
    return { set_at: open.set_at, catch_id: open.id };
  }
  return lifted?.rebaited && lifted.observed_at ? { set_at: lifted.observed_at } : undefined;
}

export function timingOf(days: number): Timing {
  if (days < DAYS.from) return 'early';
  return days > DAYS.to ? 'late' : 'due';
}

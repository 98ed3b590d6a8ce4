/**
 * Bait traps: which lie in the ground and since when. Pure, and small: Now is drawn with it at the first start.
 *
 * A trap's time in the ground is one `trap_catch`: written with `set_at` when it goes in, completed with the
 * catch when it comes out. A lift that re-baits starts the next time in the ground by itself.
 */
import type { Base } from '../../storage';
import { daysBetween, localDay } from '../forms/local_time';
import type { Quantity } from '../readings/model';

/**
 * Days in the ground: 10 to 14, then the bait and the soil around it are searched.
 * Source: Farm Advisory Service / SAC Consulting, Scotland, April 2025, project PHC2024/04.
 */
export const DAYS = { from: 10, to: 14 } as const;
/** A beetle trap is read once a week: ADAS and AHDB advice, 2001 to 2011. A rule of the watch may say otherwise. */
export const BEETLE_DAYS = 7;
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
  base?: Base;
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

/** Days between readings of a beetle trap, as the rule that reminds of them is set. */
export function beetleDays(
  watches: readonly { rule?: string; settings?: Record<string, unknown> }[],
): number {
  const own = watches.find(({ rule }) => rule === 'traps_due')?.settings?.beetle_days;
  return typeof own === 'number' && own > 0 ? own : BEETLE_DAYS;
}

export interface TrapsDue {
  all: number;
  in_ground: number;
  /** Bait traps to lift, and how many of them lie too long. */
  due: number;
  late: number;
  /** Beetle traps to read. */
  to_read: number;
  next_in_days: number | undefined;
}

/** What is due of both kinds of trap, each by its own days. */
export function trapsDue(
  traps: readonly (Trap & { kind?: string })[],
  catches: readonly Catch[],
  now: Date,
  timeZone: string,
  every: number,
): TrapsDue {
  const { in_ground } = trapsNow(traps, catches, now, timeZone);
  const beetle = new Set(traps.filter(({ kind }) => kind === 'beetle_trap').map(({ id }) => id));
  const left = in_ground.map(({ trap, days }) => (beetle.has(trap.id) ? every : DAYS.from) - days);
  const baits = in_ground.filter(({ trap }) => !beetle.has(trap.id));
  const due = baits.filter(({ timing }) => timing !== 'early').length;
  const early = left.filter((days) => days > 0);
  return {
    all: traps.length,
    in_ground: in_ground.length,
    due,
    late: baits.filter(({ timing }) => timing === 'late').length,
    to_read: left.length - early.length - due,
    next_in_days: early.length > 0 ? Math.min(...early) : undefined,
  };
}

export function timingOf(days: number): Timing {
  if (days < DAYS.from) return 'early';
  return days > DAYS.to ? 'late' : 'due';
}

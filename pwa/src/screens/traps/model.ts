/**
 * Bait traps: which lie in the ground, which are due, what a lift is worth, and what a bed's catch says. Pure.
 *
 * A trap's time in the ground is one `trap_catch`: written with `set_at` when it goes in, completed with the
 * catch when it comes out. A lift that re-baits starts the next time in the ground by itself.
 */
import { missChance, trapThumb } from '../../agronomy';
import { daysBetween, localDay } from '../forms/local_time';
import { numberOf } from '../forms/typed_number';
import { celsius, type Quantity, type TemperatureUnit } from '../readings/model';

/**
 * Days in the ground: 10 to 14, then the bait and the soil around it are searched.
 * Source: Farm Advisory Service / SAC Consulting, Scotland, April 2025, project PHC2024/04.
 */
export const DAYS = { from: 10, to: 14 } as const;
/**
 * Soil at 10 cm has to be above 8 °C, or the larvae lie too deep to come to the bait.
 * Source: Furlan 2014, Journal of Pest Science, doi 10.1007/s10340-014-0583-5 (abstract).
 */
export const SOIL_ABOVE_C = 8;

export type LookAlike = 'wireworms' | 'millipedes' | 'leatherjackets' | 'centipedes';
export const CREATURES: readonly LookAlike[] = ['wireworms', 'millipedes', 'leatherjackets', 'centipedes'];

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

export type Reason = 'short' | 'long' | 'cold' | 'no_soil' | 'no_set_date' | 'spoiled';
export interface Validity {
  /** `undefined` when something needed to judge is not known. */
  valid: boolean | undefined;
  reasons: Reason[];
  days?: number;
}

/** Whether a lift may count, and why not. Unknown soil temperature leaves it open, it does not pass it. */
export function validityOf(record: Catch, timeZone: string): Validity {
  if (record.state === 'spoiled') return { valid: false, reasons: ['spoiled'] };
  const against: Reason[] = [];
  const unknown: Reason[] = [];
  let days: number | undefined;
  if (record.set_at && record.observed_at) {
    days = daysBetween(localDay(record.set_at, timeZone), localDay(record.observed_at, timeZone));
    if (days < DAYS.from) against.push('short');
    if (days > DAYS.to) against.push('long');
  } else unknown.push('no_set_date');
  if (record.soil === undefined) unknown.push('no_soil');
  else if (celsius(record.soil) <= SOIL_ABOVE_C) against.push('cold');
  const valid = against.length > 0 ? false : unknown.length > 0 ? undefined : true;
  return { valid, reasons: [...against, ...unknown], ...(days === undefined ? {} : { days }) };
}

/** A lift that says something: searched, with or without finding. */
export function wasSearched(record: Catch): boolean {
  return record.state === 'counted' || record.state === 'none_found';
}

export interface BedSummary {
  caught: number;
  n_traps: number;
  per_trap: number | null;
  low: number | null;
  high: number | null;
  per_acre: number | null;
  cautions: string[];
  /** Chance that these traps would all have been empty if the bed held `SUPPOSED` wireworms a trap, in patches. */
  miss?: number;
  left_out: { record: Catch; validity: Validity }[];
  disputed: number;
}

/** A light but real presence, and strong patchiness, to say what an empty trap is worth. Our choice, no source. */
export const SUPPOSED = { mean_per_unit: 0.5, k: 0.5 } as const;

/** What the valid lifts of one bed say together; `undefined` when nothing was lifted at all. */
export function bedSummary(lifts: readonly Catch[], timeZone: string): BedSummary | undefined {
  const searched = lifts.filter((record) => record.state !== undefined && record.state !== 'not_turned');
  if (searched.length === 0) return undefined;
  const judged = searched.map((record) => ({ record, validity: validityOf(record, timeZone) }));
  const used = judged.filter(
    (item) => item.validity.valid === true && wasSearched(item.record) && !item.record.disputed,
  );
  const caught = used.reduce((sum, item) => sum + (item.record.wireworms ?? 0), 0);
  const rest = {
    caught,
    n_traps: used.length,
    left_out: judged.filter((item) => item.validity.valid !== true),
    disputed: judged.filter((item) => item.record.disputed).length,
  };
  if (used.length === 0)
    return { ...rest, per_trap: null, low: null, high: null, per_acre: null, cautions: [] };
  const thumb = trapThumb({ caught, n_traps: used.length });
  const summary: BedSummary = {
    ...rest,
    per_trap: thumb.per_trap,
    low: thumb.low_per_trap,
    high: thumb.high_per_trap,
    per_acre: thumb.per_acre,
    cautions: thumb.cautions,
  };
  if (caught > 0) return summary;
  const missed = missChance({ ...SUPPOSED, n_units: used.length }).p_miss;
  return missed === null ? summary : { ...summary, miss: missed };
}

/** One lift while it is filled in. */
export interface LiftDraft {
  state: '' | 'counted' | 'none_found' | 'spoiled' | 'not_turned';
  wireworms: number;
  millipedes: number;
  leatherjackets: number;
  centipedes: number;
  soil: string;
  rebaited: boolean;
  note: string;
}
export const EMPTY_LIFT: LiftDraft = {
  state: '',
  wireworms: 0,
  millipedes: 0,
  leatherjackets: 0,
  centipedes: 0,
  soil: '',
  rebaited: false,
  note: '',
};

/** The draft with one creature more or fewer; a find always makes the trap a counted one. */
export function tally(draft: LiftDraft, creature: LookAlike, by: 1 | -1): LiftDraft {
  const next = { ...draft, [creature]: Math.min(9999, Math.max(0, draft[creature] + by)) };
  if (next.wireworms > 0) return { ...next, state: 'counted' };
  return draft.state === 'counted' && creature === 'wireworms' ? { ...next, state: '' } : next;
}

/** "None here": no wireworms, though look-alikes may have been found. */
export function noneFound(draft: LiftDraft): LiftDraft {
  return { ...draft, state: 'none_found', wireworms: 0 };
}

export function liftReady(draft: LiftDraft): boolean {
  return draft.state !== '' && (draft.soil.trim() === '' || numberOf(draft.soil) !== undefined);
}

/** Fields of a finished lift. A trap that was not dug up says nothing about creatures. */
export function liftSet(
  draft: LiftDraft,
  at: { station_id: string; set_at?: string; observed_at: string; observer: string; unit: TemperatureUnit },
): Record<string, unknown> {
  const soil = numberOf(draft.soil);
  const searched = draft.state === 'counted' || draft.state === 'none_found';
  const creatures = Object.fromEntries(CREATURES.map((creature) => [creature, draft[creature]]));
  return {
    station_id: at.station_id,
    ...(at.set_at ? { set_at: at.set_at } : {}),
    observed_at: at.observed_at,
    state: draft.state,
    ...(searched ? creatures : {}),
    rebaited: draft.rebaited,
    ...(soil === undefined ? {} : { soil: { value: soil, unit: at.unit } }),
    observer: at.observer,
    ...(draft.note.trim() === '' ? {} : { note: draft.note.trim() }),
  };
}

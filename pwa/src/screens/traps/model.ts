/** Bait traps: what a lift is worth, what a bed's catch says, and the form of a lift. Pure. */
import { missChance, trapThumb } from '../../agronomy';
import { daysBetween, localDay } from '../forms/local_time';
import { numberOf } from '../forms/typed_number';
import { celsius, type TemperatureUnit } from '../readings/model';
import { type Catch, DAYS } from './in_ground';

export {
  type Catch,
  DAYS,
  type InGround,
  isOpen,
  type Timing,
  type Trap,
  timingOf,
  trapsNow,
} from './in_ground';

/**
 * Soil at 10 cm has to be above 8 °C, or the larvae lie too deep to come to the bait.
 * Source: Furlan 2014, Journal of Pest Science, doi 10.1007/s10340-014-0583-5 (abstract).
 */
export const SOIL_ABOVE_C = 8;

export type LookAlike = 'wireworms' | 'millipedes' | 'leatherjackets' | 'centipedes';
export const CREATURES: readonly LookAlike[] = ['wireworms', 'millipedes', 'leatherjackets', 'centipedes'];

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

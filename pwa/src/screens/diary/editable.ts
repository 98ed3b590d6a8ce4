/** What may be edited in each kind of record, and how a typed text becomes a field again. Pure. */
import { localClock, localDay, momentAt } from '../forms/local_time';
import { numberOf } from '../forms/typed_number';
import { TREATMENT_KINDS } from './treatment';

export type Editable =
  | { name: string; kind: 'whole'; min: number; max: number; unit?: string }
  | { name: string; kind: 'number'; min: number; max: number; unit?: string }
  | { name: string; kind: 'temperature' }
  | { name: string; kind: 'choice'; choices: readonly string[] }
  | { name: string; kind: 'flag' }
  | { name: string; kind: 'text' }
  | { name: string; kind: 'long_text' }
  | { name: string; kind: 'day' }
  | { name: string; kind: 'moment' }
  | { name: string; kind: 'amount'; min: number; max: number }
  | { name: string; kind: 'place' }
  | { name: string; kind: 'places' };

const count = (name: string): Editable => ({ name, kind: 'whole', min: 0, max: 9999 });
const choice = (name: string, ...choices: string[]): Editable => ({ name, kind: 'choice', choices });
const OBSERVED: Editable = { name: 'observed_at', kind: 'moment' };
const OBSERVER: Editable = { name: 'observer', kind: 'text' };
const NOTE: Editable = { name: 'note', kind: 'long_text' };

const PLACE: Editable = { name: 'place_id', kind: 'place' };

const STATES = choice('state', 'counted', 'none_found', 'not_turned', 'spoiled');

/** Fields in the order a person would look for them. Ids, photos and what the server wrote are not edited here. */
export const EDITABLE: Readonly<Record<string, readonly Editable[]>> = {
  slug_count: [
    STATES,
    count('count'),
    count('small'),
    count('large'),
    count('egg_clusters'),
    { name: 'reason', kind: 'text' },
    OBSERVED,
    OBSERVER,
    NOTE,
  ],
  round: [
    OBSERVED,
    choice('surface', 'dry', 'damp', 'wet'),
    { name: 'night_low', kind: 'temperature' },
    { name: 'disturbed', kind: 'flag' },
    { name: 'valid', kind: 'flag' },
    { name: 'not_valid_reason', kind: 'text' },
    OBSERVER,
    NOTE,
  ],
  trap_catch: [
    STATES,
    count('wireworms'),
    count('millipedes'),
    count('leatherjackets'),
    count('centipedes'),
    count('beetles'),
    { name: 'soil', kind: 'temperature' },
    { name: 'rebaited', kind: 'flag' },
    { name: 'set_at', kind: 'moment' },
    OBSERVED,
    OBSERVER,
    NOTE,
  ],
  temperature: [
    { name: 'current', kind: 'temperature' },
    { name: 'max', kind: 'temperature' },
    { name: 'min', kind: 'temperature' },
    { name: 'reset_done', kind: 'flag' },
    OBSERVED,
    OBSERVER,
    NOTE,
  ],
  evening: [
    { name: 'air', kind: 'temperature' },
    { name: 'wet', kind: 'temperature' },
    { name: 'dew', kind: 'temperature' },
    { name: 'humidity_percent', kind: 'number', min: 0, max: 100, unit: '%' },
    choice('sky', 'clear', 'broken', 'overcast'),
    choice('wind', 'calm', 'light', 'windy'),
    OBSERVED,
    OBSERVER,
    NOTE,
  ],
  soil_sample: [
    PLACE,
    count('cores'),
    { name: 'core_diameter_m', kind: 'number', min: 0.005, max: 1, unit: 'm' },
    { name: 'depth_m', kind: 'number', min: 0.01, max: 2, unit: 'm' },
    count('found'),
    choice('method', 'hand_sort', 'wash'),
    OBSERVED,
    OBSERVER,
    NOTE,
  ],
  damage: [
    PLACE,
    count('examined'),
    count('damaged'),
    { name: 'cause', kind: 'text' },
    OBSERVED,
    OBSERVER,
    NOTE,
  ],
  crop: [
    { name: 'kind', kind: 'text' },
    { name: 'variety', kind: 'text' },
    { name: 'seed_batch', kind: 'text' },
    PLACE,
    { name: 'started_on', kind: 'day' },
    { name: 'ended_on', kind: 'day' },
    NOTE,
  ],
  crop_event: [
    choice(
      'what',
      'chitted',
      'sown',
      'potted',
      'hardened',
      'planted',
      'covered',
      'earthed_up',
      'harvested',
      'stage',
    ),
    { name: 'kg', kind: 'number', min: 0, max: 1000000, unit: 'kg' },
    { name: 'count', kind: 'whole', min: 0, max: 1000000 },
    { name: 'stage', kind: 'text' },
    PLACE,
    OBSERVED,
    OBSERVER,
    NOTE,
  ],
  treatment: [
    choice('kind', ...TREATMENT_KINDS),
    { name: 'place_ids', kind: 'places' },
    { name: 'control_place_ids', kind: 'places' },
    { name: 'product', kind: 'text' },
    { name: 'authorisation_number', kind: 'text' },
    { name: 'harvest_interval_days', kind: 'whole', min: 0, max: 1000, unit: 'days' },
    { name: 'area_m2', kind: 'number', min: 0.01, max: 1000000, unit: 'm²' },
    { name: 'amount', kind: 'amount', min: 0, max: 1_000_000_000 },
    { name: 'water_l', kind: 'number', min: 0, max: 100000, unit: 'l' },
    { name: 'soil', kind: 'temperature' },
    choice('moisture', 'dry', 'damp', 'wet'),
    OBSERVED,
    OBSERVER,
    NOTE,
  ],
  culture: [
    { name: 'label', kind: 'text' },
    choice('source', 'unidentified', 'bought_labelled'),
    { name: 'vessel', kind: 'text' },
    { name: 'started_at', kind: 'moment' },
    { name: 'strained_at', kind: 'moment' },
    { name: 'used_at', kind: 'moment' },
    { name: 'discarded_at', kind: 'moment' },
    OBSERVER,
    NOTE,
  ],
  note: [{ name: 'text', kind: 'long_text' }, PLACE, OBSERVED, OBSERVER],
};

function isQuantity(field: Editable): field is Extract<Editable, { kind: 'temperature' | 'amount' }> {
  return field.kind === 'temperature' || field.kind === 'amount';
}

/** The unit a quantity was entered in; for a new one the plot's degrees, or litres of what was used. */
export function unitOf(field: Editable, body: Record<string, unknown>, plotUnit: string): string {
  const entered = (body[field.name] as { unit?: string } | null | undefined)?.unit;
  return entered ?? (field.kind === 'amount' ? 'l' : plotUnit);
}

/** A form field as it stands on the screen: text, or a flag. */
export type FieldText = string | boolean;

/** The record's value as the form shows it; moments as `2026-05-10 07:30` of the plot's clock. */
export function fieldText(field: Editable, value: unknown, timeZone: string): FieldText {
  if (field.kind === 'flag') return value === true;
  if (value === undefined || value === null) return '';
  if (isQuantity(field)) return String((value as { value: number }).value);
  if (field.kind === 'places') return (value as string[]).join(' ');
  if (field.kind === 'moment')
    return `${localDay(String(value), timeZone)}T${localClock(String(value), timeZone)}`;
  return String(value);
}

export type FieldFault = 'missing' | 'not_a_number' | 'not_whole' | 'out_of_range' | 'not_a_moment';

/** The field's value for the record (`null` clears it), or why the text cannot be one. */
export function fieldValue(
  field: Editable,
  text: FieldText,
  unit: string,
  timeZone: string,
): { value: unknown } | { fault: FieldFault } {
  if (typeof text === 'boolean') return { value: text };
  const plain = text.trim();
  if (plain === '') return { value: null };
  if (field.kind === 'moment') {
    const [day, clock] = plain.split(/[T ]/);
    const known = day && clock && !Number.isNaN(Date.parse(`${day}T${clock}:00Z`));
    return known ? { value: momentAt(day, clock, timeZone) } : { fault: 'not_a_moment' };
  }
  if (field.kind === 'places') return { value: plain.split(' ') };
  if (field.kind !== 'whole' && field.kind !== 'number' && !isQuantity(field)) return { value: plain };
  const number = numberOf(plain);
  if (number === undefined) return { fault: 'not_a_number' };
  if (field.kind === 'temperature') return { value: { value: number, unit } };
  if (field.kind === 'whole' && !Number.isInteger(number)) return { fault: 'not_whole' };
  if (number < field.min || number > field.max) return { fault: 'out_of_range' };
  return { value: field.kind === 'amount' ? { value: number, unit } : number };
}

export interface EditResult {
  set: Record<string, unknown>;
  faults: Record<string, FieldFault>;
}

/**
 * Only what the person changed. A temperature keeps the unit it was entered in; a moment that still shows the
 * same minute keeps its seconds.
 */
export function editSet(
  type: string,
  body: Record<string, unknown>,
  form: Readonly<Record<string, FieldText>>,
  timeZone: string,
  plotUnit: string,
): EditResult {
  const result: EditResult = { set: {}, faults: {} };
  for (const field of EDITABLE[type] ?? []) {
    const text = form[field.name];
    if (text === undefined || text === fieldText(field, body[field.name], timeZone)) continue;
    const unit = unitOf(field, body, plotUnit);
    const got = fieldValue(field, text, unit, timeZone);
    if ('fault' in got) result.faults[field.name] = got.fault;
    else result.set[field.name] = got.value;
  }
  const counted = countedIn(type, body);
  if (counted !== undefined) agree(counted, body, result);
  return result;
}

/** The number that the state of a record speaks of. */
function countedIn(type: string, body: Record<string, unknown>): string | undefined {
  if (type === 'trap_catch') return isOfBeetles(body) ? 'beetles' : 'wireworms';
  return type === 'slug_count' ? 'count' : undefined;
}

const isOfBeetles = ({ beetles }: Record<string, unknown>): boolean =>
  beetles !== undefined && beetles !== null;
const OF_BAIT = new Set(['wireworms', 'millipedes', 'leatherjackets', 'centipedes', 'soil']);

/** What is asked of this very record: a trap counts either beetles or what came to its bait. */
export function fieldsOf(type: string, body: Record<string, unknown>): readonly Editable[] {
  const fields = EDITABLE[type] ?? [];
  if (type !== 'trap_catch') return fields;
  const beetles = isOfBeetles(body);
  return fields.filter(({ name }) => (beetles ? !OF_BAIT.has(name) : name !== 'beetles'));
}

/**
 * State and number must say the same: a typed number makes it counted (nought: none found), and a chosen state
 * takes a number away that it contradicts. "Counted" without a number is a fault.
 */
function agree(number: string, body: Record<string, unknown>, result: EditResult): void {
  const { set } = result;
  const was = body[number] ?? undefined;
  const typed = set[number];
  if (typeof typed === 'number' && set.state === undefined) {
    const state = typed > 0 ? 'counted' : 'none_found';
    if (body.state !== state) set.state = state;
    return;
  }
  if (set.state === undefined) return;
  const now = number in set ? (typed ?? undefined) : was;
  if (set.state === 'counted') {
    if (now === undefined) result.faults[number] = 'missing';
    else if (now === 0) set.state = 'none_found';
  } else if (set.state === 'none_found') {
    if (now !== 0) set[number] = 0;
  } else if (now !== undefined) set[number] = null;
}

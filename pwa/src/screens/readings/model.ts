/**
 * Thermometer readings: what a card knows, asks and writes. Pure.
 *
 * Values stay as typed, with their unit. Unlikely ones are asked about and kept, never refused: a record low is
 * just what the grower must not lose.
 */
import { convert } from '../../agronomy';
import { numberOf } from '../forms/typed_number';

export type TemperatureUnit = 'degC' | 'degF';
export interface Quantity {
  value: number;
  unit: string;
}
export type Slot = 'current' | 'max' | 'min';
export const SLOTS: readonly Slot[] = ['current', 'max', 'min'];

/** One card while it is filled in: texts, so that `-` or `4.` survive a reload. */
export interface CardDraft {
  current: string;
  max: string;
  min: string;
  reset_done: boolean;
  note: string;
}
export const EMPTY_CARD: CardDraft = { current: '', max: '', min: '', reset_done: false, note: '' };

export interface PastReading {
  id: string;
  station_id: string;
  observed_at: string;
  current?: Quantity;
  max?: Quantity;
  min?: Quantity;
  reset_done?: boolean;
}

export function celsius(quantity: Quantity): number {
  return convert({ value: quantity.value, from: quantity.unit, to: 'degC' }).value;
}

/** The value in the unit the plot reads, to a tenth. */
export function inUnit(quantity: Quantity, unit: TemperatureUnit): number {
  if (quantity.unit === unit) return quantity.value;
  return Math.round(convert({ value: quantity.value, from: quantity.unit, to: unit }).value * 10) / 10;
}

/** Readings of one station, newest first. */
export function readingsOf(stationId: string, all: readonly PastReading[]): PastReading[] {
  return all
    .filter((reading) => reading.station_id === stationId)
    .sort((a, b) => Date.parse(b.observed_at) - Date.parse(a.observed_at));
}

/** When max and min were last set back, so that a reading can be told from a value left over for days. */
export function lastResetAt(
  stationId: string,
  all: readonly PastReading[],
  before: string,
): string | undefined {
  return resetsOf(stationId, all)(before);
}

/** The same for many readings of one station: its resets are put in order once. */
export function resetsOf(
  stationId: string,
  all: readonly PastReading[],
): (before: string) => string | undefined {
  const resets = readingsOf(
    stationId,
    all.filter((reading) => reading.reset_done === true),
  ).reverse();
  const at = resets.map((reading) => Date.parse(reading.observed_at));
  return (before) => {
    const end = Date.parse(before);
    let [low, high] = [0, at.length];
    while (low < high) {
      const middle = (low + high) >> 1;
      if ((at[middle] ?? 0) < end) low = middle + 1;
      else high = middle;
    }
    return resets[low - 1]?.observed_at;
  };
}

export type QuestionKey =
  | 'min_above_max'
  | 'min_above_current'
  | 'max_below_current'
  | 'range_air'
  | 'range_soil'
  | 'sun_on_sensor'
  | 'jump'
  | 'max_below_reset'
  | 'min_above_reset';
export interface Question {
  key: QuestionKey;
  slot: Slot;
}

/** Seen on earth is wider; in a garden these ask for a second look. Common practice, no source. */
const RANGE_C = { air: [-30, 50], soil: [-10, 40] } as const;
/** Inside maximum that usually means sun on the sensor. From memory. */
const SUN_C = 45;
/** A change since the last reading of this size is asked about. From memory. */
const JUMP_C = 20;
/** A reading may lie this much beyond its neighbour, for the tolerance of a cheap thermometer. From memory. */
const SLACK_C = 0.5;

/** Gentle questions about one card, the most telling first; an empty list when all looks likely. */
export function questionsOf(
  draft: CardDraft,
  unit: TemperatureUnit,
  exposure: string | undefined,
  last: PastReading | undefined,
): Question[] {
  const value = (slot: Slot): number | undefined => {
    const number = numberOf(draft[slot]);
    return number === undefined ? undefined : celsius({ value: number, unit });
  };
  const now = { current: value('current'), max: value('max'), min: value('min') };
  const found = [...orderQuestions(now), ...rangeQuestions(now, exposure), ...lastQuestions(now, last)];
  return found.filter((question, i) => found.findIndex((other) => other.slot === question.slot) === i);
}

type Values = Record<Slot, number | undefined>;

function orderQuestions({ current, max, min }: Values): Question[] {
  const found: Question[] = [];
  if (min !== undefined && max !== undefined && min > max) found.push({ key: 'min_above_max', slot: 'min' });
  if (min !== undefined && current !== undefined && min > current + SLACK_C)
    found.push({ key: 'min_above_current', slot: 'min' });
  if (max !== undefined && current !== undefined && max < current - SLACK_C)
    found.push({ key: 'max_below_current', slot: 'max' });
  return found;
}

function rangeQuestions(now: Values, exposure: string | undefined): Question[] {
  const soil = exposure === 'soil';
  const [low, high] = soil ? RANGE_C.soil : RANGE_C.air;
  return SLOTS.flatMap((slot): Question[] => {
    const value = now[slot];
    if (value === undefined) return [];
    if (exposure === 'under_cover' && slot === 'max' && value > SUN_C)
      return [{ key: 'sun_on_sensor', slot }];
    return value < low || value > high ? [{ key: soil ? 'range_soil' : 'range_air', slot }] : [];
  });
}

function lastQuestions(now: Values, last: PastReading | undefined): Question[] {
  if (!last?.current) return [];
  const before = celsius(last.current);
  const found: Question[] = [];
  if (last.reset_done && now.max !== undefined && now.max < before - SLACK_C)
    found.push({ key: 'max_below_reset', slot: 'max' });
  if (last.reset_done && now.min !== undefined && now.min > before + SLACK_C)
    found.push({ key: 'min_above_reset', slot: 'min' });
  if (now.current !== undefined && Math.abs(now.current - before) > JUMP_C)
    found.push({ key: 'jump', slot: 'current' });
  return found;
}

/** Something to save: at least one number, and nothing that is no number. */
export function canSave(draft: CardDraft): boolean {
  const texts = SLOTS.map((slot) => draft[slot]).filter((text) => text !== '' && text !== '-');
  return texts.length > 0 && texts.every((text) => numberOf(text) !== undefined);
}

/** Fields of the temperature record, values as typed with the unit they were typed in. */
export function temperatureSet(
  draft: CardDraft,
  unit: TemperatureUnit,
  stationId: string,
  observedAt: string,
  observer: string,
): Record<string, unknown> {
  const values = SLOTS.flatMap((slot) => {
    const value = numberOf(draft[slot]);
    return value === undefined ? [] : [[slot, { value, unit }] as const];
  });
  return {
    station_id: stationId,
    observed_at: observedAt,
    ...Object.fromEntries(values),
    reset_done: draft.reset_done,
    observer,
    ...(draft.note.trim() === '' ? {} : { note: draft.note.trim() }),
  };
}

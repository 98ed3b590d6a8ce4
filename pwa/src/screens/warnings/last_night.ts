/** What the night after a warning was like, by the minimum thermometers read that morning. Pure. */
import { convert, dayCredit } from '../../agronomy';
import { readingFlaws, type Shown } from '../../domain/reading_flaws';
import type { Warning } from '../../generated/api';
import { dayPlus, localClock, localDay } from '../forms/local_time';
import { celsius, type PastReading, type Quantity, resetsOf } from '../readings/model';

export interface Meter {
  id: string;
  kind?: string;
  label?: string;
  place_id?: string;
  exposure?: string;
  walk_order?: number;
  offset?: Quantity;
}
export interface Minimum {
  min_c: number;
  meter: Meter;
  read_at: string;
}
export interface Clock {
  time_zone: string;
  habit: 'morning' | 'evening';
}

/** The local date on which the night of a moment began: it turns at noon. */
export function nightOf(at: string | Date, timeZone: string): string {
  const day = localDay(at, timeZone);
  return localClock(at, timeZone) < '12:00' ? dayPlus(day, -1) : day;
}

/** The night a warning is about. Its key begins with it; else it is the one in which its window opens. */
export function nightWarned(
  body: Pick<Warning, 'key' | 'window_start'>,
  timeZone: string,
): string | undefined {
  const named = /^\d{4}-\d\d-\d\d/.exec(body.key ?? '')?.[0];
  return named ?? (body.window_start ? nightOf(body.window_start, timeZone) : undefined);
}

/** Calibration of a thermometer: a difference to be added to what it shows. */
export function corrected(value: Quantity, offset: Quantity | undefined): number {
  if (!offset) return celsius(value);
  const add = convert({ value: offset.value, from: offset.unit, to: 'degC', difference: true }).value;
  return celsius(value) + add;
}

/** A reading with the thermometer's calibration added. */
export function shownBy({ current, max, min }: PastReading, offset: Quantity | undefined): Shown {
  const put = (value: Quantity | undefined) => value && corrected(value, offset);
  return { current_c: put(current), max_c: put(max), min_c: put(min) };
}

/**
 * The lowest that one thermometer showed for each local date that a minimum is credited to. One that stood for
 * several days, may still fall, or is doubtful (the server's judgement) is left out.
 */
export function minimaAt(
  meter: Pick<Meter, 'id' | 'offset'>,
  readings: readonly PastReading[],
  clock: Clock,
): Map<string, { min_c: number; read_at: string }> {
  const minima = new Map<string, { min_c: number; read_at: string }>();
  const resetBefore = resetsOf(meter.id, readings);
  for (const reading of readings) {
    if (reading.station_id !== meter.id || !reading.min) continue;
    const last = resetBefore(reading.observed_at);
    if (last === undefined) continue;
    const credit = dayCredit({ read_at: reading.observed_at, ...clock, last_reset_at: last });
    if (credit.accumulated || credit.provisional) continue;
    const shown = shownBy(reading, meter.offset);
    const { min_c } = shown;
    if (min_c === undefined || readingFlaws(shown).length > 0) continue;
    const known = minima.get(credit.min_on);
    if (!known || min_c < known.min_c) minima.set(credit.min_on, { min_c, read_at: reading.observed_at });
  }
  return minima;
}

/**
 * The minimum that speaks for a night: the coldest at the warned places; else that of the first open-air
 * thermometer on the walk. A warning of frost on the ground asks the grass minimum thermometer.
 */
export function minimumOf(
  night: string,
  warned: { rule: string; place_ids: readonly string[] },
  meters: readonly Meter[],
  readings: readonly PastReading[],
  clock: Clock,
): Minimum | undefined {
  const ground = /ground|grass/.test(warned.rule);
  const asked = meters
    .filter((meter) => meter.exposure !== 'soil')
    .filter((meter) => (meter.kind === 'grass_minimum') === ground)
    .sort((a, b) => (a.walk_order ?? 0) - (b.walk_order ?? 0));
  const at = (meter: Meter): Minimum[] => {
    const found = minimaAt(meter, readings, clock).get(dayPlus(night, 1));
    return found ? [{ ...found, meter }] : [];
  };
  const there = asked
    .filter(({ place_id }) => place_id && warned.place_ids.includes(place_id))
    .flatMap(at)
    .sort((a, b) => a.min_c - b.min_c)[0];
  return there ?? asked.filter(({ exposure }) => exposure !== 'under_cover').flatMap(at)[0];
}

/** What the thermometer says of the question, at the line that was warned of. */
export function suggested(minimum: Minimum | undefined, line_c: number) {
  if (!minimum) return undefined;
  return minimum.min_c <= line_c ? ('happened' as const) : ('did_not_happen' as const);
}

const ASKED_FOR_MS = 36 * 3_600_000;

/** Whether people are still asked how it came out: from the end of its window for a day and a half. */
export function isAsked({ window_end }: Pick<Warning, 'window_end'>, now: number): boolean {
  const end = Date.parse(window_end ?? '');
  return now >= end && now < end + ASKED_FOR_MS;
}

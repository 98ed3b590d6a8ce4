/** What one thermometer showed, day by day: each figure on the day it belongs to. Pure. */
import { dayCredit } from '../../agronomy';
import { readingFlaws } from '../../domain/reading_flaws';
import { localDay } from '../forms/local_time';
import type { PastReading, Quantity } from '../readings/model';
import { shownBy } from '../warnings/last_night';

export interface Glass {
  id: string;
  label?: string;
  kind?: string;
  place_id?: string;
  exposure?: string;
  depth_m?: number;
  offset?: Quantity;
  walk_order?: number;
  retired_on?: string;
}
/** `early`: read before sunrise, so the night may have got colder. `several_days`, `doubtful`: figures left out. */
export type WarmState = 'read' | 'several_days' | 'doubtful' | 'early';
export interface WarmDay {
  day: string;
  /** Degrees Celsius, calibration added. */
  min: number | null;
  max: number | null;
  /** Mean of what it showed when it was read that day. */
  now: number | null;
  n_now: number;
  state: WarmState;
}

export interface Clock {
  time_zone: string;
  habit: 'morning' | 'evening';
  latitude?: number;
  longitude?: number;
}

/**
 * Lowest and highest of each day, and what it showed when read. A minimum or maximum whose reset nobody saw, that
 * stands for several days, or is doubtful by the server's judgement, is left out; one read before sunrise is kept and
 * marked, for whoever reads at first light would have no other.
 */
export function warmDays(glass: Glass, readings: readonly PastReading[], clock: Clock): WarmDay[] {
  const own = readings
    .filter((reading) => reading.station_id === glass.id)
    .map((reading) => ({ reading, at: Date.parse(reading.observed_at) }))
    .sort((a, b) => a.at - b.at);
  const days = new Map<string, WarmDay>();
  const dayAt = (day: string): WarmDay => {
    const found = days.get(day) ?? { day, min: null, max: null, now: null, n_now: 0, state: 'read' };
    days.set(day, found);
    return found;
  };
  let reset: string | undefined;
  for (const { reading } of own) {
    take(reading, reset, glass, clock, dayAt);
    if (reading.reset_done) reset = reading.observed_at;
  }
  return [...days.values()].sort((a, b) => (a.day < b.day ? -1 : 1));
}

function take(
  reading: PastReading,
  reset: string | undefined,
  glass: Glass,
  clock: Clock,
  dayAt: (day: string) => WarmDay,
): void {
  const shown = shownBy(reading, glass.offset);
  const today = dayAt(localDay(reading.observed_at, clock.time_zone));
  if (readingFlaws(shown, glass.exposure === 'soil').length > 0) {
    if (blank(today)) today.state = 'doubtful';
    return;
  }
  if (shown.current_c !== undefined) {
    today.now = ((today.now ?? 0) * today.n_now + shown.current_c) / (today.n_now + 1);
    today.n_now += 1;
  }
  if (shown.max_c === undefined && shown.min_c === undefined) return;
  const credit = dayCredit({
    read_at: reading.observed_at,
    ...clock,
    ...(reset === undefined ? {} : { last_reset_at: reset }),
  });
  if (credit.accumulated !== false) {
    if (today.min === null && today.max === null) today.state = 'several_days';
    return;
  }
  const morning = clock.habit === 'morning';
  if (shown.min_c !== undefined) {
    const day = dayAt(credit.min_on);
    day.min = day.min === null ? shown.min_c : Math.min(day.min, shown.min_c);
    day.state = morning && credit.provisional ? 'early' : 'read';
  }
  if (shown.max_c !== undefined) {
    const day = dayAt(credit.max_on);
    day.max = day.max === null ? shown.max_c : Math.max(day.max, shown.max_c);
    if (!morning && credit.provisional) day.state = 'early';
  }
}

const blank = (day: WarmDay): boolean => day.min === null && day.max === null && day.now === null;

/** Nights whose lowest was at or under nought. */
export function frostDays(days: readonly WarmDay[]): WarmDay[] {
  return days.filter((day) => day.min !== null && day.min <= 0);
}

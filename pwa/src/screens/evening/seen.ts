/**
 * What thermometers showed since the evening, as the server takes it (core/warnings/frost_night.py): calibration
 * added, doubtful readings left out, and only up to sunrise: who reads at dawn sees for himself. Pure.
 */

import { type Spot, sunOn } from '../../domain/daylight';
import { readingFlaws } from '../../domain/reading_flaws';
import { dayPlus, localClock, momentAt } from '../forms/local_time';
import type { PastReading } from '../readings/model';
import { type Meter, shownBy } from '../warnings/last_night';

const COVERED: readonly unknown[] = ['tunnel', 'frame', 'store'];
const NOON = '12:00';
/** Where the sun does not rise, or nobody said where the plot is, a night is over at this hour. */
const OVER = '09:00';

/** Whether a place lies under a roof, so that the open air's figures do not hold there. */
export function isCovered(kind: string | undefined): boolean {
  return COVERED.includes(kind);
}

/** The thermometer that stands for the open air: the first on the walk; `kinds` is the kind of each place in use. */
export function openAir(
  meters: readonly Meter[],
  kinds: Readonly<Record<string, string>>,
): Meter | undefined {
  return meters
    .filter(
      ({ kind, exposure }) => kind === 'thermometer' && exposure !== 'soil' && exposure !== 'under_cover',
    )
    .filter(({ place_id }) => !isCovered(kinds[place_id ?? '']))
    .sort(
      (a, b) =>
        (a.walk_order ?? 0) - (b.walk_order ?? 0) || order(a.label ?? '', b.label ?? '') || order(a.id, b.id),
    )[0];
}

/** The moment up to which readings count for a night [ms]. */
export function countsUntil(night: string, spot: Spot | undefined, timeZone: string): number {
  const over = Date.parse(momentAt(dayPlus(night, 1), OVER, timeZone));
  if (!spot) return over;
  const first = sunOn(night, spot).set;
  const next = sunOn(dayPlus(night, 1), spot);
  // In high summer far north the sun sets after midnight.
  const fell = (at: number | null, late: boolean) =>
    at !== null && localClock(new Date(at), timeZone) >= NOON === late ? at : null;
  const set = fell(first, true) ?? fell(next.set, false);
  return set !== null && next.rise !== null && set < next.rise ? next.rise : over;
}

/** From the evening to the end of the night, or to now [ms]; both moments belong to it. */
export interface Span {
  from: number;
  until: number;
}

/** The lowest current reading of each place within a span, '' in the open [°C]. */
export function seenIn(
  meters: readonly Meter[],
  kinds: Readonly<Record<string, string>>,
  readings: readonly PastReading[],
  { from, until }: Span,
): Record<string, number> {
  const open = openAir(meters, kinds)?.id;
  const hung = new Map(
    meters
      .filter(({ kind, exposure }) => kind === 'thermometer' && exposure !== 'soil')
      .map((meter) => [meter.id, meter]),
  );
  const found: Record<string, number> = {};
  for (const reading of readings) {
    const meter = hung.get(reading.station_id);
    const at = Date.parse(reading.observed_at);
    if (!meter || !(at >= from && at <= until)) continue;
    const place = meter.id === open ? '' : meter.place_id;
    const shown = shownBy(reading, meter.offset);
    if (place === undefined || shown.current_c === undefined || readingFlaws(shown).length > 0) continue;
    found[place] = Math.min(shown.current_c, found[place] ?? shown.current_c);
  }
  return found;
}

function order(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}

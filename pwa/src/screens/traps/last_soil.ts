import { localDay } from '../forms/local_time';
import type { Quantity } from '../readings/model';
import type { Catch } from './model';

/** Soil temperature of the newest lift of a day among some traps. Pure. */
export function lastSoil(
  catches: readonly Catch[],
  traps: ReadonlySet<string>,
  day: string,
  timeZone: string,
): Quantity | undefined {
  return catches
    .filter(({ station_id, soil }) => traps.has(station_id) && soil !== undefined)
    .filter(({ observed_at }) => observed_at !== undefined && localDay(observed_at, timeZone) === day)
    .sort((a, b) => Date.parse(b.observed_at ?? '') - Date.parse(a.observed_at ?? ''))[0]?.soil;
}

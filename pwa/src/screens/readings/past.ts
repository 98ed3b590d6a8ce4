/** The readings that cards look back on: the last of each thermometer, and when it was set back before. */
import { list } from '../../storage';
import { known } from '../forms/known';
import { dayPlus } from '../forms/local_time';
import { lastResetAt, type PastReading, readingsOf } from './model';

/** Days back that are looked through at most, in whole stretches. */
export const LOOK_BACK = 60;
/** A stretch of days holds the counts of those days too, which are many: the newest is mostly enough. */
const STRETCH = 10;

/** Newest stretch first, and only as many as are needed for these thermometers. */
export async function lastReadings(stations: readonly string[], today: string): Promise<PastReading[]> {
  const found: PastReading[] = [];
  for (let back = 0; back < LOOK_BACK; back += STRETCH) {
    const from = dayPlus(today, -back - STRETCH);
    // What a clock that was ahead has written lies after today.
    const to = back > 0 ? { to: dayPlus(today, -back - 1) } : {};
    const readings = await list('temperature', { from, ...to });
    found.unshift(...readings.map((view) => ({ ...known(view.body), id: view.id }) as PastReading));
    if (stations.every((id) => isEnough(id, found))) break;
  }
  return found;
}

/** Older readings would change nothing on this thermometer's card. */
function isEnough(station: string, found: readonly PastReading[]): boolean {
  const last = readingsOf(station, found)[0];
  return last !== undefined && lastResetAt(station, found, last.observed_at) !== undefined;
}

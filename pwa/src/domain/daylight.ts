/** First light at the plot: what the hour means for the walk, and where the sun stands. Pure. */

import { localDate } from '../agronomy/local_time';
import { sunriseAndSunset } from '../agronomy/sun';

export interface Spot {
  latitude: number;
  longitude: number;
  time_zone: string;
}

/** Where the plot lies, when its record says so completely. */
export function spotOf(plot: {
  latitude?: number;
  longitude?: number;
  time_zone?: string;
}): Spot | undefined {
  const { latitude, longitude, time_zone } = plot;
  if (latitude === undefined || longitude === undefined || time_zone === undefined) return undefined;
  return { latitude, longitude, time_zone };
}

/** Sunrise and sunset of one local day, epoch milliseconds; null where the sun does not cross the horizon. */
export interface SunTimes {
  rise: number | null;
  set: number | null;
}

const days = new Map<string, SunTimes>();

export function sunOn(day: string, spot: Spot): SunTimes {
  const key = `${day} ${spot.latitude} ${spot.longitude} ${spot.time_zone}`;
  let known = days.get(key);
  if (!known) {
    const { sunrise, sunset } = sunriseAndSunset({ date: day, ...spot });
    known = { rise: moment(sunrise), set: moment(sunset) };
    days.set(key, known);
  }
  return known;
}

/** Sunrise and sunset at a spot on the day that it is there now. */
export function sunAt(now: number, spot: Spot): SunTimes {
  return sunOn(localDate(now, spot.time_zone), spot);
}

const DAY = 86_400_000;

/** Times of an earlier day moved to the day of `now`: wrong by a few minutes for each day between. */
export function shiftedTo(now: number, then: SunTimes | undefined): SunTimes | undefined {
  if (!then || then.rise === null || then.set === null) return undefined;
  const by = Math.round((now - (then.rise + then.set) / 2) / DAY) * DAY;
  return { rise: then.rise + by, set: then.set + by };
}

function moment(at: string | null): number | null {
  return at === null ? null : Date.parse(at);
}

const HOUR = 3_600_000;
/** Boards dry and slugs go down soon after sunrise: read while cool and moist (AHDB slug monitoring advice). */
const MORNING_LASTS = 4 * HOUR;
/** The frost reading is taken two hours after sunset; people look for it some time before. */
const EVENING_BEGINS = 1 * HOUR;

export type PartOfDay = 'morning' | 'day' | 'evening';

/** The part of the day as the work on the plot divides it; by the clock where the sun is not known. */
export function partOfDay(now: number, clockHour: number, today: SunTimes | undefined): PartOfDay {
  if (!today || today.rise === null || today.set === null) {
    if (clockHour < 11) return 'morning';
    return clockHour < 17 ? 'day' : 'evening';
  }
  if (now < today.rise + MORNING_LASTS) return 'morning';
  return now < today.set - EVENING_BEGINS ? 'day' : 'evening';
}

/**
 * Where to draw the sun: `across` from 0 (midnight) to 1, `up` from -1 (night) over 0 (horizon) to 1 (noon).
 * A drawing, not astronomy: half sine waves between the true rise and set.
 */
export function sunInSky(now: number, rise: number, set: number): { across: number; up: number } {
  const noon = (rise + set) / 2;
  const across = Math.min(1, Math.max(0, 0.5 + (now - noon) / (24 * HOUR)));
  if (now >= rise && now <= set) return { across, up: Math.sin((Math.PI * (now - rise)) / (set - rise)) };
  const night = 24 * HOUR - (set - rise);
  const since = now > set ? now - set : now + 24 * HOUR - set;
  return { across, up: -Math.sin(Math.min(Math.PI, (Math.PI * since) / night)) };
}

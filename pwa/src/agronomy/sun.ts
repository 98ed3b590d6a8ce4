/**
 * When do dawn, sunrise, sunset and dusk come?
 *
 * Position of the sun: Meeus 1998, Astronomical Algorithms, ch. 25 (0.01°). Rise and set: centre of the sun
 * 50 minutes of arc below a level horizon (34' refraction, 16' radius); dawn and dusk civil, 6° below. An event
 * belongs to the local date on which it falls.
 */
import { number, read } from './input';
import { date, offsetAt, rfc3339, timeZone } from './local_time';
import { findRoot } from './special/solve';

export type SunIn = { date: string; latitude: number; longitude: number; time_zone: string };
export type Sun = {
  dawn: string | null;
  sunrise: string | null;
  sunset: string | null;
  dusk: string | null;
  why_not: string[];
  method: string;
  source: string;
};

const RAD = Math.PI / 180;
const DAY_MS = 86400000;
const RISE_SET = -50 / 60;
const CIVIL = -6;

const sin = (degrees: number): number => Math.sin(degrees * RAD);
const cos = (degrees: number): number => Math.cos(degrees * RAD);

/** Declination and Greenwich hour angle of the sun, in degrees. */
function position(instant: number): { declination: number; hourAngle: number } {
  const days = instant / DAY_MS - 10957.5; // since 2000-01-01 12:00
  const t = days / 36525;
  const anomaly = 357.52911 + t * (35999.05029 - 0.0001537 * t);
  const centre =
    (1.914602 - t * (0.004817 + 0.000014 * t)) * sin(anomaly) +
    (0.019993 - 0.000101 * t) * sin(2 * anomaly) +
    0.000289 * sin(3 * anomaly);
  const node = 125.04 - 1934.136 * t;
  const longitude = 280.46646 + t * (36000.76983 + 0.0003032 * t) + centre - 0.00569 - 0.00478 * sin(node);
  const tilt = 23.4392911 - 0.0130042 * t + 0.00256 * cos(node);
  const ascension = Math.atan2(cos(tilt) * sin(longitude), cos(longitude)) / RAD;
  const sidereal = 280.46061837 + 360.98564736629 * days;
  return {
    declination: Math.asin(sin(tilt) * sin(longitude)) / RAD,
    hourAngle: sidereal - ascension,
  };
}

function altitude(instant: number, latitude: number, longitude: number): number {
  const { declination, hourAngle } = position(instant);
  const up = sin(latitude) * sin(declination) + cos(latitude) * cos(declination) * cos(hourAngle + longitude);
  return Math.asin(Math.max(-1, Math.min(1, up))) / RAD;
}

/** The moment near `guess` at which the sun is highest. */
function noonNear(guess: number, longitude: number): number {
  const angle = (position(guess).hourAngle + longitude) % 360;
  const west = angle > 180 ? angle - 360 : angle < -180 ? angle + 360 : angle;
  return guess - (west / 360) * DAY_MS;
}

export function sun(input: SunIn): Sun {
  const crossing = crossings(input);
  const times = {
    dawn: crossing(CIVIL, -12),
    ...riseAndSet(crossing),
    dusk: crossing(CIVIL, 12),
  };
  const missing = Object.entries(times).flatMap(([name, time]) => (time === null ? [name] : []));
  return {
    ...times,
    why_not: missing.length ? [`No ${missing.join(', ')} on that day at that latitude.`] : [],
    method: "sun's centre 50′ below a level horizon; dawn and dusk civil, 6° below",
    source: 'Meeus 1998, Astronomical algorithms; NOAA solar calculator',
  };
}

/** As `sun`, for who asks for these two alone: half the work. */
export function sunriseAndSunset(input: SunIn): Pick<Sun, 'sunrise' | 'sunset'> {
  return riseAndSet(crossings(input));
}

type Crossing = (degrees: number, hours: number) => string | null;

function riseAndSet(crossing: Crossing): Pick<Sun, 'sunrise' | 'sunset'> {
  return { sunrise: crossing(RISE_SET, -12), sunset: crossing(RISE_SET, 12) };
}

/** The crossing of a local date: of this day's half arc or, when that lies past midnight, of a neighbour's. */
function crossings(input: SunIn): Crossing {
  const v = read(input, {
    date,
    latitude: number({ min: -90, max: 90 }),
    longitude: number({ min: -180, max: 180 }),
    time_zone: timeZone,
  });
  const midday = Date.parse(`${v.date}T12:00:00Z`);
  const noon = noonNear(midday - offsetAt(midday, v.time_zone), v.longitude);
  return (degrees, hours) => {
    for (const shift of [0, -1, 1]) {
      const top = noonNear(noon + shift * DAY_MS, v.longitude);
      const found = halfArc(top, hours, degrees, v.latitude, v.longitude);
      const local = found === null ? '' : rfc3339(found, v.time_zone);
      if (local.startsWith(v.date)) return local;
    }
    return null;
  };
}

/** When the sun passes so many degrees between its highest point and its lowest half a day off; null if never. */
function halfArc(
  noon: number,
  hours: number,
  degrees: number,
  latitude: number,
  longitude: number,
): number | null {
  const height = (t: number) => altitude(t, latitude, longitude) - degrees;
  const far = noon + (hours * DAY_MS) / 24;
  return height(far) >= 0 || height(noon) <= 0 ? null : findRoot(height, far, noon);
}

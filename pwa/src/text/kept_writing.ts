/**
 * How this phone writes numbers, days and times, kept from an earlier start. For its first formatter, whichever it is, a
 * page reads through what its browser knows of all languages: 20 ms of a quick computer, before Now can say which day it
 * is. learn_writing.ts notes it when nothing is to be done; until then, and for what is not kept, `undefined`.
 */
import { offsetAt } from '../agronomy/local_time';

export const DAY = { weekday: 'short', day: 'numeric', month: 'short' } as const;
export const TIME = { hour: '2-digit', minute: '2-digit' } as const;

/** `#` stands for the figures that change: minutes in a time, the day of the month in a day. */
export interface Writing {
  /** Of which language and region: "de-AT". */
  of: string;
  /** When it was noted, in milliseconds since 1970: a newer browser may write otherwise. */
  noted: number;
  /** What stands between the whole and the tenths. */
  point: string;
  /** By hour: "06:#". */
  hours: readonly string[];
  /** By month and day of the week, Sunday first, 7 to a month: "Tue # Apr". */
  days: readonly string[];
}

export const KEPT = 'underboard.writing';

/** From here on figures stand in groups. */
export const GROUPED_FROM = 1000;

let kept: Writing | undefined | null = null;

/** What is kept for a locale, if anything is. */
export function writingKept(locale: string): Writing | undefined {
  if (kept === null) kept = readKept();
  return kept && kept.of === locale ? kept : undefined;
}

/** Whether it is not to be noted anew yet: for a month, as browsers are renewed. */
export function isFresh(locale: string, now: number): boolean {
  const age = now - (writingKept(locale)?.noted ?? Number.NaN);
  return age >= 0 && age < 30 * 86_400_000;
}

/** Go by this from now on. */
export function goBy(writing: Writing | undefined): void {
  kept = writing;
}

function readKept(): Writing | undefined {
  try {
    return JSON.parse(localStorage.getItem(KEPT) ?? '') as Writing;
  } catch {
    return undefined; // nothing yet, or storage is closed to us
  }
}

/**
 * "3.8". The formatter rounds the number as it is written, half away from zero: 1.005 is 1.01, though in binary it lies
 * below; hence the shift of its decimal point.
 */
export function keptNumber(value: number, places: number, locale: string): string | undefined {
  const written = String(value);
  if (!(value >= 0 && value < GROUPED_FROM - 1) || Object.is(value, -0) || written.includes('e'))
    return undefined;
  const point = writingKept(locale)?.point;
  const shifted = Math.round(Number(`${written}e${places}`));
  return point && Number(`${shifted}e-${places}`).toFixed(places).replace('.', point);
}

/** "06:42" in a time zone, or by the phone's own clock. */
export function keptTime(date: Date, timeZone: string | undefined, locale: string): string | undefined {
  const hours = writingKept(locale)?.hours;
  const wall = hours && wallOf(date, timeZone);
  return wall && hours[wall.getUTCHours()]?.replace('#', String(wall.getUTCMinutes()).padStart(2, '0'));
}

/** "Tue 14 Apr", without its year. */
export function keptDay(date: Date, timeZone: string | undefined, locale: string): string | undefined {
  const days = writingKept(locale)?.days;
  const wall = days && wallOf(date, timeZone);
  return wall && days[wall.getUTCMonth() * 7 + wall.getUTCDay()]?.replace('#', String(wall.getUTCDate()));
}

/** What clock and calendar on the wall show, as if the wall were at Greenwich. */
function wallOf(date: Date, timeZone: string | undefined): Date | undefined {
  const ms = date.getTime();
  if (Number.isNaN(ms)) return undefined; // the formatter says what is wrong with it
  return new Date(ms + (timeZone ? offsetAt(ms, timeZone) : -60_000 * date.getTimezoneOffset()));
}

/**
 * Moments and days in the plot's own time zone: pure.
 *
 * A record carries RFC 3339 time with the offset that held on the plot (RFC 3339, 2002, section 5.6);
 * a day is a local date of the plot, whatever zone the phone happens to be in.
 */

import { offsetAt } from '../../agronomy/local_time';
import { dayInWords } from '../../text';

const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;

/** What the wall shows at a moment in a time zone: `2026-05-10T07:30:00`. */
function wallAt(at: Date, timeZone: string): string {
  const ms = at.getTime();
  return new Date(ms + offsetAt(ms, timeZone)).toISOString().slice(0, 19);
}

/** The moment as `2026-05-10T07:30:00+01:00`, with the offset that holds in `timeZone`. */
export function withOffset(at: Date, timeZone: string): string {
  const offset = Math.round(offsetAt(at.getTime(), timeZone) / MINUTE_MS);
  const size = Math.abs(offset);
  const hours = String(Math.floor(size / 60)).padStart(2, '0');
  const minutes = String(size % 60).padStart(2, '0');
  return `${wallAt(at, timeZone)}${offset < 0 ? '-' : '+'}${hours}:${minutes}`;
}

/** The local date, `2026-05-10`, of a moment (RFC 3339 text or Date). */
export function localDay(at: Date | string, timeZone: string): string {
  return wallAt(typeof at === 'string' ? new Date(at) : at, timeZone).slice(0, 10);
}

/** The local wall time, `07:30`. */
export function localClock(at: Date | string, timeZone: string): string {
  return wallAt(typeof at === 'string' ? new Date(at) : at, timeZone).slice(11, 16);
}

/**
 * The moment when the plot's clock shows `day` and `clock`, as RFC 3339 text.
 * In the hour that an autumn change repeats either of the two moments may come back; no form asks for it.
 */
export function momentAt(day: string, clock: string, timeZone: string): string {
  const wall = Date.parse(`${day}T${clock}:00Z`);
  let guess = wall;
  for (let turn = 0; turn < 2; turn += 1) {
    guess += wall - Date.parse(`${wallAt(new Date(guess), timeZone)}Z`);
  }
  return withOffset(new Date(guess), timeZone);
}

/** Whole days from one local date to another; negative when `to` lies before `from`. */
export function daysBetween(from: string, to: string): number {
  return Math.round((Date.parse(`${to}T00:00:00Z`) - Date.parse(`${from}T00:00:00Z`)) / DAY_MS);
}

/** The local date `days` later. */
export function dayPlus(day: string, days: number): string {
  return new Date(Date.parse(`${day}T00:00:00Z`) + days * DAY_MS).toISOString().slice(0, 10);
}

/** Order of ISO days (or ids), none first: the browser's own order of words takes 20 ms to come up. */
export function byDay(a = '', b = ''): number {
  return Number(a > b) - Number(a < b);
}

/** A day as people say it: `Sun 10 May`, with the year when it is not this year's. */
export function dayWords(day: string, today?: string): string {
  const date = new Date(`${day}T12:00:00Z`);
  const sameYear = today === undefined || today.slice(0, 4) === day.slice(0, 4);
  return dayInWords(date, 'UTC', sameYear).replace(',', '');
}

/** Instants and local dates of a time zone, by the browser's own time zone table. */
import { InputFault, type Reader } from './input';

const formats = new Map<string, Intl.DateTimeFormat>();

function formatOf(zone: string): Intl.DateTimeFormat {
  let format = formats.get(zone);
  if (!format) {
    format = new Intl.DateTimeFormat('en-GB', {
      timeZone: zone,
      hourCycle: 'h23',
      year: 'numeric',
      month: '2-digit',
      day: '2-digit',
      hour: '2-digit',
      minute: '2-digit',
      second: '2-digit',
    });
    formats.set(zone, format);
  }
  return format;
}

const WEEK_MS = 7 * 86_400_000;

/** By zone: the offset at the beginning of a week, counted from 1970. */
const weeks = new Map<string, Map<number, number>>();

/**
 * Milliseconds by which local time is ahead of UTC at an instant.
 *
 * Ten years of records ask this a hundred thousand times, and the browser's formatter takes 20 µs an answer. No zone
 * changes its clocks and changes them back within a week (IANA time zone database, 1970 to now), so that where a week
 * begins and ends with one offset it holds throughout; only the few weeks with a change are asked moment by moment.
 */
export function offsetAt(instant: number, zone: string): number {
  let known = weeks.get(zone);
  if (!known) {
    known = new Map();
    weeks.set(zone, known);
  }
  const week = Math.floor(instant / WEEK_MS);
  const begin = weekOffset(known, week, zone);
  return begin === weekOffset(known, week + 1, zone) ? begin : offsetAsked(instant, zone);
}

function weekOffset(known: Map<number, number>, week: number, zone: string): number {
  let offset = known.get(week);
  if (offset === undefined) {
    offset = offsetAsked(week * WEEK_MS, zone);
    known.set(week, offset);
  }
  return offset;
}

/** As far as it is used here (TC39 Temporal). */
type Temporal = {
  Instant: {
    fromEpochMilliseconds(ms: number): { toZonedDateTimeISO(zone: string): { offsetNanoseconds: number } };
  };
};

/**
 * The same, from the browser: Temporal where it has that, since the first formatter of a page takes it 20 to 100 ms (of
 * a quick computer) and this less than one. Throws RangeError for an instant that is none, or an unknown zone.
 */
function offsetAsked(instant: number, zone: string): number {
  const { Temporal } = globalThis as { Temporal?: Temporal };
  if (!Temporal) return offsetFormatted(instant, zone);
  const moment = Temporal.Instant.fromEpochMilliseconds(Math.floor(instant));
  return moment.toZonedDateTimeISO(zone).offsetNanoseconds / 1e6;
}

function offsetFormatted(instant: number, zone: string): number {
  const parts = Object.fromEntries(
    formatOf(zone)
      .formatToParts(instant)
      .map((p) => [p.type, Number(p.value)]),
  );
  const { year = 0, month = 1, day = 1, hour = 0, minute = 0, second = 0 } = parts;
  return Date.UTC(year, month - 1, day, hour, minute, second) - Math.floor(instant / 1000) * 1000;
}

/** The offset without summer time in the year of an instant: the smaller of January's and July's. */
export function standardOffset(instant: number, zone: string): number {
  const year = new Date(instant).getUTCFullYear();
  return Math.min(offsetAt(Date.UTC(year, 0, 1), zone), offsetAt(Date.UTC(year, 6, 1), zone));
}

/** RFC 3339 with the local offset, to the second. */
export function rfc3339(instant: number, zone: string): string {
  const whole = Math.round(instant / 1000) * 1000;
  const offset = Math.round(offsetAt(whole, zone) / 60000);
  const local = new Date(whole + offset * 60000).toISOString().slice(0, 19);
  const size = Math.abs(offset);
  const two = (n: number) => String(n).padStart(2, '0');
  return `${local}${offset < 0 ? '-' : '+'}${two(Math.floor(size / 60))}:${two(size % 60)}`;
}

/** The local date of an instant, and the date so many days before or after. */
export const localDate = (instant: number, zone: string): string => rfc3339(instant, zone).slice(0, 10);

export const datePlus = (date: string, days: number): string =>
  new Date(Date.parse(`${date}T00:00:00Z`) + days * 86400000).toISOString().slice(0, 10);

/** Reader of an IANA time zone name. */
export const timeZone: Reader<string> = (value, at) => {
  try {
    // Some browsers take offsets and whole moments for zones; no server does.
    if (typeof value === 'string' && /^[a-z][\w+/-]*$/i.test(value)) {
      offsetAsked(0, value);
      return value;
    }
  } catch {
    // RangeError: the browser knows no such zone.
  }
  throw new InputFault(at, 'This must be a time zone such as "Europe/London".');
};

/** Reader of a date such as 2026-05-10. */
export const date: Reader<string> = (value, at) => {
  if (typeof value === 'string' && /^\d{4}-\d\d-\d\d$/.test(value)) {
    const instant = Date.parse(`${value}T00:00:00Z`);
    if (!Number.isNaN(instant) && new Date(instant).toISOString().startsWith(value)) return value;
  }
  throw new InputFault(at, 'This must be a date such as "2026-05-10".');
};

/** Reader of an RFC 3339 time with its offset; gives milliseconds since 1970. */
export const moment: Reader<number> = (value, at) => {
  if (
    typeof value === 'string' &&
    /^\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d+)?)?(Z|[+-]\d\d:\d\d)$/i.test(value)
  ) {
    const instant = Date.parse(value);
    if (!Number.isNaN(instant)) return instant;
  }
  throw new InputFault(at, 'This must be a time with its offset, such as "2026-05-10T07:30:00+01:00".');
};

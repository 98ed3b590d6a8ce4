/** Where the ticks of an axis stand, and what is written at them. Pure. */
import { locale } from '../../text';
import type { View } from './picture';

const DAY = 86_400_000;

export interface Tick {
  at: number;
  words: string;
}

/** Round ends and steps of 1, 2 or 5 times a power of ten; nought belongs to it when the values lie about it. */
export function niceAxis(
  low: number,
  high: number,
  most = 5,
): { low: number; high: number; ticks: number[] } {
  const reach = high > low ? high - low : Math.max(Math.abs(high), 1);
  const rough = reach / most;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((m) => m * power).find((s) => s >= rough - 1e-12) ?? power * 10;
  const first = Math.floor(low / step + 1e-9);
  const last = Math.max(first + 1, Math.ceil((high > low ? high : low + reach) / step - 1e-9));
  const ticks = Array.from(
    { length: last - first + 1 },
    (_, i) => Math.round((first + i) * step * 1e6) / 1e6,
  );
  return { low: first * step, high: last * step, ticks };
}

/** A number on an axis, as short as it is. */
export function tickWords(value: number): string {
  return new Intl.NumberFormat(locale()).format(value);
}

/** "12 May 2025": a day in a table or a sentence of many days. */
export function dateWords(day: string): string {
  return words({ day: 'numeric', month: 'short', year: 'numeric' })(Date.parse(`${day}T00:00:00Z`));
}

type Format = (at: number) => string;
const formats = new Map<string, Intl.DateTimeFormat>();

function words(options: Intl.DateTimeFormatOptions): Format {
  const key = `${locale()} ${JSON.stringify(options)}`;
  const format = formats.get(key) ?? new Intl.DateTimeFormat(locale(), { timeZone: 'UTC', ...options });
  formats.set(key, format);
  return (at) => format.format(at);
}

const dayMonth = (): Format => words({ day: 'numeric', month: 'short' });
const month = (): Format => words({ month: 'short' });
const year = (at: number): string => String(new Date(at).getUTCFullYear());

interface Step {
  days: number;
  next: (at: number) => number;
}
const inDays = (days: number): Step => ({
  days,
  next: (at) => Math.floor(at / (days * DAY)) * days * DAY + days * DAY,
});
const inMonths = (months: number): Step => ({
  days: months * 30.4,
  next: (at) => {
    const date = new Date(at);
    return Date.UTC(date.getUTCFullYear(), Math.floor(date.getUTCMonth() / months) * months + months, 1);
  },
});
const inYears = (years: number): Step => ({
  days: years * 365.25,
  next: (at) => Date.UTC(Math.floor(new Date(at).getUTCFullYear() / years) * years + years, 0, 1),
});
const STEPS = [...[1, 2, 5, 7, 14].map(inDays), ...[1, 2, 3, 6].map(inMonths), ...[1, 2, 5, 10].map(inYears)];

/** At most `most` ticks on round days, months or years; a January says its year unless all years lie on one. */
export function dayTicks({ from, to }: View, most: number, season = false): Tick[] {
  const step = STEPS.find(({ days }) => (to - from) / DAY / days <= most) ?? inYears(10);
  const ticks: Tick[] = [];
  for (let at = step.next(from - 1); at <= to && ticks.length <= most + 1; at = step.next(at)) {
    ticks.push({ at, words: wordsAt(at, step.days, season) });
  }
  return ticks;
}

function wordsAt(at: number, days: number, season: boolean): string {
  if (days < 28) return dayMonth()(at);
  if (days >= 365) return year(at);
  return new Date(at).getUTCMonth() === 0 && !season ? year(at) : month()(at);
}

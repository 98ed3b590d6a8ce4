import { language, t } from './catalogue';
import { DAY, isFresh, keptDay, keptNumber, keptTime, TIME } from './kept_writing';
import { localeOf, phoneLanguages } from './language';

/** Making a formatter takes longer than a tap may; each is made once, in the language that is shown by then. */
const numbers = new Map<string, Intl.NumberFormat>();
const moments = new Map<string, Intl.DateTimeFormat>();

/** For numbers and dates: "en-GB", "de-AT". */
export function locale(): string {
  return localeOf(language(), phoneLanguages());
}

/** A number with a fixed count of decimals, by the phone's locale. */
export function decimals(value: number, places = 1): string {
  return keptNumber(value, places, locale()) ?? formatted(value, places);
}

function formatted(value: number, places: number): string {
  const key = `${language()} ${places}`;
  let format = numbers.get(key);
  if (!format) {
    format = new Intl.NumberFormat(locale(), {
      minimumFractionDigits: places,
      maximumFractionDigits: places,
    });
    numbers.set(key, format);
  }
  return format.format(value);
}

/** A measure as it was written: no more places than it has, at most two. */
export function measure(value: number): string {
  return decimals(value, [0, 1].find((places) => Number(value.toFixed(places)) === value) ?? 2);
}

/** What stands between the whole and the tenths: "." or ",". */
export function decimalPoint(): string {
  return decimals(0.5).charAt(1);
}

/** "1.4 to 3.8": an interval is always two numbers and a word, never a plus-minus. */
export function intervalWords(low: number, high: number, places = 1): string {
  return t('parts.to', { low: decimals(low, places), high: decimals(high, places) });
}

/** "06:42" at the plot. */
export function timeWords(at: string | Date, timeZone?: string): string {
  const date = new Date(at);
  return keptTime(date, timeZone, locale()) ?? moment('time', TIME, timeZone).format(date);
}

/** "Tue 14 Apr" at the plot; the year is added when it is not this one. */
export function dayWords(at: string | Date, timeZone?: string): string {
  const date = new Date(at);
  return dayInWords(date, timeZone, date.getFullYear() === new Date().getFullYear());
}

/** A day with its year, or where everybody knows that without. */
export function dayInWords(date: Date, timeZone: string | undefined, yearIsKnown: boolean): string {
  if (!yearIsKnown) return moment('old', { ...DAY, year: 'numeric' }, timeZone).format(date);
  return keptDay(date, timeZone, locale()) ?? moment('day', DAY, timeZone).format(date);
}

/** Once nothing else is to be done: note how this phone writes numbers, days and times, for its next start. */
export async function keepWriting(): Promise<void> {
  if (isFresh(locale(), Date.now())) return;
  const { learnWriting } = await import('./learn_writing');
  learnWriting(locale());
}

function moment(kind: string, shape: Intl.DateTimeFormatOptions, timeZone = ''): Intl.DateTimeFormat {
  const key = `${language()} ${kind} ${timeZone}`;
  let format = moments.get(key);
  if (!format) {
    format = new Intl.DateTimeFormat(locale(), { ...shape, ...(timeZone ? { timeZone } : {}) });
    moments.set(key, format);
  }
  return format;
}

const locale = typeof navigator === 'undefined' ? 'en-GB' : navigator.language;

/** Making a formatter takes longer than a tap may; each is made once. */
const numbers = new Map<number, Intl.NumberFormat>();
const moments = new Map<string, Intl.DateTimeFormat>();

/** A number with a fixed count of decimals, by the phone's locale. */
export function decimals(value: number, places = 1): string {
  let format = numbers.get(places);
  if (!format) {
    format = new Intl.NumberFormat(locale, { minimumFractionDigits: places, maximumFractionDigits: places });
    numbers.set(places, format);
  }
  return format.format(value);
}

/** "1.4 to 3.8": an interval is always two numbers and a word, never a plus-minus. */
export function intervalWords(low: number, high: number, places = 1): string {
  return `${decimals(low, places)} to ${decimals(high, places)}`;
}

/** "06:42" at the plot. */
export function timeWords(at: string | Date, timeZone?: string): string {
  return moment('time', { hour: '2-digit', minute: '2-digit' }, timeZone).format(new Date(at));
}

/** "Tue 14 Apr" at the plot; the year is added when it is not this one. */
export function dayWords(at: string | Date, timeZone?: string): string {
  const date = new Date(at);
  const day = { weekday: 'short', day: 'numeric', month: 'short' } as const;
  if (date.getFullYear() === new Date().getFullYear()) return moment('day', day, timeZone).format(date);
  return moment('old', { ...day, year: 'numeric' }, timeZone).format(date);
}

function moment(kind: string, shape: Intl.DateTimeFormatOptions, timeZone = ''): Intl.DateTimeFormat {
  const key = `${kind} ${timeZone}`;
  let format = moments.get(key);
  if (!format) {
    format = new Intl.DateTimeFormat(locale, { ...shape, ...(timeZone ? { timeZone } : {}) });
    moments.set(key, format);
  }
  return format;
}

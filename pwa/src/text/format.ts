const locale = typeof navigator === 'undefined' ? 'en-GB' : navigator.language;

/** A number with a fixed count of decimals, by the phone's locale. */
export function decimals(value: number, places = 1): string {
  return new Intl.NumberFormat(locale, {
    minimumFractionDigits: places,
    maximumFractionDigits: places,
  }).format(value);
}

/** "1.4 to 3.8": an interval is always two numbers and a word, never a plus-minus. */
export function intervalWords(low: number, high: number, places = 1): string {
  return `${decimals(low, places)} to ${decimals(high, places)}`;
}

/** "06:42" at the plot. */
export function timeWords(at: string | Date, timeZone?: string): string {
  return new Intl.DateTimeFormat(locale, { hour: '2-digit', minute: '2-digit', ...zone(timeZone) }).format(
    new Date(at),
  );
}

/** "Tue 14 Apr" at the plot; the year is added when it is not this one. */
export function dayWords(at: string | Date, timeZone?: string): string {
  const date = new Date(at);
  const otherYear = date.getFullYear() !== new Date().getFullYear();
  return new Intl.DateTimeFormat(locale, {
    weekday: 'short',
    day: 'numeric',
    month: 'short',
    ...(otherYear ? { year: 'numeric' } : {}),
    ...zone(timeZone),
  }).format(date);
}

function zone(timeZone?: string): { timeZone?: string } {
  return timeZone ? { timeZone } : {};
}

import { afterAll, expect, it } from 'vitest';
import { DAY, goBy, isFresh, keptDay, keptNumber, keptTime, TIME } from './kept_writing';
import { writingOf } from './learn_writing';

// The formatter that was read off is the judge: what is kept must say the same at any moment, in any zone.
const LOCALES = ['en-GB', 'en-US', 'en-AU', 'en-CA', 'en-IN', 'en-NZ', 'de-DE', 'de-AT', 'de-CH'];
const ZONES = ['America/St_Johns', 'Pacific/Apia', undefined];
const HOUR = 3_600_000;

afterAll(() => goBy(undefined));

it.each(LOCALES)('%s: what is kept says what the formatter says', (locale) => {
  const writing = writingOf(locale);
  expect(writing).toBeDefined();
  goBy(writing);
  for (const timeZone of ZONES) {
    const zone = timeZone ? { timeZone } : {};
    const day = new Intl.DateTimeFormat(locale, { ...DAY, ...zone });
    const time = new Intl.DateTimeFormat(locale, { ...TIME, ...zone });
    // A year and a half in steps that pass through all hours, minutes and days of the week.
    for (let at = Date.UTC(2026, 0, 1); at < Date.UTC(2027, 6, 1); at += 71 * HOUR + 37 * 60_000 + 311) {
      const date = new Date(at);
      expect(keptDay(date, timeZone, locale)).toBe(day.format(date));
      expect(keptTime(date, timeZone, locale)).toBe(time.format(date));
    }
  }
});

it.each(['en-GB', 'de-DE'])('%s: numbers are rounded as the formatter rounds them', (locale) => {
  goBy(writingOf(locale));
  for (const places of [0, 1, 2]) {
    const format = new Intl.NumberFormat(locale, {
      minimumFractionDigits: places,
      maximumFractionDigits: places,
    });
    // Halves of every place among them, and what arithmetic leaves of thirds.
    const near = Array.from({ length: 2_000 }, (_, i) => [
      i / 200,
      i / 3,
      i / 7,
      (i + 0.5) / 10,
      i * 0.1 + 0.05,
    ]);
    const small = near.flat().filter((value) => value < 999);
    expect(small.length).toBeGreaterThan(9_000);
    expect(small.filter((value) => keptNumber(value, places, locale) !== format.format(value))).toEqual([]);
    for (const value of [-0, -1.5, 1e-7, Number.NaN, Infinity, 999, 12_345])
      expect(keptNumber(value, places, locale)).toBeUndefined();
  }
});

it('what another language or no date at all needs is left to the formatter', () => {
  const date = new Date(Date.UTC(2026, 3, 14, 6, 42));
  goBy(writingOf('en-GB'));
  expect(keptDay(date, 'UTC', 'de-DE')).toBeUndefined();
  expect(keptTime(new Date(Number.NaN), 'UTC', 'en-GB')).toBeUndefined();
  // Egypt writes Arabic-Indic figures (CLDR, locale ar-EG).
  expect(writingOf('ar-EG')).toBeUndefined();
});

it('is noted anew after a month, or when the phone\u2019s clock was wrong', () => {
  const writing = writingOf('en-GB');
  const noted = writing?.noted ?? 0;
  const day = 24 * HOUR;
  goBy(writing);
  expect([0, 29 * day, 31 * day, -day].map((later) => isFresh('en-GB', noted + later))).toEqual([
    true,
    true,
    false,
    false,
  ]);
  expect(isFresh('de-DE', noted)).toBe(false);
});

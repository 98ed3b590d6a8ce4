import { afterAll, describe, expect, it } from 'vitest';
import { RULES } from '../generated/api';
import { fillText, speak, type Texts, t } from './catalogue';
import { book, de } from './de';
import { rules } from './de/rules';
import { germanValue } from './de/values';
import * as deScreens from './de_screens';
import { en } from './en';
import * as enScreens from './en_screens';
import { decimals, intervalWords, measure } from './format';
import { languageOf, localeOf } from './language';
import { phraseBook } from './phrases';

const ENGLISH: Texts = { ...en, ...enScreens };
const GERMAN: Texts = { ...de, ...deScreens };
/** Sections that only German has: words which in English come with the server's specification. */
const FROM_SERVER = ['rules'];

/** Texts that are the same in both languages: names, units, formats, words that German shares. */
const SAME = new Set([
  'forms.station_thermometer',
  'shell.app',
  'shell.title',
  'cultures.label',
  'diary.f_wind',
  'diary.f_label',
  'diary.c_mulch',
  'evening.wind',
  'first_run.code',
  'first_run.label',
  'paper.station_readings',
  'plot.label',
  'plot.name',
  'samples.cause_frost',
  'sketch.centimetres',
  'trials.kind_mulch',
]);

const keysOf = (texts: Texts): string[] =>
  Object.entries(texts).flatMap(([section, words]) => Object.keys(words).map((name) => `${section}.${name}`));
const textOf = (texts: Texts, key: string): string => {
  const [section = '', name = ''] = key.split('.');
  return texts[section]?.[name] ?? '';
};
/** Names that a text asks for, those that only choose between two words included. */
const placesOf = (text: string): string[] =>
  [...new Set([...text.matchAll(/\{(\w+)/g)].map(([, name]) => name ?? ''))].sort();

describe('German', () => {
  it('has every text of the English catalogue, and no other', () => {
    const own = new Set(keysOf(GERMAN).filter((key) => !FROM_SERVER.includes(key.split('.')[0] ?? '')));
    const wanted = new Set(keysOf(ENGLISH));
    expect([...wanted].filter((key) => !own.has(key))).toEqual([]);
    expect([...own].filter((key) => !wanted.has(key))).toEqual([]);
  });

  it('asks for the same values in each text', () => {
    const differ = keysOf(ENGLISH).filter(
      (key) => placesOf(textOf(GERMAN, key)).join() !== placesOf(textOf(ENGLISH, key)).join(),
    );
    expect(differ).toEqual([]);
  });

  it('leaves no text in English', () => {
    const same = keysOf(ENGLISH).filter((key) => textOf(GERMAN, key) === textOf(ENGLISH, key));
    const worded = same.filter((key) => /\p{L}{2}/u.test(textOf(ENGLISH, key).replace(/\{\w+/g, '{')));
    expect(worded.filter((key) => !SAME.has(key))).toEqual([]);
    expect([...SAME].filter((key) => !worded.includes(key))).toEqual([]);
  });

  it('has no empty text, no doubled or loose space, no straight quotation mark', () => {
    for (const key of keysOf(GERMAN)) {
      const text = textOf(GERMAN, key);
      if (text.trim() !== text || /^$| {2}|"|“[^„]*„/.test(text)) expect.fail(`${key}: ${text}`);
    }
  });

  it('says "du" and never "Sie" to whoever reads', () => {
    for (const key of keysOf(GERMAN)) {
      expect(textOf(GERMAN, key), key).not.toMatch(/(?<![.:!?] |^|„)\b(Sie|Ihnen|Ihr(e|en|em|er)?)\b/);
    }
  });

  it('names every rule and setting that the server may warn by', () => {
    const wanted = RULES.flatMap((rule) => [
      `${rule.name}_title`,
      `${rule.name}_question`,
      ...rule.settings.map((one) => `${rule.name}_${one.name}`),
      ...rule.settings.flatMap((one) => (one.unit && /\p{L}{2}/u.test(one.unit) ? [`unit_${one.unit}`] : [])),
    ]);
    expect(wanted.filter((key) => !(key in rules))).toEqual([]);
    expect(Object.keys(rules).filter((key) => !wanted.includes(key))).toEqual([]);
  });
});

/** The rooms that word things in English, with `{}` where a value goes in. */
const python = import.meta.glob<string>(
  [
    '../../../server/underboard/core/warnings/**/*.py',
    '../../../server/underboard/core/{errors,records/check,records/kinds,sync/plan}.py',
    '../../../server/underboard/web/{auth,api,bodies,problems}.py',
    '../../../server/underboard/web/views/*.py',
  ],
  { query: '?raw', import: 'default', eager: true },
);
const reckoning = import.meta.glob<string>(['../agronomy/*.ts', '../sync/photos_up.ts'], {
  query: '?raw',
  import: 'default',
  eager: true,
});

describe('the book of phrases', () => {
  const written = [
    // A sentence of Python may stand on several lines.
    ...Object.values(python).flatMap((file) =>
      // A place may be left empty.
      ['{}', ''].map((place) => file.replace(/"\s*\n\s*f?"/g, '').replace(/\{[^{}\n]*\}/g, place)),
    ),
    ...Object.values(reckoning).map((file) => file.replace(/\$\{[^}]*\}/g, '{}')),
  ]
    .join('\n')
    .toLowerCase();
  /** Parts of a sentence are often put together: what must be there is every longer stretch between two places. */
  const stretchesOf = (english: string): string[] =>
    english
      .split(
        /\{\w+\}|(?<=[.!?]) |\d+ °C|[;:(),]| (?:and|by|from|of|on|h|warmer|colder|earlier|later) | (?:earlier|later),/u,
      )
      .map((part) => part.trim().replace(/[.!?]$/, ''))
      .filter((part) => part.length > 14)
      .map((part) => part.toLowerCase());

  it('asks only for what the server or a calculation still says', () => {
    const lost = book.filter(([english]) => stretchesOf(english).some((part) => !written.includes(part)));
    expect(lost.map(([english]) => english)).toEqual([]);
  });

  it('fills the same values in', () => {
    const names = (text: string) => [...new Set(text.match(/\{\w+\}/g) ?? [])];
    for (const [english, german] of book) {
      expect(names(english)).toEqual(expect.arrayContaining(names(german)));
    }
  });

  it('gives a whole warning in German, its numbers and days too, or nothing', () => {
    const said = phraseBook(book, germanValue);
    expect(
      said(
        'Frost may hurt tomato at Tunnel in the night to 13 May 2026: about −0.1 °C there (−6.7 to 6.4 °C), chance 52 %; 1 other at risk too.',
      ),
    ).toBe(
      'Frost kann Tomaten bei Tunnel in der Nacht zum 13. Mai 2026 schaden: dort etwa −0,1 °C (−6,7 bis 6,4 °C), Wahrscheinlichkeit 52 %; 1 weiteres auch in Gefahr.',
    );
    expect(said('Mind ice on paths at dawn. Gloves; wash hands.')).toBe(
      'Achte im Morgengrauen auf Eis auf den Wegen. Handschuhe; Hände waschen.',
    );
    expect(
      said(
        'Boards with the nematodes of 4 August 2026 had 20 to 70 % fewer slugs so far (95 % interval): it looks as if it worked.',
      ),
    ).toBe(
      'Bretter mit den Nematoden vom 4. August 2026 hatten bisher 20 bis 70 % weniger Schnecken (95-%-Bereich): es sieht aus, als habe es gewirkt.',
    );
    expect(
      said(
        'The boards turned in the 2 rounds up to then usually have 4.2 together, learned from 12 earlier valid rounds. 2 boards have two numbers each and nobody has said which stands; the higher one is used here.',
      ),
    ).toBe(
      'Die in den 2 Runden bis dahin umgedrehten Bretter haben zusammen sonst 4,2, gelernt aus 12 früheren gültigen Runden. Es gibt zu 2 Brettern je zwei Zahlen, und niemand hat gesagt, welche gilt; hier zählt die höhere.',
    );
    expect(
      said(
        'Bed 3: wait before you plant potatoes or carrots: none in 8 valid traps, which up to 0.4 a trap would agree with.',
      ),
    ).toBe(
      'Bed 3: mit Kartoffeln oder Möhren noch warten: keine in 8 gültigen Fallen, womit bis zu 0,4 je Falle vereinbar wären.',
    );
    expect(said('a whole number, 0 to 9999')).toBe('eine ganze Zahl, 0 bis 9999');
    expect(said('Mind ice on paths at dawn. Nobody has translated this.')).toBeUndefined();
  });
});

describe('the language on the screen', () => {
  afterAll(() => speak('en', ENGLISH));

  it('is the one chosen on the phone, else the first of the phone’s that we speak, else English', () => {
    expect(languageOf('de', ['en-GB'])).toBe('de');
    expect(languageOf('en', ['de-DE'])).toBe('en');
    expect(languageOf('auto', ['de-AT', 'en'])).toBe('de');
    expect(languageOf(null, ['fr-FR', 'de'])).toBe('de');
    expect(languageOf('auto', ['fr-FR'])).toBe('en');
    expect(languageOf('xx', [])).toBe('en');
  });

  it('takes numbers and dates from the phone’s region if that speaks it', () => {
    expect(localeOf('de', ['en-GB', 'de-CH'])).toBe('de-CH');
    expect(localeOf('de', ['en-GB'])).toBe('de-DE');
    expect(localeOf('en', ['fr-FR'])).toBe('en-GB');
  });

  it('changes texts, plural and numbers together', () => {
    speak('de', GERMAN);
    expect(t('round.counted', { n: 1 })).toBe('1 Schnecke');
    expect(t('round.counted', { n: 2 })).toBe('2 Schnecken');
    expect(decimals(1234.5)).toBe('1.234,5');
    expect([5, 1.2, 0.75, 1.234].map(measure)).toEqual(['5', '1,2', '0,75', '1,23']);
    expect(intervalWords(0.4, 3.85, 2)).toBe('0,40 bis 3,85');
  });

  it('lets a choice hold places itself', () => {
    expect(fillText('{n|{who} war|{n} waren} da', { n: 1, who: 'Ada' })).toBe('Ada war da');
    expect(fillText('{n|{who} war|{n} waren} da', { n: 3, who: '{n}' })).toBe('3 waren da');
  });
});

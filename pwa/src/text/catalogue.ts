import { en } from './en';
import type * as enScreens from './en_screens';
import { type Language, languageChoice, languageOf, phoneLanguages } from './language';
import type { Said } from './phrases';

type Sections = typeof en & typeof enScreens;
export type Texts = Readonly<Record<string, Readonly<Record<string, string>>>>;

let sections: Texts = { ...en };
let shown: Language = 'en';
let plural = new Intl.PluralRules(shown);

/** The language that is on the screen. */
export function language(): Language {
  return shown;
}

/** A ready-made English sentence in the language shown; undefined where nobody has translated it. */
let said: Said = () => undefined;

export function inOurWords(english: string): string {
  return said(english) ?? english;
}

/** Speak another language from now on; texts that it lacks stay as they are. */
export function speak(next: Language, texts: Texts, book: Said = () => undefined): void {
  shown = next;
  said = book;
  sections = { ...sections, ...texts };
  plural = new Intl.PluralRules(next);
  if (typeof document !== 'undefined') document.documentElement.lang = next;
}

let frame: Promise<void> | undefined;

/** Fetch the words that draw the frame, if they are not the English ones, which are part of it. */
export function loadFrameTexts(): Promise<void> {
  frame ??= (async () => {
    if (languageOf(languageChoice(), phoneLanguages()) === 'en') return;
    try {
      const { de, germanSaid } = await import('./de');
      speak('de', de, germanSaid);
    } catch {
      // Not to be had just now (a first visit on a bad line): English words are better than none.
    }
  })();
  return frame;
}

/** Fetch the words of the other screens; resolved before one of them is drawn. */
export async function loadScreenTexts(): Promise<void> {
  await loadFrameTexts();
  const texts = shown === 'de' ? await import('./de_screens') : await import('./en_screens');
  sections = { ...sections, ...texts };
}

/** Every key of the catalogue, as `section.name`: a misspelt key does not compile. */
export type TextKey = {
  [S in keyof Sections & string]: `${S}.${keyof Sections[S] & string}`;
}[keyof Sections & string];

export type Fill = Record<string, string | number>;

const BRANCH = /((?:[^|{}]|\{\w+\})*)/.source;
const PLACE = new RegExp(`\\{(\\w+)(?:\\|${BRANCH}\\|${BRANCH})?\\}`, 'g');

/**
 * Fill a text: `{name}` is replaced, `{n|board|boards}` chooses by number (one, other); a choice may hold places
 * itself: `{n|it lies in {bed}|they lie in {bed}}`.
 * A missing value is left standing in braces, where a reader of the screen sees it.
 */
export function fillText(text: string, fill: Fill = {}): string {
  return text.replace(PLACE, (whole, name: string, one?: string, other?: string, at = 0) => {
    const value = fill[name];
    if (value === undefined) return whole;
    if (one !== undefined && other !== undefined)
      return fillText(plural.select(Number(value)) === 'one' ? one : other, fill);
    // "23. Okt." at the end of a sentence: one full stop serves both.
    return text[at + whole.length] === '.' ? String(value).replace(/\.$/, '') : String(value);
  });
}

export function t(key: TextKey, fill?: Fill): string {
  return fillText(textOf(key) ?? key, fill);
}

/**
 * Words that the server's specification brings in English (names of rules and the like): translated where the
 * language has a text under that key, else as they came.
 */
export function translated(section: string, name: string, english: string): string {
  return textOf(`${section}.${name}`) ?? english;
}

function textOf(key: string): string | undefined {
  const dot = key.indexOf('.');
  return sections[key.slice(0, dot)]?.[key.slice(dot + 1)];
}

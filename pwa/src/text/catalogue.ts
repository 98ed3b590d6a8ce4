import { en } from './en';
import type { enScreens } from './en_screens';

type Sections = typeof en & typeof enScreens;

let sections: Record<string, Record<string, string>> = { ...en };

/** Fetch the words of the other screens; resolved before one of them is drawn. */
export async function loadScreenTexts(): Promise<void> {
  const { enScreens } = await import('./en_screens');
  sections = { ...en, ...enScreens };
}

/** Every key of the catalogue, as `section.name`: a misspelt key does not compile. */
export type TextKey = {
  [S in keyof Sections & string]: `${S}.${keyof Sections[S] & string}`;
}[keyof Sections & string];

export type Fill = Record<string, string | number>;

const plural = new Intl.PluralRules('en');

/**
 * Fill a text: `{name}` is replaced, `{n|board|boards}` chooses by number (one, other).
 * A missing value is left standing in braces, where a reader of the screen sees it.
 */
export function fillText(text: string, fill: Fill = {}): string {
  return text.replace(/\{(\w+)(?:\|([^|{}]*)\|([^|{}]*))?\}/g, (whole, name: string, one, other) => {
    const value = fill[name];
    if (value === undefined) return whole;
    if (one === undefined) return String(value);
    return plural.select(Number(value)) === 'one' ? one : other;
  });
}

export function t(key: TextKey, fill?: Fill): string {
  const dot = key.indexOf('.');
  return fillText(sections[key.slice(0, dot)]?.[key.slice(dot + 1)] ?? key, fill);
}

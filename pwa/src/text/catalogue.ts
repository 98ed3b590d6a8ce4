import { en } from './en';

type Sections = typeof en;

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
  const section = en[key.slice(0, dot) as keyof Sections] as Record<string, string>;
  return fillText(section[key.slice(dot + 1)] ?? key, fill);
}

/** Sentences that come ready made in English, from the server or from a calculation, found again in a book of phrases. */

export type Phrase = readonly [english: string, own: string];
export type Said = (english: string) => string | undefined;

/** The end of one sentence and the beginning of the next; "Nr. 3" is neither. */
const SENTENCES = /(?<=[.!?])\s+(?=\p{Lu})|(?<=[^\s.]{3}[.!?])\s+(?=\d)/u;
/** Whatever stands in a place, but never more than one sentence of it. */
const INSIDE = `(?:(?!${SENTENCES.source}).)+?`;
const PLACE = /\{(\w+)\}/g;
interface Compiled {
  asks: RegExp;
  own: string;
}

/** A phrase with places (`{a}`) fits a sentence with any words there; those words are put through `value`. */
function compiled([english, own]: Phrase): Compiled {
  const escaped = english.replace(/[.*+?^$()|[\]\\]/g, '\\$&');
  return { asks: new RegExp(`^${escaped.replace(PLACE, `(?<$1>${INSIDE})`)}$`, 'u'), own };
}

/**
 * Look sentences up. A text is given in the other language as a whole or not at all: half of it would be read as
 * a mistake.
 */
export function phraseBook(phrases: readonly Phrase[], value: (words: string) => string): Said {
  let book: Compiled[] | undefined;
  const whole = (text: string): string | undefined => {
    book ??= phrases.map(compiled);
    for (const { asks, own } of book) {
      const found = asks.exec(text);
      if (found) return own.replace(PLACE, (_, name: string) => value(found.groups?.[name] ?? ''));
    }
    return undefined;
  };
  return (english) => {
    const text = english.trim();
    const known = whole(text);
    if (known !== undefined || text === '') return known;
    const each = text.split(SENTENCES).map(whole);
    return each.every((one) => one !== undefined) ? each.join(' ') : undefined;
  };
}

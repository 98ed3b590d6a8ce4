import { describe, expect, it } from 'vitest';
import { fillText, type TextKey, t } from './catalogue';
import { en } from './en';
import * as enScreens from './en_screens';

describe('filling a text', () => {
  it('puts values in and chooses by number', () => {
    expect(fillText('{n} {n|board|boards} left', { n: 1 })).toBe('1 board left');
    expect(fillText('{n} {n|board|boards} left', { n: 0 })).toBe('0 boards left');
    expect(fillText('{who} counted {n}', { who: 'Ada', n: 3 })).toBe('Ada counted 3');
    expect(fillText('Seit {day}. Gut.', { day: '23. Okt.' })).toBe('Seit 23. Okt. Gut.');
    expect(fillText('{day}: gut.', { day: '23. Okt.' })).toBe('23. Okt.: gut.');
  });

  it('leaves what nobody filled where a reader sees it', () => {
    expect(fillText('{mean} a board', {})).toBe('{mean} a board');
  });

  it('puts a value in as it is, braces and dollars included', () => {
    expect(fillText('{who}: {n}', { who: '$& {n}', n: 2 })).toBe('$& {n}: 2');
  });
});

const ALL = Object.entries({ ...en, ...enScreens }).flatMap(([section, texts]) =>
  Object.entries(texts).map(([name, text]) => ({ key: `${section}.${name}`, text: text as string })),
);

describe('the catalogue', () => {
  it.each(ALL)('$key can be looked up', ({ key, text }) => {
    expect(t(key as TextKey)).toBe(fillText(text));
  });

  it('has no empty text, no doubled or loose space, no broken brace', () => {
    for (const { key, text } of ALL) {
      expect(text.trim(), key).toBe(text);
      expect(text, key).not.toMatch(/^$| {2}|[{][^}]*$|^[^{]*[}]/);
    }
  });

  it('names each section after one file only', () => {
    expect(Object.keys(en).filter((section) => section in enScreens)).toEqual([]);
  });
});

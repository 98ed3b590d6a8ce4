import { describe, expect, it } from 'vitest';
import { numberOf } from './typed_number';

describe('numberOf', () => {
  it.each([
    ['4.5', 4.5],
    ['4,5', 4.5],
    ['.5', 0.5],
    ['\u22123', -3],
    ['-3.', -3],
    [' 7 ', 7],
    ['', undefined],
    ['-', undefined],
    ['4.5.6', undefined],
    ['1e3', undefined],
    ['warm', undefined],
  ])('%s', (text, expected) => {
    expect(numberOf(text)).toBe(expected);
  });
});

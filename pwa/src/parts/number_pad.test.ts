import { describe, expect, it } from 'vitest';
import { typedNumber, typeKey } from './number_pad';

const typed = (keys: string[]): string => keys.reduce((value, key) => typeKey(value, key), '');

describe('the number pad', () => {
  it('types a negative number with a decimal', () => {
    expect(typed(['3', '.', '5', 'sign'])).toBe('-3.5');
    expect(typed(['sign', '0', '4'])).toBe('-4');
    expect(typed(['sign', '.', '5'])).toBe('-0.5');
  });

  it('takes one decimal point, drops a leading nought, and stops at its length', () => {
    expect(typed(['1', '.', '.', '2'])).toBe('1.2');
    expect(typed(['0', '0', '7'])).toBe('7');
    expect(typed(['1', '2', '3', '4', '5', '6', '7'])).toBe('123456');
    expect(typed(['4', 'sign', 'sign'])).toBe('4');
  });

  it('deletes the last key', () => {
    expect(typed(['1', '2', 'delete'])).toBe('1');
    expect(typed(['delete'])).toBe('');
  });

  it('is no number until there is a digit', () => {
    for (const value of ['', '-', '.', '-.']) expect(typedNumber(value), value).toBeUndefined();
    expect(typedNumber('-0')).toBe(-0);
    expect(typedNumber('3.')).toBe(3);
    expect(typedNumber('-12.5')).toBe(-12.5);
  });
});

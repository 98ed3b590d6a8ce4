import { describe, expect, it } from 'vitest';
import type { SheetKind } from '../paper/model';
import { type Grid, press } from './keys';
import { blankSheet, type Keyed, rowSays, tallyOf, textIn } from './model';

const grid = (kind: SheetKind, n = 3): Grid => ({
  kind,
  rows: Array.from({ length: n }, (_, i) => `b${i + 1}`),
});
const rows = (n = 3) => grid('dawn', n).rows.map((id) => ({ id }));

function keyIn(kind: SheetKind, keys: readonly string[], from = blankSheet('2026-05-10'), n = 3): Keyed {
  return keys.reduce<Keyed>((keyed, key) => press(keyed, key, grid(kind, n)) ?? keyed, from);
}

describe('a round, keyed in', () => {
  it('takes a number and Enter for each board, and stops after the last', () => {
    const keyed = keyIn('dawn', ['7', 'Enter', '1', '2', 'Enter', '0', 'Enter']);
    expect(['b1', 'b2', 'b3'].map((row) => rowSays(keyed, row))).toEqual([
      { state: 'counted', count: 7 },
      { state: 'counted', count: 12 },
      { state: 'none_found', count: 0 },
    ]);
    expect(keyed.at).toBeUndefined();
  });

  it('takes n, x and s in place of a number, and moves on by itself', () => {
    const keyed = keyIn('dawn', ['n', 'X', 's']);
    expect(['b1', 'b2', 'b3'].map((row) => rowSays(keyed, row))).toEqual([
      { state: 'none_found', count: 0 },
      { state: 'not_turned' },
      { state: 'spoiled' },
    ]);
  });

  it('leaves a row that was passed over empty: no record, not a nought', () => {
    const keyed = keyIn('dawn', ['3', 'Enter', 'Enter', '4', 'Enter']);
    expect(rowSays(keyed, 'b2')).toBeUndefined();
    expect(tallyOf(keyed, 'dawn', rows())).toMatchObject({ total: 7, n_numbers: 2, n_empty: 1 });
  });

  it('has eggs to the right of the slugs; Enter goes on to the next board', () => {
    const keyed = keyIn('dawn', ['3', 'ArrowRight', '2', 'Enter', '5']);
    expect(textIn(keyed, 'b1', 'eggs')).toBe('2');
    expect(rowSays(keyed, 'b2')).toEqual({ state: 'counted', count: 5 });
  });

  it('begins a number anew when one comes back to it, and takes figures away one by one', () => {
    const back = keyIn('dawn', ['7', 'Enter', 'ArrowUp', '9']);
    expect(rowSays(back, 'b1')).toEqual({ state: 'counted', count: 9 });
    expect(textIn(keyIn('dawn', ['1', '2', 'Backspace']), 'b1', 'count')).toBe('1');
    expect(textIn(keyIn('dawn', ['n', 'ArrowUp', 'Backspace']), 'b1', 'count')).toBe('');
    expect(textIn(keyIn('dawn', ['1', '2', '3', '4', '5']), 'b1', 'count')).toBe('1234');
    expect(textIn(keyIn('dawn', ['0', '5']), 'b1', 'count')).toBe('5');
  });

  it('takes back cell by cell, a whole number at a time, and the cursor goes along', () => {
    const keyed = keyIn('dawn', ['1', '2', 'Enter', 'n', 'undo']);
    expect(textIn(keyed, 'b2', 'count')).toBe('');
    expect(keyed.at).toEqual({ row: 'b2', col: 'count' });
    expect(keyIn('dawn', ['undo'], keyed).cells).toEqual({});
    expect(press(blankSheet(undefined), 'undo', grid('dawn'))).toBeUndefined();
  });

  it('gives an overwritten number back', () => {
    const keyed = keyIn('dawn', ['7', 'Enter', 'ArrowUp', '9', '1', 'undo']);
    expect(textIn(keyed, 'b1', 'count')).toBe('7');
  });

  it('ignores keys that mean nothing, and stays inside the sheet', () => {
    for (const key of ['a', '-', '.', 'Tab', 'F5', 'Shift'])
      expect(press(blankSheet(undefined), key, grid('dawn'))).toBeUndefined();
    expect(keyIn('dawn', ['ArrowUp', 'ArrowLeft']).at).toEqual({ row: 'b1', col: 'count' });
    expect(keyIn('dawn', ['End', 'ArrowDown', 'ArrowRight', 'ArrowRight']).at).toEqual({
      row: 'b3',
      col: 'eggs',
    });
    expect(press(blankSheet(undefined), '1', grid('dawn', 0))).toBeUndefined();
  });
});

describe('the other sheets', () => {
  it('go along a thermometer from reading to reading, with signs and points', () => {
    const keys = ['4', '.', '5', 'Enter', '1', '2', 'Enter', '-', '3', ',', '5', 'y', 'Enter', '8'];
    const keyed = keyIn('readings', keys);
    expect(['current', 'max', 'min', 'reset_done'].map((col) => textIn(keyed, 'b1', col))).toEqual([
      '4.5',
      '12',
      '-3.5',
      'y',
    ]);
    expect(textIn(keyed, 'b2', 'current')).toBe('8');
    expect(press(blankSheet(undefined), 'n', grid('readings'))).toBeUndefined();
  });

  it('go down the traps, with the tick for fresh bait', () => {
    const keyed = keyIn('trap', ['2', 'y', 'Enter', 'x', 'n']);
    expect(['b1', 'b2', 'b3'].map((row) => rowSays(keyed, row)?.state)).toEqual([
      'counted',
      'not_turned',
      'none_found',
    ]);
    expect(textIn(keyed, 'b1', 'rebaited')).toBe('y');
    expect(textIn(keyIn('trap', ['y', 'y']), 'b1', 'rebaited')).toBe('');
  });
});

it('holds the written sum against the rows', () => {
  const keyed = { ...keyIn('dawn', ['7', 'Enter', 'n', 'x']), sum: '9' };
  expect(tallyOf(keyed, 'dawn', rows())).toMatchObject({
    total: 7,
    n_unturned: 1,
    written: 9,
    difference: -2,
  });
  expect(tallyOf({ ...keyed, sum: ' 7 ' }, 'dawn', rows()).difference).toBe(0);
  expect(tallyOf({ ...keyed, sum: 'seven' }, 'dawn', rows()).difference).toBeUndefined();
});

import { describe, expect, it } from 'vitest';
import { clash, clearWords, coverOf } from './clear_words';
import { type Corner, cornersOf, isInside } from './geometry';
import { bedWords } from './labels';

const bed = (across: number, along: number, turn = 0): Corner[] =>
  cornersOf({ x: 100, y: 100, across, along, turn });
const plank = (x: number, y: number, turn = 0): Corner[] => cornersOf({ x, y, across: 12, along: 6, turn });

/** The words of a bed and what lies on it, moved. */
function told(on: Corner[], name: string, value: string, things: Corner[][]) {
  return clearWords(bedWords(on, name, value), on, things);
}

describe('words on a bed with boards', () => {
  it('stay where they are when nothing lies on them', () => {
    const on = bed(24, 110);
    expect(told(on, 'Wall 1', '1.3', [plank(100, 60), plank(300, 100)])).toEqual(
      bedWords(on, 'Wall 1', '1.3'),
    );
  });

  it.each([
    ['narrow and upright, a board on the name', bed(24, 110), [plank(104, 128)]],
    ['short, with a board in either half', bed(24, 92), [plank(96, 76), plank(104, 124)]],
    ['narrow and upright, a board in the middle', bed(24, 110), [plank(100, 100)]],
    [
      'long and level, a board between',
      bed(218, 38),
      [plank(100, 105, 90), plank(27, 96, 90), plank(172, 96, 90)],
    ],
    ['turned by 30 degrees', bed(140, 30, 30), [plank(100, 100, 30), plank(130, 117, 30)]],
    ['wide', bed(90, 70), [plank(100, 94), plank(100, 110)]],
  ])('are clear of them and of each other, on their bed: %s', (_, on, things) => {
    const words = told(on, 'Wall 1', '1.3', things);
    expect(words.map(({ text }) => text)).toEqual(['1.3', 'Wall 1']);
    const covers = words.map((one) => coverOf(one));
    for (const cover of covers) for (const thing of things) expect(clash(cover, thing)).toBe(false);
    expect(clash(covers[0] as Corner[], covers[1] as Corner[])).toBe(false);
    for (const { x, y } of words) expect(isInside([x, y], on)).toBe(true);
  });

  it.each(['0', '1.3', ''])('stay on the middle line of a narrow bed: %j', (value) => {
    for (const [across, along] of [
      [24, 92],
      [28, 110],
    ] as const) {
      const words = told(bed(across, along), 'Gate 1', value, [plank(96, 76), plank(104, 124)]);
      expect(words).toHaveLength(value ? 2 : 1);
      for (const { x } of words) expect(x).toBeCloseTo(100, 3);
    }
  });

  it('a name without room is left out, a number never', () => {
    const full = Array.from({ length: 12 }, (_, i) => plank(100, 48 + i * 9));
    expect(told(bed(24, 110), 'Wall 1', '1.3', full)).toEqual([bedWords(bed(24, 110), 'Wall 1', '1.3')[0]]);
    expect(
      told(bed(60, 30), 'Frame', '', [cornersOf({ x: 100, y: 100, across: 60, along: 20, turn: 0 })]),
    ).toEqual([]);
  });

  it('on a frame hardly larger than its number the number goes beside the board', () => {
    const on = bed(18, 34);
    const [value] = told(on, 'Cold frame', '3.0', [plank(98, 100)]);
    expect(value?.text).toBe('3.0');
    expect(value && clash(coverOf(value), plank(98, 100))).toBe(false);
    expect(value?.x).toBeCloseTo(100, 3);
  });
});

it('two outlines share ground or not, however they are turned', () => {
  const square = cornersOf({ x: 0, y: 0, across: 2, along: 2, turn: 0 });
  expect(clash(square, cornersOf({ x: 1.9, y: 0, across: 2, along: 2, turn: 0 }))).toBe(true);
  expect(clash(square, cornersOf({ x: 2.1, y: 0, across: 2, along: 2, turn: 0 }))).toBe(false);
  // Their boxes overlap, they do not.
  expect(clash(square, cornersOf({ x: 1.8, y: 1.8, across: 2, along: 2, turn: 45 }))).toBe(false);
  expect(clash(square, cornersOf({ x: 1.6, y: 1.6, across: 2, along: 2, turn: 45 }))).toBe(true);
});

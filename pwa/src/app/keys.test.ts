import { describe, expect, it } from 'vitest';
import { isTyped, rung, withFigure } from './keys';

describe('keys of a round', () => {
  it('make one number of figures in a row on one board', () => {
    const one = withFigure(undefined, 'B1', 1, 0);
    expect(one.count).toBe(1);
    expect(withFigure(one, 'B1', 2, 900).count).toBe(12);
    expect(withFigure(one, 'B1', 2, 1600).count).toBe(2);
    expect(withFigure(one, 'B2', 2, 900).count).toBe(2);
    expect(withFigure({ board: 'B1', count: 9999, at: 0 }, 'B1', 5, 10).count).toBe(5);
  });
  it('go up and down the ladder and not round it', () => {
    expect([rung(0, 'ArrowDown', 3), rung(2, 'ArrowUp', 3), rung(1, 'End', 3), rung(1, 'Home', 3)]).toEqual([
      1, 1, 2, 0,
    ]);
    expect([rung(0, 'ArrowUp', 3), rung(2, 'ArrowDown', 3), rung(0, 'x', 3)]).toEqual([
      undefined,
      undefined,
      undefined,
    ]);
  });
  it('are left to a field that is being typed into', () => {
    expect(isTyped({ tagName: 'INPUT', type: 'text' }, 'n')).toBe(true);
    expect(isTyped({ tagName: 'TEXTAREA' }, 'ArrowDown')).toBe(true);
    expect(isTyped({ tagName: 'SELECT' }, 'n')).toBe(true);
    expect(isTyped({ tagName: 'INPUT', type: 'radio' }, 'ArrowDown')).toBe(true);
    expect(isTyped({ tagName: 'INPUT', type: 'radio' }, 'n')).toBe(false);
    expect(isTyped({ tagName: 'BUTTON' }, 'n')).toBe(false);
  });
});

import { expect, it } from 'vitest';
import { scaleEnd } from './range_bar';

it('the scale holds the value and the usual, and a modest interval whole', () => {
  expect(scaleEnd({ value: 2, low: 1, high: 3, usual: { low: 1, high: 2 } })).toBeGreaterThanOrEqual(3);
  expect(scaleEnd({ value: 1, low: 0.5, high: 2, usual: { low: 4, high: 9 } })).toBeGreaterThanOrEqual(9);
  expect(scaleEnd({ value: 3, low: 1, high: null })).toBeGreaterThanOrEqual(3);
});

it('the far end of a very wide interval does not press the rest together', () => {
  expect(scaleEnd({ value: 3, low: 1, high: 200, usual: { low: 1, high: 4 } })).toBeLessThanOrEqual(12);
});

it('nothing found still has a scale', () => {
  expect(scaleEnd({ value: 0, low: 0, high: 0 })).toBeGreaterThan(0);
});

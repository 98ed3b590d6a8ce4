import { describe, expect, it } from 'vitest';
import { cornersOf } from './geometry';
import { bedWords, widthOf } from './labels';
import { outlineWords } from './outline_words';
import { classesOf, LAYERS, stepOf } from './scales';

describe('classes of the scale', () => {
  it('none found is a class of its own, and a bound belongs to the class above it', () => {
    expect([0, 0.01, 1, 1.99, 2, 4, 8, 500].map((mean) => stepOf('slugs', mean))).toEqual([
      0, 1, 2, 2, 3, 4, 5, 5,
    ]);
    expect([4.9, 5, 8, 16].map((degrees) => stepOf('soil', degrees))).toEqual([0, 1, 2, 4]);
    expect([0.49, 0.5, 4].map((limit) => stepOf('wireworm', limit))).toEqual([0, 1, 4]);
  });
  it.each(LAYERS)('%s: every value has one class, the legend has them all', (layer) => {
    const classes = classesOf(layer);
    for (const { step, from, below } of classes) {
      expect(stepOf(layer, from ?? -1)).toBe(step);
      if (below !== undefined && below > 0.01) expect(stepOf(layer, below - 0.001)).toBe(step);
    }
    expect(classes.at(0)?.from).toBeUndefined();
    expect(classes.at(-1)?.below).toBeUndefined();
  });
});

describe('words on a bed', () => {
  const bed = (across: number, along: number, turn = 0) => cornersOf({ x: 100, y: 100, across, along, turn });
  it('stand level on a wide bed, value over name', () => {
    const [value, name] = bedWords(bed(90, 40), 'Gate 1', '2.4');
    expect([value?.text, value?.turn, name?.text]).toEqual(['2.4', 0, 'Gate 1']);
  });
  it('on a narrow bed the name runs along it, the number stays level', () => {
    const [value, name] = bedWords(bed(22, 100), 'Gate 1', '2.4');
    expect([value?.text, value?.turn]).toEqual(['2.4', 0]);
    expect(Math.abs(name?.turn ?? 0)).toBe(90);
  });
  it('never hang over the end of the bed by more than a few pixels', () => {
    for (const long of [20, 40, 60, 120, 300]) {
      for (const line of bedWords(bed(24, long), 'The long bed by the wall', '12.5')) {
        if (line.turn !== 0) expect(widthOf(line.text, line.size)).toBeLessThanOrEqual(long);
      }
    }
  });
  it('are never upside down', () => {
    for (let turn = 0; turn < 180; turn += 5) {
      for (const line of bedWords(bed(100, 24, turn), 'Gate 1', '2.4')) {
        expect(Math.abs(line.turn)).toBeLessThanOrEqual(90);
      }
    }
  });
});

it('an outline is told as size and place, for those who settle two of them', () => {
  const corners = cornersOf({ x: 5, y: 4, across: 4, along: 1.2, turn: 0 });
  expect(outlineWords(corners)).toBe('4.00 × 1.20 m, 3.0 m from the left, 3.4 m from the top');
  expect(outlineWords(cornersOf({ x: 5, y: 4, across: 4, along: 1.2, turn: 35 }))).toContain('turned 35°');
  expect(outlineWords([])).toBe('not placed on the sketch yet');
});

import { describe, expect, it } from 'vitest';
import {
  countFaults,
  countSet,
  cultureFaults,
  cultureSet,
  dropsOf,
  emptyCount,
  emptyCulture,
  sortedCultures,
  strengthOf,
  volumeFor,
} from './cultures';

const COUNT = { aliquot_counts: [12, 15, 9, 14, 10], aliquot_ml: 0.05, dilution: 1 };

describe('a culture', () => {
  it('wants a name and no day to come, and is unidentified unless bought', () => {
    expect(cultureFaults(emptyCulture('2026-05-10'), '2026-05-10')).toEqual(['label']);
    expect(cultureFaults({ ...emptyCulture('2026-05-11'), label: 'B' }, '2026-05-10')).toEqual(['day']);
    expect(
      cultureSet({ ...emptyCulture('2026-05-10'), label: ' B ' }, { started_at: 'T', observer: 'Kit' }),
    ).toEqual({
      label: 'B',
      source: 'unidentified',
      started_at: 'T',
      observer: 'Kit',
    });
  });
  it('stands after the others once it was thrown away', () => {
    const at = (id: string, started_at: string, more = {}) => ({
      id,
      type: 'culture',
      body: { started_at, ...more },
    });
    const views = [
      at('old', '2026-05-01T12:00:00Z'),
      at('gone', '2026-05-09T12:00:00Z', { discarded_at: '2026-05-10T12:00:00Z' }),
      at('new', '2026-05-08T12:00:00Z'),
      { ...at('deleted', '2026-05-08T12:00:00Z'), deleted: true },
    ];
    expect(sortedCultures(views).map(({ id }) => id)).toEqual(['new', 'old', 'gone']);
  });
});

describe('counted drops', () => {
  it.each([
    ['12 15 9', [12, 15, 9]],
    ['12, 15,9 ', [12, 15, 9]],
    ['0', [0]],
    ['', undefined],
    ['12 x', undefined],
    ['2.5', undefined],
    ['-3', undefined],
  ])('%s', (text, expected) => {
    expect(dropsOf(text)).toEqual(expected);
  });
  it('are refused without a size or with a dilution below one', () => {
    expect(countFaults({ drops: '', drop_ml: '0', dilution: '0.5' })).toEqual([
      'drops',
      'drop_ml',
      'dilution',
    ]);
    expect(countFaults({ drops: '1 2', drop_ml: '0,05', dilution: '10' })).toEqual([]);
  });
  it('remember the size of the drop and the dilution from last time', () => {
    expect(emptyCount({ aliquot_ml: 0.1, dilution: 20 })).toEqual({
      drops: '',
      drop_ml: '0.1',
      dilution: '20',
    });
  });
  // 60 counted: 60/0.25 ml = 240 per ml; exact limits of 60 are 45.786 and 77.231 (scipy 1.17.1 chi2.ppf(0.025, 120)/2
  // and chi2.ppf(0.975, 122)/2), so 183.1 and 308.9 per ml.
  it('give a strength with exact limits', () => {
    const strength = strengthOf(COUNT);
    expect(strength).toMatchObject({ per_ml: 240, total: 60, drops: 5 });
    expect(strength?.low).toBeCloseTo(183.14, 1);
    expect(strength?.high).toBeCloseTo(308.93, 1);
  });
  it('say nothing until there are some', () => {
    expect(strengthOf({})).toBeUndefined();
    expect(strengthOf({ aliquot_counts: [], aliquot_ml: 0.05 })).toBeUndefined();
    expect(strengthOf({ aliquot_counts: [3] })).toBeUndefined();
  });
  it('go into the record as numbers', () => {
    expect(countSet({ drops: '12 15', drop_ml: '0,05', dilution: '1' })).toEqual({
      aliquot_counts: [12, 15],
      aliquot_ml: 0.05,
      dilution: 1,
    });
  });
});

describe('how much of it a bed needs', () => {
  // 300,000 per m² (a UK distributor's table) on 4 m² are 1.2 million; at 240 per ml 5 litres.
  it('by the counted strength, and by its limits', () => {
    const strength = strengthOf(COUNT);
    if (!strength) throw new Error('counted');
    const volume = volumeFor(strength, 4, 300_000);
    expect(volume?.nematodes).toBe(1_200_000);
    expect(volume?.litres).toBeCloseTo(5, 10);
    expect(volume?.low_l).toBeCloseTo(1200 / 308.93, 2);
    expect(volume?.high_l).toBeCloseTo(1200 / 183.14, 2);
  });
  it('is not to be had from a culture in which nothing was found', () => {
    const strength = strengthOf({ aliquot_counts: [0, 0], aliquot_ml: 0.05 });
    expect(strength && volumeFor(strength, 4, 300_000)).toBeUndefined();
  });
});

import { describe, expect, it } from 'vitest';
import { barsOf } from './counts';
import { limitOf } from './limit';
import { chanceWords, degreeWords, numberRows, numberTables } from './numbers';
import { scoreWords } from './score';
import { cropRows, worstOf } from './worst';

const AS = { unit: 'degC', time_zone: 'Europe/London' } as const;
const rows = (numbers: Record<string, unknown>, as: Parameters<typeof numberRows>[1] = AS) =>
  Object.fromEntries(
    numberRows(numbers, as).map(({ name, value }) => [name, value.replaceAll('\u00a0', ' ')]),
  );

describe('numbers in words', () => {
  it('have their unit from their name, and the plot’s degrees', () => {
    expect(
      rows({ min_c: -1.25, soil_percent: 40, lying_days: 12, broken_year: 2025, round_id: 'x', level: 0.95 }),
    ).toEqual({
      'Broken year': '2025',
      Lowest: '−1.3 °C',
      Soil: '40 %',
      Lying: '12 d',
    });
    // −1.25 °C is 29.75 °F.
    expect(rows({ min_c: -1.25 }, { ...AS, unit: 'degF' })).toEqual({ Lowest: '29.8 °F' });
  });
  it('say chances in whole percent, never nought and never all', () => {
    expect(rows({ p: 0.617, chance_above: 0.2 })).toEqual({ Chance: '62 %', 'Chance above': '20 %' });
    expect([chanceWords(0.001), chanceWords(0.999)]).toEqual(['less than 1\u00a0%', 'more than 99\u00a0%']);
  });
  it('say days, times, intervals and yes or no', () => {
    const year = new Date().getFullYear();
    expect(
      rows({
        since: `${year}-05-12`,
        evening_at: `${year}-05-12T20:04:00Z`,
        found: { low: 2, high: 7.25 },
        fitted_to_plot: false,
        n_nights: 14,
        nothing: null,
      }),
    ).toMatchObject({
      Found: '2 to 7.3',
      'Fitted to plot': 'no',
      'Number of nights': '14',
      Since: expect.stringMatching(/12/),
      Evening: expect.stringMatching(/21:04$/),
    });
  });
  it('put an interval beside its number', () => {
    const plantOut = { risk: 0.2, risk_low: 0.06, risk_high: 0.5, flaws: ['too_cold', 'too_long'] };
    expect(rows(plantOut)).toEqual({ Risk: '20 % (6 % to 50 %)', Flaws: 'too cold, too long' });
    expect(rows({ min_c: -1, low_c: -3, high_c: 1 })).toEqual({ Lowest: '−1.0 °C (−3.0 °C to 1.0 °C)' });
    expect(rows({ risk_low: 0.06 })).toEqual({ 'Risk low': '6 %' });
  });
  it('keep a list as a table of its own', () => {
    const [table] = numberTables({ parts: [{ place: 'Bed', times: 2.5, station_ids: ['x'] }] }, AS);
    expect(table).toEqual({ name: 'Parts', columns: ['Place', 'Times'], rows: [['Bed', '2.5']] });
  });
  it('write a long minus', () => {
    expect(degreeWords(-0.04, 'degC')).toBe('0.0\u00a0°C');
    expect(degreeWords(-3, 'degC')).toBe('\u22123.0\u00a0°C');
  });
});

describe('what is in the greatest danger', () => {
  const numbers = {
    min_c: 1,
    at_c: 2,
    places: [
      {
        place_id: null,
        min_c: 1,
        low_c: -1,
        high_c: 3,
        offset_c: 0,
        crops: [
          { crop_id: 'a', kind: 'kale', critical_c: -7, p: 0.01 },
          { crop_id: 'b', kind: 'oca', critical_c: null, p: null },
        ],
      },
      {
        place_id: 'tunnel',
        min_c: 0.5,
        low_c: -1.5,
        high_c: 2.5,
        offset_c: -0.5,
        crops: [{ crop_id: 'c', kind: 'tomato', critical_c: 0, p: 0.4 }],
      },
    ],
  };
  it('is the crop with the greatest chance, at its own line', () => {
    expect(worstOf(numbers)).toMatchObject({ kind: 'tomato', place_id: 'tunnel', line_c: 0, min_c: 0.5 });
    expect(cropRows(numbers).map(({ kind }) => kind)).toEqual(['tomato', 'kale', 'oca']);
  });
  it('is the plot itself where no crop is named: at its own temperature, else at freezing', () => {
    expect(worstOf({ min_c: 1, at_c: 2 })).toMatchObject({ min_c: 1, line_c: 2 });
    expect(worstOf({ min_c: 1 }).line_c).toBe(0);
    expect(worstOf({ min_c: -3, critical_c: -0.8, difference_c: -3 })).toMatchObject({
      line_c: -0.8,
      offset_c: -3,
    });
    expect(worstOf(undefined).min_c).toBeUndefined();
  });
});

describe('a limit', () => {
  it('is found with what is held against it', () => {
    const numbers = {
      mean_per_board: 3.2,
      mean_per_board_low: 2,
      mean_per_board_high: 5,
      threshold_per_board: 2.5,
    };
    expect(limitOf(numbers)).toEqual({ value: 3.2, low: 2, high: 5, limit: 2.5, per: 'per board' });
  });
  it('may be held against an upper end alone', () => {
    expect(limitOf({ wireworms_per_m2_high: 40, limit_per_m2: 25 })).toEqual({
      value: undefined,
      low: 0,
      high: 40,
      limit: 25,
      per: 'per m²',
    });
    const bed = { per_trap: 1.5, per_trap_low: 0.8, per_trap_high: 2.6, tolerated_per_trap: 0.5 };
    expect(limitOf(bed)).toEqual({ value: 1.5, low: 0.8, high: 2.6, limit: 0.5, per: 'per trap' });
    expect(limitOf({ limit_c: 30, max_c: 33 })).toBeUndefined();
  });
});

describe('the bars', () => {
  const round = (id: string, day: string, more = {}) => ({
    id,
    body: { kind: 'dawn' as const, observed_at: `${day}T06:00:00+01:00`, ...more },
  });
  const count = (id: string, n: number) => ({ id, station_id: id, state: 'counted', count: n });
  it('are valid rounds with a count, a double count left out', () => {
    const rounds = [
      round('a', '2026-05-01'),
      round('b', '2026-05-02', { valid: false }),
      round('c', '2026-05-03'),
      round('d', '2026-05-04'),
    ];
    const counts = new Map([
      ['a', [count('s1', 3), count('s2', 4)]],
      ['b', [count('s1', 90)]],
      ['d', [count('s1', 9), count('s2', 1), { ...count('s2', 6), id: 'other' }]],
    ]);
    expect(barsOf(rounds, counts, { warned: 'd', together: 1, time_zone: 'Europe/London' })).toEqual([
      { round_id: 'a', day: '2026-05-01', slugs: 7, boards: 2, warned: false },
      { round_id: 'd', day: '2026-05-04', slugs: 9, boards: 1, warned: true },
    ]);
    const together = barsOf(rounds, counts, { warned: 'd', together: 2, time_zone: 'Europe/London' });
    expect(together.map(({ warned }) => warned)).toEqual([true, true]);
  });
});

describe('how good the rule has been', () => {
  it('is in the server’s words, else in counts, else nothing', () => {
    expect(scoreWords({ words: 'Right 3 of 4 times.' })).toBe('Right 3 of 4 times.');
    expect(scoreWords({ hits: 3, false_alarms: 1, misses: 2 })).toBe(
      '3 of 4 warnings were right; 2 came without a warning.',
    );
    expect(scoreWords({ hits: 0, false_alarms: 0, misses: 0 })).toBeUndefined();
    expect(scoreWords(undefined)).toBeUndefined();
  });
});

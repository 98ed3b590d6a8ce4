import { describe, expect, it } from 'vitest';
import { deedOf, figureOf, glued, goOf, outcomeOf, placesOf, rankWords, windowWords } from './words';

const NOW = new Date('2026-05-12T20:00:00+01:00');
const window = (start: string, end: string, now = NOW) =>
  windowWords({ window_start: start, window_end: end }, now, 'Europe/London');

describe('when', () => {
  it('says tonight, last night, another night', () => {
    const night = ['2026-05-12T20:40:00+01:00', '2026-05-13T06:10:00+01:00'] as const;
    expect(window(...night)).toBe('Tonight 20:40 to 06:10');
    expect(window(...night, new Date('2026-05-13T07:00:00+01:00'))).toBe('Last night 20:40 to 06:10');
    expect(window(...night, new Date('2026-05-15T07:00:00+01:00'))).toMatch(
      /^Night of .*12.*, 20:40 to 06:10$/,
    );
  });
  it('says a day, days, or since when', () => {
    expect(window('2026-05-12T12:00:00+01:00', '2026-05-12T16:00:00+01:00')).toBe('Today 12:00 to 16:00');
    expect(window('2026-05-13T06:00:00+01:00', '2026-05-13T09:00:00+01:00')).toBe('Tomorrow 06:00 to 09:00');
    expect(window('2026-05-13T12:00:00+01:00', '2026-05-20T12:00:00+01:00')).toMatch(/13.* to .*20/);
    expect(window('2026-05-01T12:00:00+01:00', '2027-05-01T12:00:00+01:00')).toMatch(/^Since .*1/);
  });
  it('keeps to the clock of the plot', () => {
    // 20:40 in London is 21:40 in Berlin.
    expect(
      windowWords(
        { window_start: '2026-05-12T20:40:00+01:00', window_end: '2026-05-13T06:10:00+01:00' },
        NOW,
        'Europe/Berlin',
      ),
    ).toBe('Tonight 21:40 to 07:10');
  });
});

it('names places while they are few', () => {
  const labels = new Map(['a', 'b', 'c', 'd'].map((id) => [id, `Bed ${id}`]));
  expect(placesOf({ place_ids: ['a', 'gone'] }, labels)).toBe('Bed a');
  expect(placesOf({ place_ids: ['a', 'b', 'c', 'd'] }, labels)).toBe('Bed a, Bed b, Bed c and 1 more');
});

it('says how bad and how sure', () => {
  expect(rankWords({ severity: 'Severe', certainty: 'Likely' })).toBe('Severe, likely');
  expect(rankWords({ severity: 'Minor', certainty: 'Unknown' })).toBe('Minor');
});

it('offers the deed that fits', () => {
  expect(['frost', 'ground_frost', 'heat', 'surge', 'nematode_window'].map(deedOf)).toEqual([
    'covered',
    'covered',
    'vented',
    'done',
    'done',
  ]);
  expect(['backup_old', 'phone_not_synced', 'traps_due', 'treatment_scored'].map(deedOf)).toEqual(
    Array(4).fill(undefined),
  );
  expect([goOf('evening_reading'), goOf('traps_due'), goOf('frost')]).toEqual([
    'evening',
    'traps',
    undefined,
  ]);
  expect([outcomeOf('frost'), outcomeOf('surge'), outcomeOf('backup_old')]).toEqual([
    'froze',
    'came',
    undefined,
  ]);
});

it('keeps numbers whole and shows the one to be read from afar', () => {
  expect(glued('about \u22120.1 °C (\u22126.7 to 6.4 °C), chance 52 %')).toBe(
    'about \u22120.1\u00a0°C (\u22126.7 to 6.4\u00a0°C), chance 52\u00a0%',
  );
  expect(figureOf({ numbers: { p: 0.517 } })).toEqual({ value: '52\u00a0%', words: 'chance' });
  expect(figureOf({ numbers: { p: 0.9999 } })?.value).toBe('99\u00a0%');
  expect(figureOf({ numbers: { times_usual: 3.25 } })?.value).toBe('3.3\u00a0×');
  expect(figureOf({ numbers: {} })).toBeUndefined();
});

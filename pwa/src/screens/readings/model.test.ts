import { describe, expect, it } from 'vitest';
import { creditWords } from './credit';
import {
  canSave,
  EMPTY_CARD,
  inUnit,
  lastResetAt,
  type PastReading,
  questionsOf,
  readingsOf,
  temperatureSet,
} from './model';

const c = (value: number) => ({ value, unit: 'degC' });
const yesterday: PastReading = {
  id: 'r1',
  station_id: 's1',
  observed_at: '2026-05-09T07:30:00+01:00',
  current: c(8),
  max: c(15),
  min: c(3),
  reset_done: true,
};
const card = (set: Partial<typeof EMPTY_CARD>) => ({ ...EMPTY_CARD, ...set });
const keys = (set: Partial<typeof EMPTY_CARD>, exposure = 'screen', last?: PastReading) =>
  questionsOf(card(set), 'degC', exposure, last).map((question) => question.key);

describe('gentle questions', () => {
  it('asks nothing about an ordinary morning', () => {
    expect(keys({ current: '8.5', max: '17', min: '4' }, 'screen', yesterday)).toEqual([]);
    expect(keys({}, 'screen', yesterday)).toEqual([]);
  });
  it.each([
    [{ max: '4', min: '12' }, 'min_above_max'],
    [{ current: '3', min: '6' }, 'min_above_current'],
    [{ current: '9', max: '5' }, 'max_below_current'],
    [{ current: '-41' }, 'range_air'],
  ] as const)('%o', (set, key) => expect(keys(set)).toContain(key));
  it('lets a cheap thermometer be half a degree out with itself', () => {
    expect(keys({ current: '5', min: '5.4', max: '4.6' })).toEqual(['min_above_max']);
    expect(keys({ current: '5', min: '5.4' })).toEqual([]);
  });
  it('knows soil and sun', () => {
    expect(keys({ current: '41' }, 'soil')).toEqual(['range_soil']);
    expect(keys({ max: '46' }, 'under_cover')).toEqual(['sun_on_sensor']);
    expect(keys({ max: '46' }, 'screen')).toEqual([]);
  });
  it('remembers what it showed when it was set back', () => {
    expect(keys({ max: '6' }, 'screen', yesterday)).toEqual(['max_below_reset']);
    expect(keys({ min: '10' }, 'screen', yesterday)).toEqual(['min_above_reset']);
    expect(keys({ max: '6' }, 'screen', { ...yesterday, reset_done: false })).toEqual([]);
    expect(keys({ current: '29' }, 'screen', yesterday)).toEqual(['jump']);
  });
  it('compares in one unit', () => {
    // 50 °F is 10 °C (definition of the scales): an ordinary reading, not a hot one.
    expect(questionsOf(card({ current: '50' }), 'degF', 'screen', yesterday)).toEqual([]);
    expect(inUnit(c(10), 'degF')).toBe(50);
  });
});

describe('what is written', () => {
  it('keeps values as typed, with their unit, unlikely or not', () => {
    const set = temperatureSet(card({ current: '-41.5', reset_done: true }), 'degC', 's1', 'T', 'Kit');
    expect(set).toEqual({
      station_id: 's1',
      observed_at: 'T',
      current: { value: -41.5, unit: 'degC' },
      reset_done: true,
      observer: 'Kit',
    });
  });
  it('saves any one number, but no half-typed one', () => {
    expect(canSave(card({ min: '-2' }))).toBe(true);
    expect(canSave(card({ min: '-' }))).toBe(false);
    expect(canSave(EMPTY_CARD)).toBe(false);
  });
});

describe('resets and credited days', () => {
  const older = { ...yesterday, id: 'r0', observed_at: '2026-05-06T07:30:00+01:00' };
  const unset = { ...yesterday, reset_done: false };
  it('finds the last reset before a moment', () => {
    expect(lastResetAt('s1', [older, unset], '2026-05-10T06:00:00Z')).toBe(older.observed_at);
    expect(lastResetAt('s1', [yesterday], yesterday.observed_at)).toBeUndefined();
    expect(readingsOf('s1', [older, yesterday]).map((r) => r.id)).toEqual(['r1', 'r0']);
  });

  // A morning reader's maximum goes to the day before, the minimum to the day (practice of climatological
  // observers, read at 09 UTC): 10 May 2026, 07:30 BST credits 9 and 10 May.
  const ask = {
    station_id: 's1',
    read_at: '2026-05-10T07:30:00+01:00',
    time_zone: 'Europe/London',
    has_max: true,
    has_min: true,
  };
  it('says both days of a morning reading', () => {
    const words = creditWords({ ...ask, habit: 'morning', past: [yesterday] });
    expect(words[0]).toMatch(/highest counts for Sat (9 May|May 9), the lowest for Sun (10 May|May 10)/);
  });
  it('says one day for an evening reader', () => {
    const evening = { ...ask, read_at: '2026-05-10T19:00:00+01:00' };
    expect(creditWords({ ...evening, habit: 'evening', past: [yesterday] })[0]).toMatch(
      /count for Sun (10 May|May 10)/,
    );
  });
  it('says when the values stand for several days', () => {
    expect(creditWords({ ...ask, habit: 'morning', past: [older] })).toHaveLength(1);
    expect(creditWords({ ...ask, habit: 'morning', past: [older] })[0]).toMatch(
      /Not set back since Wed (6 May|May 6)/,
    );
    expect(creditWords({ ...ask, habit: 'morning', past: [] }).join(' ')).toMatch(/No reset is recorded/);
  });
  it('says nothing where nothing was read', () => {
    expect(creditWords({ ...ask, has_max: false, has_min: false, habit: 'morning', past: [] })).toEqual([]);
  });
});

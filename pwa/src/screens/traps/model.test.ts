import { describe, expect, it } from 'vitest';
import { beetleDays, trapsDue } from './in_ground';
import {
  bedSummary,
  type Catch,
  EMPTY_LIFT,
  liftReady,
  liftSet,
  noneFound,
  tally,
  timingOf,
  trapsNow,
  validityOf,
} from './model';

const ZONE = 'Europe/London';
const NOW = new Date('2026-04-20T07:00:00Z');
const trap = (id: string) => ({ id, label: id });
const lift = (set: Partial<Catch>): Catch => ({
  id: 'c',
  station_id: 't1',
  set_at: '2026-04-01T08:00:00+01:00',
  observed_at: '2026-04-13T08:00:00+01:00',
  state: 'counted',
  wireworms: 2,
  soil: { value: 10, unit: 'degC' },
  ...set,
});

it('what is due: a bait trap after ten days, a beetle trap after a week or what its rule says', () => {
  const set = (station_id: string, days: number): Catch => ({
    id: `c${station_id}`,
    station_id,
    set_at: new Date(NOW.getTime() - days * 86_400_000).toISOString(),
  });
  const traps = [
    { ...trap('b1'), kind: 'bait_trap' },
    { ...trap('b2'), kind: 'bait_trap' },
    { ...trap('k1'), kind: 'beetle_trap' },
    { ...trap('k2'), kind: 'beetle_trap' },
  ];
  const catches = [set('b1', 8), set('b2', 16), set('k1', 8), set('k2', 20)];
  const due = (every: number) => trapsDue(traps, catches, NOW, ZONE, every);
  expect(due(beetleDays([]))).toEqual({ all: 4, in_ground: 4, due: 1, late: 1, to_read: 2, next_in_days: 2 });
  const fortnight = beetleDays([{ rule: 'traps_due', settings: { beetle_days: 9 } }]);
  expect(due(fortnight)).toMatchObject({ due: 1, late: 1, to_read: 1, next_in_days: 1 });
});

describe('traps in the ground', () => {
  const open = (id: string, set_at: string): Catch => ({ id: `c${id}`, station_id: id, set_at });
  it('sorts the longest first and says which are due', () => {
    const catches = [
      open('t1', '2026-04-15T08:00:00+01:00'),
      open('t2', '2026-04-08T08:00:00+01:00'),
      open('t3', '2026-04-01T08:00:00+01:00'),
    ];
    const { in_ground, idle } = trapsNow(['t1', 't2', 't3', 't4'].map(trap), catches, NOW, ZONE);
    expect(in_ground.map((item) => [item.trap.id, item.days, item.timing])).toEqual([
      ['t3', 19, 'late'],
      ['t2', 12, 'due'],
      ['t1', 5, 'early'],
    ]);
    expect(in_ground[0]?.catch_id).toBe('ct3');
    expect(idle.map((item) => item.id)).toEqual(['t4']);
  });
  it('a lift that re-baited goes on from its own moment; one that did not ends it', () => {
    const [again] = trapsNow([trap('t1')], [lift({ rebaited: true })], NOW, ZONE).in_ground;
    expect(again).toMatchObject({ days: 7, set_at: '2026-04-13T08:00:00+01:00' });
    expect(again?.catch_id).toBeUndefined();
    expect(trapsNow([trap('t1')], [lift({})], NOW, ZONE).idle).toHaveLength(1);
  });
  it('a trap that nobody lifted is still in the ground', () => {
    const catches = [open('t1', '2026-04-01T08:00:00+01:00'), lift({ id: 'x', state: 'not_turned' })];
    expect(trapsNow([trap('t1')], catches, NOW, ZONE).in_ground[0]?.days).toBe(19);
  });
});

// 10 to 14 days: FAS / SAC Consulting Scotland 2025, PHC2024/04. Soil above 8 °C: Furlan 2014.
describe('validity', () => {
  it.each([
    [9, 'early'],
    [10, 'due'],
    [14, 'due'],
    [15, 'late'],
  ] as const)('%i days: %s', (days, timing) => expect(timingOf(days)).toBe(timing));
  it.each([
    [{}, true, []],
    [{ observed_at: '2026-04-10T08:00:00+01:00' }, false, ['short']],
    [{ observed_at: '2026-04-16T08:00:00+01:00' }, false, ['long']],
    [{ soil: { value: 8, unit: 'degC' } }, false, ['cold']],
    [{ soil: { value: 46.4, unit: 'degF' } }, false, ['cold']],
    [{ soil: { value: 47, unit: 'degF' } }, true, []],
    [{ state: 'spoiled' }, false, ['spoiled']],
  ] as const)('%o', (set, valid, reasons) =>
    expect(validityOf(lift(set), ZONE)).toMatchObject({ valid, reasons }),
  );
  it('leaves an unknown soil open', () => {
    const { soil: _, ...bare } = lift({});
    expect(validityOf(bare, ZONE)).toMatchObject({ valid: undefined, reasons: ['no_soil'] });
  });
});

describe('what a bed says', () => {
  it('gives catch a trap with the exact Poisson interval', () => {
    // Garwood 1936: 7 in 6 traps is 1.1667 (0.4691 to 2.4038) a trap.
    const lifts = [3, 0, 2, 1, 1, 0].map((n, i) =>
      lift({ id: `${i}`, wireworms: n, state: n ? 'counted' : 'none_found' }),
    );
    const summary = bedSummary(lifts, ZONE);
    expect(summary).toMatchObject({ caught: 7, n_traps: 6 });
    expect(summary?.low).toBeCloseTo(0.4691, 4);
    expect(summary?.high).toBeCloseTo(2.4038, 4);
    expect(summary?.miss).toBeUndefined();
  });
  it('says for nothing found how often four such traps would have missed', () => {
    // (1 + m/k)^(-k n) with m = k = 0.5 and n = 4 is 2^-2.
    const lifts = [1, 2, 3, 4].map((n) => lift({ id: `${n}`, wireworms: 0, state: 'none_found' }));
    expect(bedSummary(lifts, ZONE)?.miss).toBeCloseTo(0.25, 12);
  });
  it('leaves out what is not valid or in dispute, and says so', () => {
    const lifts = [
      lift({ id: 'a' }),
      lift({ id: 'b', soil: { value: 5, unit: 'degC' } }),
      lift({ id: 'd', disputed: true }),
    ];
    const summary = bedSummary(lifts, ZONE);
    expect(summary).toMatchObject({ n_traps: 1, caught: 2, disputed: 1 });
    expect(summary?.left_out.map((item) => item.record.id)).toEqual(['b']);
  });
  it('says nothing of a bed where nothing was lifted, and no figure without a valid lift', () => {
    expect(bedSummary([], ZONE)).toBeUndefined();
    expect(bedSummary([lift({ state: 'not_turned' })], ZONE)).toBeUndefined();
    expect(bedSummary([lift({ state: 'spoiled' })], ZONE)).toMatchObject({ n_traps: 0, per_trap: null });
  });
});

describe('the lift form', () => {
  it('a find makes it counted, taking it back leaves it open', () => {
    const one = tally(EMPTY_LIFT, 'wireworms', 1);
    expect(one).toMatchObject({ wireworms: 1, state: 'counted' });
    expect(tally(one, 'wireworms', -1)).toMatchObject({ wireworms: 0, state: '' });
    expect(tally(noneFound(one), 'millipedes', 1)).toMatchObject({
      state: 'none_found',
      millipedes: 1,
      wireworms: 0,
    });
  });
  it('wants a state, and a soil temperature that is one', () => {
    expect(liftReady(EMPTY_LIFT)).toBe(false);
    expect(liftReady({ ...EMPTY_LIFT, state: 'none_found' })).toBe(true);
    expect(liftReady({ ...EMPTY_LIFT, state: 'none_found', soil: 'warm' })).toBe(false);
  });
  it('writes no creatures for a trap that was not searched', () => {
    const at = { station_id: 't1', set_at: 'S', observed_at: 'T', observer: 'Kit', unit: 'degC' as const };
    expect(liftSet({ ...EMPTY_LIFT, state: 'not_turned' }, at)).toEqual({
      station_id: 't1',
      set_at: 'S',
      observed_at: 'T',
      state: 'not_turned',
      rebaited: false,
      observer: 'Kit',
    });
    expect(liftSet({ ...EMPTY_LIFT, state: 'none_found', soil: '9,5' }, at)).toMatchObject({
      wireworms: 0,
      leatherjackets: 0,
      soil: { value: 9.5, unit: 'degC' },
    });
  });
});

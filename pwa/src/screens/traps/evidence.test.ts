import { describe, expect, it } from 'vitest';
import { bedEvidence, type Limits, ranked, type Sample, settled, speaksSince, weighBeds } from './evidence';
import type { Catch } from './model';

const ZONE = 'Europe/London';
/** The server's defaults (core/warnings/rules/wireworm.py). */
const LIMITS: Limits = { plant_per_trap: 0.5, do_not_per_trap: 1, do_not_per_ha: 60_000, clumping_k: 0.5 };
let serial = 0;
const lift = (wireworms: number, set: Partial<Catch> = {}): Catch => ({
  id: `c${++serial}`,
  station_id: 't1',
  set_at: '2026-04-01T08:00:00+01:00',
  observed_at: '2026-04-13T08:00:00+01:00',
  state: wireworms > 0 ? 'counted' : 'none_found',
  wireworms,
  soil: { value: 10, unit: 'degC' },
  ...set,
});
const lifts = (...counts: number[]) => counts.map((n) => lift(n));
const empty = (n: number) => Array.from({ length: n }, () => lift(0));
const cores = (found: number, set: Partial<Sample> = {}): Sample => ({
  id: `s${++serial}`,
  place_id: 'b',
  cores: 20,
  core_diameter_m: 0.1016,
  found,
  method: 'wash',
  observed_at: '2026-04-13T08:00:00+01:00',
  ...set,
});
const verdict = (records: Catch[], samples: Sample[] = []) =>
  bedEvidence(records, samples, LIMITS, ZONE).verdict;

// Reckoned by hand from the rules that core/warnings/bed_evidence.py writes down.
describe('the verdict on a bed', () => {
  it.each([
    ['nothing at all', [], undefined],
    ['eight empty traps: (1 + 1)^(-0.5 x 8) = 6 % missed', empty(8), 'wait'],
    ['nine empty traps: 4.4 % missed', empty(9), 'plant'],
    ['one in four traps', lifts(1, 0, 0, 0), 'earlies_only'],
    ['four in four traps', lifts(1, 1, 2, 0), 'do_not'],
    ['one in forty traps: at most 0.14 a trap', [lift(1), ...empty(39)], 'plant'],
  ] as const)('%s', (_, records, wanted) => expect(verdict([...records])).toBe(wanted));

  it('a find in a trap that does not count is a find all the same', () => {
    const cold = lift(2, { soil: { value: 5, unit: 'degC' } });
    const found = bedEvidence([cold, ...empty(9)], [], LIMITS, ZONE);
    expect(found).toMatchObject({ verdict: 'earlies_only', found_anyway: 2 });
    expect(found.traps).toMatchObject({ found: 0, n: 9 });
  });
  it('weighs soil cores beside traps, the worst of what was found first', () => {
    // 1 find in 20 washed cores of 4 in: 61,673 / 0.95 = 64,919 a hectare (geometry of cores).
    const found = bedEvidence(empty(9), [cores(1)], LIMITS, ZONE);
    expect(found.verdict).toBe('do_not');
    expect(found.cores[0]?.per_ha).toBeCloseTo(64_919, -1);
    expect(verdict(empty(9), [cores(0)])).toBe('plant');
    expect(verdict([], [cores(0)])).toBe('wait');
    // exp(-61673/1e4 x 0.16215 x 0.4) for 20 cores sorted by hand.
    const nil = bedEvidence([], [cores(0, { method: 'hand_sort' })], LIMITS, ZONE);
    expect(nil.cores[0]?.p_miss).toBeCloseTo(Math.exp(-0.4), 3);
  });
});

describe('enough traps, or how many more', () => {
  const state = (records: Catch[]) => settled(bedEvidence(records, [], LIMITS, ZONE).traps, LIMITS);
  it('nothing found: as many as make a miss unlikely (2^(-n/2) at most 1 in 20: 9)', () => {
    expect(settled(undefined, LIMITS)).toEqual({ state: 'more', n: 9, if_all: 'none' });
    expect(state(empty(6))).toEqual({ state: 'more', n: 3, if_all: 'none' });
    expect(state(empty(9))).toEqual({ state: 'enough', says: 'none' });
  });
  // Wald between 0.5 and 1 with k 0.5: slope 0.7047, upper and lower line 10.24 apart from it (Oakland 1950).
  it('some found: by the sequential test', () => {
    expect(state(lifts(9, 6, 4))).toEqual({ state: 'enough', says: 'many' });
    expect(state(lifts(4, 4))).toEqual({ state: 'more', n: 2, if_all: 'like_these' });
    expect(state([lift(1), ...empty(19)])).toEqual({ state: 'enough', says: 'few' });
    expect(state([lift(1), ...empty(7)])).toEqual({ state: 'more', n: 10, if_all: 'like_these' });
    expect(state(lifts(1, 0, 1, 1))).toEqual({ state: 'open' });
  });
});

describe('ranking', () => {
  const bed = (id: string, records: Catch[], samples: Sample[] = []) => ({
    id,
    label: id,
    evidence: bedEvidence(records, samples, LIMITS, ZONE),
  });
  it('goes by the upper limit, so that two empty traps stand behind eight', () => {
    const order = ranked([
      bed('cores', [], [cores(0)]),
      bed('two empty', empty(2)),
      bed('eight empty', empty(8)),
      bed('many', lifts(3, 4, 2)),
    ]);
    expect(order.map(({ id, rank }) => [id, rank])).toEqual([
      ['eight empty', 1],
      ['two empty', 2],
      ['many', 3],
      ['cores', undefined],
    ]);
  });
  it('takes this year and last, and every bed that has a trap or a core', () => {
    expect(speaksSince('2026-11-26')).toBe('2025-01-01');
    const old = lift(3, { set_at: '2024-04-01T08:00:00+01:00', observed_at: '2024-04-12T08:00:00+01:00' });
    const found = weighBeds(
      {
        catches: [old, lift(0), lift(1, { station_id: 't2' })],
        samples: [cores(0, { place_id: 'z' })],
        place_of: new Map([
          ['t1', 'a'],
          ['t2', 'b'],
        ]),
        labels: new Map([
          ['a', 'A'],
          ['b', 'B'],
          ['z', 'Z'],
        ]),
      },
      LIMITS,
      '2026-11-26',
      ZONE,
    );
    expect(found.map(({ label, evidence }) => [label, evidence.traps?.found])).toEqual([
      ['A', 0],
      ['B', 1],
      ['Z', undefined],
    ]);
  });
});

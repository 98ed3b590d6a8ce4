import { describe, expect, it } from 'vitest';
import { blankSheet, faultsOf, type Keyed, tallyOf } from './model';
import { type About, alreadyThere, earlierRounds, idsFor, itemsOf, setBefore } from './records';

const ROWS = [
  { id: 'b1', label: 'One' },
  { id: 'b2', label: 'Two' },
  { id: 'b3', label: 'Three' },
  { id: 'b4', label: 'Four' },
];
const AT = '2026-05-10T06:10:00+01:00';
const ZONE = 'Europe/London';

function sheet(cells: Record<string, string>, more: Partial<Keyed> = {}): Keyed {
  return { ...blankSheet('2026-05-10'), clock: '06:10', observer: ' Bo ', cells, ...more };
}

function about(more: Partial<About> = {}): About {
  return {
    kind: 'dawn',
    rows: ROWS,
    observed_at: AT,
    unit: 'degC',
    why: { dry: 'surface dry', disturbed: 'disturbed' },
    origin: 'From paper.',
    set: new Map(),
    ...more,
  };
}

const ids = (a: About): Record<string, string> => {
  let n = 0;
  return idsFor(a.rows, a.set, () => `id${++n}`);
};

describe('a round', () => {
  const cells = { 'b1/count': '7', 'b1/eggs': '2', 'b2/count': 'n', 'b3/count': 'x' };

  it('is written as a phone writes it: four states, an empty row is no record', () => {
    const a = about();
    const [round, ...counts] = itemsOf(sheet(cells, { surface: 'damp', night_low: '4,5' }), a, ids(a));
    expect(round).toMatchObject({
      type: 'round',
      id: 'id1',
      set: { kind: 'dawn', observed_at: AT, finished_at: AT, observer: 'Bo', surface: 'damp', valid: true },
    });
    expect(round?.set.night_low).toEqual({ value: 4.5, unit: 'degC' });
    expect(counts.map(({ set }) => [set.station_id, set.state, set.count, set.egg_clusters])).toEqual([
      ['b1', 'counted', 7, 2],
      ['b2', 'none_found', 0, undefined],
      ['b3', 'not_turned', undefined, undefined],
    ]);
    expect(counts.every(({ set }) => set.round_id === 'id1' && set.observed_at === AT)).toBe(true);
  });

  it('on dry or disturbed ground is kept and does not count in means', () => {
    const a = about();
    const [dry] = itemsOf(sheet(cells, { surface: 'dry' }), a, ids(a));
    expect(dry?.set).toMatchObject({ valid: false, not_valid_reason: 'surface dry' });
  });

  it('put beside another person’s counts leaves that round as it is and makes records of its own', () => {
    const a = about({ join: 'r9' });
    const items = itemsOf(sheet(cells), a, ids(a));
    expect(items.map(({ type }) => type)).toEqual(['slug_count', 'slug_count', 'slug_count']);
    expect(items.every(({ set }) => set.round_id === 'r9')).toBe(true);
    expect(items.map(({ id }) => id)).toEqual(['id2', 'id3', 'id4']);
  });

  it('keyed in twice under the same ids is the same records', () => {
    const a = about();
    const made = ids(a);
    expect(itemsOf(sheet(cells), a, made)).toEqual(itemsOf(sheet(cells), a, made));
  });
});

describe('what is there already', () => {
  const rounds = [
    { id: 'r1', body: { kind: 'dawn', observed_at: '2026-05-10T05:50:00+01:00' } },
    { id: 'r2', body: { kind: 'dawn', observed_at: '2026-05-09T05:50:00+01:00' } },
    { id: 'r3', body: { kind: 'trap', observed_at: AT } },
  ];
  const count = (round_id: string, station_id: string, state: string, n?: number, observer = 'Ada') => ({
    body: { round_id, station_id, state, observer, ...(n === undefined ? {} : { count: n }) },
  });

  it('is a round of the same day, with who counted and how much agrees', () => {
    const counts = [
      count('r1', 'b1', 'counted', 7),
      count('r1', 'b2', 'counted', 3),
      count('r2', 'b1', 'counted', 7),
    ];
    const keyed = sheet({ 'b1/count': '7', 'b2/count': 'n', 'b3/count': '1' });
    expect(earlierRounds(keyed, ROWS, rounds, counts, ZONE)).toEqual([
      {
        round_id: 'r1',
        observed_at: '2026-05-10T05:50:00+01:00',
        observers: ['Ada'],
        n_shared: 2,
        n_same: 1,
      },
    ]);
  });

  it('tells none from not turned', () => {
    const counts = [count('r1', 'b1', 'none_found', 0), count('r1', 'b2', 'not_turned')];
    const twice = earlierRounds(sheet({ 'b1/count': 'n', 'b2/count': 'x' }), ROWS, rounds, counts, ZONE);
    expect(twice[0]).toMatchObject({ n_shared: 2, n_same: 2 });
    const other = earlierRounds(sheet({ 'b1/count': 'x', 'b2/count': 'n' }), ROWS, rounds, counts, ZONE);
    expect(other[0]).toMatchObject({ n_shared: 2, n_same: 0 });
  });

  it('is a trap lifted that day, or a reading of within two hours', () => {
    const records = [
      { station_id: 'b1', observed_at: '2026-05-10T20:00:00+01:00' },
      { station_id: 'b2', observed_at: '2026-05-10T07:30:00+01:00' },
    ];
    const traps = sheet({ 'b1/count': '1', 'b3/count': '1' });
    expect(alreadyThere(traps, 'trap', ROWS, records, AT, ZONE)).toEqual(['One']);
    const meters = sheet({ 'b1/current': '1', 'b2/current': '1', 'b3/current': '2' });
    expect(alreadyThere(meters, 'readings', ROWS, records, AT, ZONE)).toEqual(['Two']);
  });
});

describe('traps and thermometers', () => {
  const catches = [
    { id: 'c1', station_id: 'b1', set_at: '2026-04-28T08:00:00+01:00' },
    { id: 'c2', station_id: 'b2', set_at: '2026-05-11T08:00:00+01:00' },
  ];

  it('a lift completes the record of the trap that lay in the ground on that day', () => {
    const set = setBefore(ROWS, catches, AT, ZONE);
    expect([...set]).toEqual([['b1', { set_at: '2026-04-28T08:00:00+01:00', catch_id: 'c1' }]]);
    const a = about({ kind: 'trap', set });
    const keyed = sheet({
      'b1/count': '2',
      'b1/millipedes': '3',
      'b1/rebaited': 'y',
      'b1/soil': '9.5',
      'b2/count': 'x',
    });
    const [first, second] = itemsOf(keyed, a, ids(a));
    expect(first).toMatchObject({ type: 'trap_catch', id: 'c1' });
    expect(first?.set).toMatchObject({
      state: 'counted',
      wireworms: 2,
      millipedes: 3,
      leatherjackets: 0,
      rebaited: true,
      soil: { value: 9.5, unit: 'degC' },
    });
    expect(second?.set).toMatchObject({ station_id: 'b2', state: 'not_turned', rebaited: false });
    expect(second?.set).not.toHaveProperty('wireworms');
  });

  it('the number of a beetle trap is one of beetles', () => {
    const a = about({ kind: 'trap', rows: [{ id: 'b1', beetles: true }, { id: 'b2' }] });
    const [first, second] = itemsOf(sheet({ 'b1/count': '7', 'b2/count': 'n' }), a, ids(a));
    expect(first?.set).toMatchObject({ state: 'counted', beetles: 7 });
    expect(first?.set).not.toHaveProperty('wireworms');
    expect(second?.set).toMatchObject({ state: 'none_found', wireworms: 0 });
    expect(second?.set).not.toHaveProperty('beetles');
    const said = tallyOf(sheet({ 'b1/count': '7', 'b2/count': '2' }), 'trap', a.rows);
    expect(said).toMatchObject({ total: 9, n_numbers: 2, beetles: { total: 7, n: 1 } });
  });

  it('a reading keeps what was written and nothing else', () => {
    const a = about({ kind: 'readings', unit: 'degF' });
    const [only] = itemsOf(sheet({ 'b1/min': '-3.5', 'b1/reset_done': 'y' }), a, ids(a));
    expect(only?.type).toBe('temperature');
    expect(only?.set).toMatchObject({ min: { value: -3.5, unit: 'degF' }, reset_done: true });
    expect(only?.set).not.toHaveProperty('current');
  });
});

describe('what is still wrong', () => {
  const now = { day: '2026-05-10', clock: '09:00' };
  const good = sheet({ 'b1/count': '7' });

  it('is nothing on a sheet that can be saved', () => {
    expect(faultsOf(good, 'dawn', ROWS, now)).toEqual([]);
  });

  it('is named, first things first', () => {
    expect(faultsOf({ ...good, day: '', clock: '' }, 'dawn', ROWS, now)).toEqual(['day', 'clock']);
    expect(faultsOf({ ...good, clock: '09:01' }, 'dawn', ROWS, now)).toEqual(['future']);
    expect(faultsOf({ ...good, observer: ' ' }, 'dawn', ROWS, now)).toEqual(['observer']);
    expect(faultsOf({ ...good, cells: {} }, 'dawn', ROWS, now)).toEqual(['empty']);
    expect(faultsOf({ ...good, cells: { 'b1/eggs': '1' } }, 'dawn', ROWS, now)).toEqual(['half']);
    expect(faultsOf({ ...good, sum: 'x' }, 'dawn', ROWS, now)).toEqual(['sum']);
    expect(faultsOf(sheet({ 'b1/current': '-' }), 'readings', ROWS, now)).toEqual(['degrees']);
  });
});

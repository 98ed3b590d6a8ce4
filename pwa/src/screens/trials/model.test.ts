import { describe, expect, it } from 'vitest';
import { answerOf } from './answer';
import {
  type Board,
  countedIn,
  dueOf,
  type RoundLike,
  standingOf,
  type Trial,
  treatedOn,
  unitsOf,
  windowsOf,
} from './model';

const ZONE = 'Europe/London';
const TRIAL: Trial = {
  id: 't',
  kind: 'nematodes',
  treated_ids: ['p1'],
  control_ids: ['p2'],
  ...windowsOf('nematodes', '2026-05-06', { before: 4, after: 6 }),
};
const PLACES = ['p1', 'p2', 'p3', 'p4'].map((id) => ({ id, label: id.toUpperCase() }));
const BOARDS: Board[] = PLACES.flatMap(({ id }) =>
  [1, 2].map((n) => ({ id: `${id}b${n}`, label: `${id} ${n}`, place_id: id })),
);
const round = (id: string, day: string, set: Partial<RoundLike> = {}): RoundLike => ({
  id,
  observed_at: `${day}T06:00:00+01:00`,
  kind: 'dawn',
  ...set,
});
const count = (round_id: string, station_id: string, n: number) => ({
  round_id,
  station_id,
  state: n > 0 ? 'counted' : 'none_found',
  count: n,
});

describe('days of a trial', () => {
  it('a drench is judged from day 7 to 42, whatever was wished', () => {
    expect(TRIAL).toMatchObject({
      before_from: '2026-04-08',
      before_to: '2026-05-06',
      after_from: '2026-05-13',
      after_to: '2026-06-17',
    });
    expect(windowsOf('nematodes', '2026-05-06', { before: 4, after: 12 }).after_to).toBe('2026-06-17');
    expect(windowsOf('mulch', '2026-05-06', { before: 2, after: 8 })).toMatchObject({
      after_from: '2026-05-07',
      after_to: '2026-07-01',
    });
  });
  it.each([
    ['2026-04-01', 'planned'],
    ['2026-04-08', 'before'],
    ['2026-05-06', 'treat'],
    ['2026-05-16', 'treat'],
    ['2026-05-17', 'after'],
    ['2026-06-17', 'after'],
    ['2026-06-18', 'over'],
  ])('%s: %s', (today, phase) => expect(standingOf(TRIAL, today).phase).toBe(phase));
  it('waits after the treatment is written down, and moves along when it came later', () => {
    const done = { ...TRIAL, ...treatedOn(TRIAL, '2026-05-09'), treatment_ids: ['x'] };
    expect(done).toMatchObject({
      treat_on: '2026-05-09',
      before_from: '2026-04-08',
      before_to: '2026-05-09',
      after_from: '2026-05-16',
      after_to: '2026-06-20',
    });
    expect(standingOf(done, '2026-05-12')).toMatchObject({ phase: 'wait', day: 3 });
  });
  it('asks for a round when the last is three days old, for the treatment, and to be read at its end', () => {
    const row = (day: string, when: 'before' | 'after') => ({
      round_id: day,
      day,
      when,
      treated: { total: 0, n: 1 },
      control: { total: 0, n: 1 },
    });
    const done = { ...TRIAL, treatment_ids: ['x'] };
    expect(dueOf(TRIAL, [], '2026-04-10')).toBe('count_before');
    expect(dueOf(TRIAL, [row('2026-04-09', 'before')], '2026-04-10')).toBeUndefined();
    expect(dueOf(TRIAL, [], '2026-05-06')).toBe('treat');
    expect(dueOf(done, [], '2026-05-08')).toBeUndefined();
    expect(dueOf(done, [row('2026-05-14', 'after')], '2026-05-17')).toBe('count_after');
    expect(dueOf(done, [], '2026-06-20')).toBe('read');
    expect(dueOf(done, [], '2026-07-20')).toBeUndefined();
  });
});

describe('what was counted', () => {
  const units = unitsOf(TRIAL, PLACES, BOARDS);
  const counts = [
    count('r1', 'p1b1', 8),
    count('r1', 'p1b2', 4),
    count('r1', 'p2b1', 9),
    count('r2', 'p1b1', 3),
    count('r2', 'p2b1', 7),
    count('r2', 'p2b2', 5),
    count('r2', 'p3b1', 50),
    count('r3', 'p1b1', 99),
    count('r4', 'p1b1', 99),
    { round_id: 'r2', station_id: 'p1b2', state: 'not_turned' },
  ];
  const rounds = [
    round('r1', '2026-05-01'),
    round('r2', '2026-05-20'),
    round('r3', '2026-05-09'), // neither before nor after
    round('r4', '2026-05-21', { valid: false }),
  ];
  it('takes valid rounds of both windows and the boards that were turned', () => {
    const found = countedIn(TRIAL, units, rounds, counts, ZONE);
    expect(found.rows).toEqual([
      {
        round_id: 'r1',
        day: '2026-05-01',
        when: 'before',
        treated: { total: 12, n: 2 },
        control: { total: 9, n: 1 },
      },
      {
        round_id: 'r2',
        day: '2026-05-20',
        when: 'after',
        treated: { total: 3, n: 1 },
        control: { total: 12, n: 2 },
      },
    ]);
    expect(found.n_left_out).toBe(1);
  });
  it('leaves out a board that two people counted differently', () => {
    const twice = [...counts, { ...count('r2', 'p1b1', 6), observer: 'Cy' }];
    expect(countedIn(TRIAL, units, rounds, twice, ZONE).rows[1]?.treated).toEqual({ total: 0, n: 0 });
  });
});

describe('the answer', () => {
  /** Six boards a side, 10 each before; 3 each after where treated, 10 where not: 70 % fewer. */
  const ids = (side: string) => Array.from({ length: 6 }, (_, i) => `${side}${i}`);
  const boards: Board[] = [...ids('t'), ...ids('c')].map((id) => ({ id, label: id, place_id: `bed ${id}` }));
  const trial: Trial = { ...TRIAL, treated_ids: ids('t'), control_ids: ids('c') };
  const units = unitsOf(trial, [], boards);
  const rounds = [round('b', '2026-05-01'), round('a', '2026-05-20')];
  const counts = (left: number) => [
    ...boards.map(({ id }) => count('b', id, 10)),
    ...boards.map(({ id }) => count('a', id, id.startsWith('t') ? left : 10)),
  ];
  it('70 % fewer: t(0.975, 10) = 2.2281, se = sqrt(1/18 + 1/60 + 1/60 + 1/60) = 0.3249', () => {
    const answer = answerOf(trial, countedIn(trial, units, rounds, counts(3), ZONE));
    expect(answer?.effect.percent).toBeCloseTo(70, 9);
    expect(answer?.effect.low).toBeCloseTo(100 - 30 * Math.exp(2.2281 * 0.3249), 1);
    expect(answer).toMatchObject({ verdict: 'worked', by: 'board', n_treated: 6, n_control: 6 });
  });
  it('nothing changed: no evidence', () => {
    const answer = answerOf(trial, countedIn(trial, units, rounds, counts(10), ZONE));
    expect(answer?.verdict).toBe('no_evidence');
  });
  it('one bed a side proves nothing, however few are left', () => {
    const pair = unitsOf(TRIAL, PLACES, BOARDS);
    const few = [
      count('b', 'p1b1', 60),
      count('b', 'p2b1', 60),
      count('a', 'p1b1', 4),
      count('a', 'p2b1', 60),
    ];
    const answer = answerOf(TRIAL, countedIn(TRIAL, pair, rounds, few, ZONE));
    expect(answer?.effect.percent).toBeGreaterThan(90);
    expect(answer).toMatchObject({ verdict: 'no_evidence', by: 'place' });
  });
  it('has none before both windows have a count on both sides', () => {
    expect(answerOf(trial, countedIn(trial, units, rounds.slice(0, 1), counts(3), ZONE))).toBeUndefined();
  });
});

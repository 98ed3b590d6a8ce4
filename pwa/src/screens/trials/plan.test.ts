import { describe, expect, it } from 'vitest';
import type { Board } from './model';
import { drawOf, emptyPlan, type PlanDraft, pastOf, planFaults, powerOf, seedOf, trialSet } from './plan';

const ZONE = 'Europe/London';
const TODAY = '2026-04-20';
const BOARDS: Board[] = ['p1', 'p2', 'p3', 'p4'].flatMap((place_id) =>
  [1, 2, 3].map((n) => ({ id: `${place_id}b${n}`, label: `${place_id} ${n}`, place_id })),
);
const NOTHING = pastOf([], [], BOARDS, TODAY, ZONE);
const DRAFT: PlanDraft = {
  ...emptyPlan(TODAY, 42, 2),
  name: ' Drench in May ',
  unit_ids: ['p1', 'p2', 'p3', 'p4'],
  treat_on: '2026-05-06',
};

describe('planning a trial', () => {
  it('wants a name, two units, a day and a seed', () => {
    expect(planFaults(DRAFT)).toEqual([]);
    expect(planFaults({ ...DRAFT, name: ' ', unit_ids: ['p1'], treat_on: '', seed: '9999999999' })).toEqual([
      'name',
      'units',
      'day',
      'seed',
    ]);
    expect([seedOf('4294967295'), seedOf('4294967296'), seedOf('-1'), seedOf('')]).toEqual([
      4294967295,
      undefined,
      undefined,
      undefined,
    ]);
  });

  it('keeps what the draw began with, so that it can be drawn again', () => {
    const draw = drawOf(DRAFT, NOTHING);
    expect(trialSet(DRAFT, draw)).toEqual({
      name: 'Drench in May',
      treated_ids: draw.treated,
      control_ids: draw.control,
      blocks: draw.blocks,
      before_from: '2026-04-08',
      before_to: '2026-05-06',
      treat_on: '2026-05-06',
      after_from: '2026-05-13',
      after_to: '2026-06-17',
      kind: 'nematodes',
      allocation: 'blocked',
      seed: 42,
      percent_fewer: 50,
    });
    expect(drawOf({ ...DRAFT, unit_ids: [...DRAFT.unit_ids].reverse() }, NOTHING)).toEqual(draw);
  });

  it('says with which chance it shows the effect: 6 boards a side, 10 rounds in 5 weeks', () => {
    const power = powerOf(DRAFT, drawOf(DRAFT, NOTHING), BOARDS, NOTHING);
    expect(power).toMatchObject({ own: false, mean: 2, k: 0.8, n_boards: 6, n_rounds: 10 });
    // Normal law, log ratio ln 2: se² = (1/1 + 1/2 + 2/0.8)/60, and ((1/1 + 1/2)/10 + 2/0.8)/6 (scipy 1.17.1, norm).
    expect(power?.high).toBeCloseTo(0.7656, 3);
    expect(power?.low).toBeCloseTo(0.1809, 3);
    expect(power?.verdict).toBe('fair');
    expect(
      powerOf(
        { ...DRAFT, unit_ids: ['p1'] },
        drawOf({ ...DRAFT, unit_ids: ['p1'] }, NOTHING),
        BOARDS,
        NOTHING,
      ),
    ).toBeUndefined();
  });

  it('learns mean, clumping, usual level and rhythm from the plot’s own last weeks', () => {
    const rounds = ['2026-04-01', '2026-04-05', '2026-04-12', '2026-01-01'].map((day, i) => ({
      id: `r${i}`,
      observed_at: `${day}T06:00:00+01:00`,
    }));
    const counts = rounds.flatMap(({ id }) =>
      BOARDS.map((board, i) => ({
        round_id: id,
        station_id: board.id,
        state: 'counted',
        count: id === 'r3' ? 99 : i,
      })),
    );
    const past = pastOf(rounds, counts, BOARDS, TODAY, ZONE);
    expect(past.usual.get('p1')).toBe(1);
    expect(past.usual.get('p4b3')).toBe(11);
    expect(past.of_board.get('p4b3')).toEqual([11, 11, 11]);
    expect(past.rounds_a_week).toBe(1);
    const power = powerOf(DRAFT, drawOf(DRAFT, past), BOARDS, past);
    expect(power).toMatchObject({ own: true, mean: 5.5 });
  });
});

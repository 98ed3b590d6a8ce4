import { describe, expect, it } from 'vitest';
import type { Trap } from './model';
import { planSet, type SetDraft, setFaults, setItems } from './set_plan';

const DRAFT: SetDraft = {
  place_id: 'b',
  n: 4,
  where: 'along the hedge',
  bait: 'soaked wheat',
  depth_cm: '12',
  day: '2026-04-02',
  clock: '08:30',
};
const trap = (id: string, label: string): Trap => ({ id, label, place_id: 'b' });
/** A bed of 6 by 1.5 m, lying across the page. */
const OUTLINE = [
  [1, 1],
  [7, 1],
  [7, 2.5],
  [1, 2.5],
] as const;

describe('a set of traps', () => {
  it('uses the idle ones again, numbers the new ones on and spreads them along the bed', () => {
    const plan = planSet(4, [trap('t3', 'Trap 3')], [{ label: 'Trap 3' }, { label: 'Trap 8' }], OUTLINE);
    expect(plan.again.map(({ id }) => id)).toEqual(['t3']);
    expect(plan.fresh).toEqual([
      { number: 9, x_m: 3.3, y_m: 1.8 },
      { number: 10, x_m: 4.8, y_m: 1.8 },
      { number: 11, x_m: 6.3, y_m: 1.8 },
    ]);
    expect(planSet(1, [trap('t3', 'Trap 3'), trap('t4', 'Trap 4')], [], OUTLINE)).toMatchObject({
      again: [{ id: 't3' }],
      fresh: [],
    });
    expect(planSet(2, [], [], undefined).fresh).toEqual([{ number: 1 }, { number: 2 }]);
  });

  it('writes traps and open catches with the moment of the plot', () => {
    const plan = planSet(2, [trap('t3', 'Trap 3')], [{ label: 'Trap 3' }], OUTLINE);
    let id = 0;
    const items = setItems(DRAFT, plan, {
      time_zone: 'Europe/London',
      observer: 'Kit',
      walk_order: 7,
      label: (number) => `Trap ${number}`,
      new_id: () => `n${++id}`,
    });
    expect(items).toEqual([
      {
        type: 'station',
        id: 'n1',
        set: {
          kind: 'bait_trap',
          place_id: 'b',
          label: 'Trap 4',
          walk_order: 7,
          set_on: '2026-04-02',
          x_m: 5.5,
          y_m: 1.8,
          bait: 'soaked wheat',
          depth_m: 0.12,
          note: 'along the hedge',
        },
      },
      { type: 'station', id: 't3', set: { bait: 'soaked wheat', depth_m: 0.12, note: 'along the hedge' } },
      {
        type: 'trap_catch',
        id: 'n2',
        set: { station_id: 't3', set_at: '2026-04-02T08:30:00+01:00', observer: 'Kit' },
      },
      {
        type: 'trap_catch',
        id: 'n3',
        set: { station_id: 'n1', set_at: '2026-04-02T08:30:00+01:00', observer: 'Kit' },
      },
    ]);
  });

  it('refuses a set without a bed, in the future, or at no depth at all', () => {
    expect(setFaults(DRAFT, '2026-04-02')).toEqual([]);
    expect(setFaults({ ...DRAFT, place_id: '', depth_cm: 'deep', day: '2026-04-03' }, '2026-04-02')).toEqual([
      'place',
      'depth',
      'day',
    ]);
  });
});

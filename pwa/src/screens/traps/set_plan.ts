/** Setting a whole set of traps in one bed: which are used again, which are new, where they go. Pure. */
import { momentAt } from '../forms/local_time';
import { numberOf } from '../forms/typed_number';
import type { Trap } from './model';

export interface SetDraft {
  place_id: string;
  /** How many go in. */
  n: number;
  where: string;
  bait: string;
  depth_cm: string;
  day: string;
  clock: string;
}

export const MOST_AT_ONCE = 30;
/** Bait 10 to 15 cm deep in unplanted soil; the shallow end. Common practice, no source. */
export const USUAL_DEPTH_CM = 10;
const GRID = 10;

export type SetFault = 'place' | 'depth' | 'day';

export function setFaults(draft: SetDraft, today: string): SetFault[] {
  const faults: SetFault[] = [];
  const depth = numberOf(draft.depth_cm);
  if (draft.place_id === '') faults.push('place');
  if (draft.depth_cm.trim() !== '' && (depth === undefined || depth < 0 || depth > 100)) faults.push('depth');
  if (draft.day > today) faults.push('day');
  return faults;
}

export interface NewTrap {
  number: number;
  x_m?: number;
  y_m?: number;
}
export interface SetPlan {
  again: Trap[];
  fresh: NewTrap[];
}

type Corner = readonly [number, number];

/** Idle traps of the bed first, in walking order; what is missing is new, numbered on and spread along the bed. */
export function planSet(
  n: number,
  idle: readonly Trap[],
  all: readonly { label?: string }[],
  outline: readonly Corner[] | undefined,
): SetPlan {
  const again = idle.slice(0, n);
  const missing = Math.max(0, n - again.length);
  const last = Math.max(0, ...all.map(({ label }) => Number(/(\d+)\s*$/.exec(label ?? '')?.[1] ?? 0)));
  const spots = missing > 0 ? spread(outline, n).slice(again.length) : [];
  return {
    again,
    fresh: Array.from({ length: missing }, (_, i) => ({ number: last + i + 1, ...spots[i] })),
  };
}

/** Spots at even distances on the long middle line of a four-cornered bed; none where it has no such outline. */
function spread(outline: readonly Corner[] | undefined, n: number): { x_m: number; y_m: number }[] {
  const [a, b, c, d] = outline ?? [];
  if (!a || !b || !c || !d || outline?.length !== 4) return [];
  const long = Math.hypot(b[0] - a[0], b[1] - a[1]) >= Math.hypot(c[0] - b[0], c[1] - b[1]);
  const middle = (p: Corner, q: Corner): Corner => [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2];
  const [from, to] = long ? [middle(d, a), middle(b, c)] : [middle(a, b), middle(c, d)];
  const round = (metres: number) => Math.round(metres * GRID) / GRID;
  return Array.from({ length: n }, (_, i) => {
    const share = (i + 0.5) / n;
    return {
      x_m: round(from[0] + share * (to[0] - from[0])),
      y_m: round(from[1] + share * (to[1] - from[1])),
    };
  });
}

export interface SetItem {
  type: 'station' | 'trap_catch';
  id: string;
  set: Record<string, unknown>;
}

/** The records of a set, to be kept all together. */
export function setItems(
  draft: SetDraft,
  plan: SetPlan,
  at: {
    time_zone: string;
    observer: string;
    walk_order: number;
    label: (number: number) => string;
    new_id: () => string;
  },
): SetItem[] {
  const setAt = momentAt(draft.day, draft.clock, at.time_zone);
  const depth = numberOf(draft.depth_cm);
  const bait = draft.bait.trim();
  const where = draft.where.trim();
  const said = {
    ...(bait ? { bait } : {}),
    ...(depth === undefined ? {} : { depth_m: depth / 100 }),
    ...(where ? { note: where } : {}),
  };
  const fresh = plan.fresh.map(({ number, ...spot }, i) => ({
    type: 'station' as const,
    id: at.new_id(),
    set: {
      kind: 'bait_trap',
      place_id: draft.place_id,
      label: at.label(number),
      walk_order: at.walk_order + i,
      set_on: draft.day,
      ...spot,
      ...said,
    },
  }));
  const changed = plan.again.flatMap((trap) => {
    const set = Object.fromEntries(
      Object.entries(said).filter(
        ([name, value]) => (trap as unknown as Record<string, unknown>)[name] !== value,
      ),
    );
    return Object.keys(set).length > 0 ? [{ type: 'station' as const, id: trap.id, set }] : [];
  });
  const opened = [...plan.again.map(({ id }) => id), ...fresh.map(({ id }) => id)].map((station_id) => ({
    type: 'trap_catch' as const,
    id: at.new_id(),
    set: { station_id, set_at: setAt, observer: at.observer },
  }));
  return [...fresh, ...changed, ...opened];
}

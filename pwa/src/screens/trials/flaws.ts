/** What speaks against a trial, before it begins and while it runs. Pure. */
import { daysBetween } from '../forms/local_time';
import { type Counted, DRENCH_DAYS, isDrench, type Place, type Trial, type Unit } from './model';

export type FlawKind =
  | 'no_control'
  | 'no_treated'
  | 'no_boards'
  | 'no_before'
  | 'before_late'
  | 'window_early'
  | 'window_late'
  | 'one_pair'
  | 'few_boards'
  | 'near'
  | 'mixed'
  | 'chosen';
export interface Flaw {
  kind: FlawKind;
  fill: Record<string, string | number>;
}

/** With fewer boards a side the reckoning of what a trial can show is too hopeful (trial-power). */
export const FEWEST_BOARDS = 6;
/** Slugs cross such a gap in a night: common practice, no source. */
export const NEAR_M = 2;

export interface OtherTreatment {
  id: string;
  kind: string;
  day: string;
  place_ids: readonly string[];
}

export function flawsOf(
  trial: Trial,
  units: readonly Unit[],
  known: {
    places: readonly Place[];
    treatments: readonly OtherTreatment[];
    /** Left out while the trial is still being planned. */
    counted?: Counted;
    today: string;
  },
): Flaw[] {
  const side = (which: Unit['side']) => units.filter((unit) => unit.side === which);
  const [treated, control] = [side('treated'), side('control')];
  const flaws: Flaw[] = [];
  const add = (kind: FlawKind, fill: Flaw['fill'] = {}) => flaws.push({ kind, fill });
  if (treated.length === 0) add('no_treated');
  if (control.length === 0) add('no_control');
  const bare = units.filter(({ boards }) => boards.length === 0);
  if (bare.length > 0) add('no_boards', { labels: bare.map(({ label }) => label).join(', ') });
  flaws.push(...windowFlaws(trial, known));
  if (treated.length > 0 && control.length > 0) {
    flaws.push(...sizeFlaws(treated, control));
    const near = nearest(treated, control, known.places);
    if (near && near.metres < NEAR_M) {
      add('near', { treated: near.treated, control: near.control, m: Math.round(near.metres * 10) / 10 });
    }
    if (trial.allocation === 'chosen' || trial.allocation === undefined) add('chosen');
  }
  const mixed = mixedIn(trial, units, known.treatments);
  if (mixed.length > 0) add('mixed', { n: mixed.length, day: mixed[0]?.day ?? '' });
  return flaws;
}

function windowFlaws(trial: Trial, { counted, today }: { counted?: Counted; today: string }): Flaw[] {
  const flaws: Flaw[] = [];
  const { treat_on: treatOn, before_from, before_to, after_from, after_to } = trial;
  const over = before_to !== undefined && today > before_to;
  const noneCounted = counted !== undefined && over && !counted.rows.some(({ when }) => when === 'before');
  const noWindow = !before_from || !before_to || before_from >= before_to;
  if (noWindow || noneCounted) flaws.push({ kind: 'no_before', fill: {} });
  if (treatOn && before_to && before_to > treatOn) flaws.push({ kind: 'before_late', fill: {} });
  if (treatOn && isDrench(trial.kind) && after_from && after_to) {
    const [first, last] = [daysBetween(treatOn, after_from), daysBetween(treatOn, after_to)];
    if (first < DRENCH_DAYS.from) flaws.push({ kind: 'window_early', fill: { day: first } });
    if (last > DRENCH_DAYS.to) flaws.push({ kind: 'window_late', fill: { day: last } });
  }
  return flaws;
}

function sizeFlaws(treated: readonly Unit[], control: readonly Unit[]): Flaw[] {
  const flaws: Flaw[] = [];
  const beds = (units: readonly Unit[]) =>
    new Set(
      units.flatMap(({ boards, kind, id }) => (kind === 'place' ? [id] : boards.map((b) => b.place_id))),
    ).size;
  const whole = treated.every(({ kind }) => kind === 'place');
  if (whole && beds(treated) === 1 && beds(control) === 1) flaws.push({ kind: 'one_pair', fill: {} });
  const n = Math.min(...[treated, control].map((units) => units.flatMap(({ boards }) => boards).length));
  if (n < FEWEST_BOARDS) flaws.push({ kind: 'few_boards', fill: { n } });
  return flaws;
}

/** Other things done to treated or untreated places in the weeks that are compared. */
function mixedIn(
  trial: Trial,
  units: readonly Unit[],
  treatments: readonly OtherTreatment[],
): OtherTreatment[] {
  const places = new Set(
    units.flatMap(({ id, kind, boards }) =>
      kind === 'place' ? [id] : boards.map(({ place_id }) => place_id),
    ),
  );
  const from = trial.before_from ?? trial.treat_on ?? '';
  return treatments.filter(
    ({ id, day, place_ids }) =>
      !trial.treatment_ids?.includes(id) &&
      day >= from &&
      day <= (trial.after_to ?? '') &&
      place_ids.some((place) => places.has(place)),
  );
}

type Point = readonly [number, number];

/** The treated and the untreated unit that lie closest, metres between their edges; none where nobody drew them. */
export function nearest(
  treated: readonly Unit[],
  control: readonly Unit[],
  places: readonly Place[],
): { treated: string; control: string; metres: number } | undefined {
  let found: { treated: string; control: string; metres: number } | undefined;
  for (const one of treated) {
    for (const other of control) {
      const metres = apart(shapeOf(one, places), shapeOf(other, places));
      if (metres !== undefined && metres < (found?.metres ?? Infinity)) {
        found = { treated: one.label, control: other.label, metres };
      }
    }
  }
  return found;
}

function shapeOf(unit: Unit, places: readonly Place[]): readonly Point[] {
  if (unit.kind === 'place') return places.find(({ id }) => id === unit.id)?.outline ?? [];
  return unit.boards.flatMap(({ x_m, y_m }) =>
    x_m === undefined || y_m === undefined ? [] : [[x_m, y_m] as const],
  );
}

/** Distance between two outlines that do not overlap: some corner of one is closest to some side of the other. */
function apart(a: readonly Point[], b: readonly Point[]): number | undefined {
  if (a.length === 0 || b.length === 0) return undefined;
  const distances = [...a.map((corner) => toOutline(corner, b)), ...b.map((corner) => toOutline(corner, a))];
  return Math.min(...distances);
}

function toOutline(point: Point, outline: readonly Point[]): number {
  return Math.min(
    ...outline.map((from, i) => toSide(point, from, outline[(i + 1) % outline.length] ?? from)),
  );
}

function toSide([x, y]: Point, [x1, y1]: Point, [x2, y2]: Point): number {
  const [dx, dy] = [x2 - x1, y2 - y1];
  const square = dx * dx + dy * dy;
  const along = square === 0 ? 0 : Math.min(1, Math.max(0, ((x - x1) * dx + (y - y1) * dy) / square));
  return Math.hypot(x - x1 - along * dx, y - y1 - along * dy);
}

/** What waits for a person: conflicts, double counts, refused entries, side by side and never chosen for him. Pure. */

import { allKept, type Double, unsettledDoubles } from '../../domain/double_counts';
import type { Base } from '../../storage';

export interface ConflictSide {
  id: string;
  device?: string;
  why: 'overlap' | 'deleted' | 'delete-vs-edit';
  /** The revision its person had seen. */
  base_rev?: number;
  set: Record<string, unknown>;
}
export interface OpenView {
  id: string;
  type: string;
  body: Record<string, unknown>;
  deleted: boolean;
  conflicts: readonly ConflictSide[];
  created_by_device?: string;
  rev?: number;
  base?: Base;
}

/** One value that somebody meant; `conflict_id` is empty for the one that now stands in the record. */
export interface Side {
  conflict_id: string;
  value: unknown;
  device?: string;
  who?: string;
  when?: string;
}
export interface FieldClash {
  field: string;
  sides: Side[];
  /** "Keep both" makes sense for words and lists; two numbers cannot both be the number. */
  may_join: boolean;
}

const text = (value: unknown): string | undefined =>
  typeof value === 'string' && value !== '' ? value : undefined;

function alike(a: unknown, b: unknown): boolean {
  return JSON.stringify(a ?? null) === JSON.stringify(b ?? null);
}

/** The fields in dispute, each with what stands and what else was meant. Equal values appear once. */
export function clashesOf(view: OpenView): FieldClash[] {
  const overlaps = view.conflicts.filter((conflict) => conflict.why === 'overlap');
  const fields = [...new Set(overlaps.flatMap((conflict) => Object.keys(conflict.set)))];
  return fields.flatMap((field): FieldClash[] => {
    const sides: Side[] = [sideOf('', view.body[field], view.created_by_device, view.body)];
    for (const conflict of overlaps) {
      if (!(field in conflict.set)) continue;
      if (sides.some((side) => alike(side.value, conflict.set[field]))) continue;
      sides.push(sideOf(conflict.id, conflict.set[field], conflict.device, conflict.set));
    }
    if (sides.length < 2) return [];
    return [{ field, sides, may_join: sides.every((side) => mayJoin(field, side.value)) }];
  });
}

function sideOf(
  conflictId: string,
  value: unknown,
  device: string | undefined,
  of: Record<string, unknown>,
): Side {
  const who = text(of.observer);
  const when = text(of.observed_at);
  return {
    conflict_id: conflictId,
    value,
    ...(device ? { device } : {}),
    ...(who ? { who } : {}),
    ...(when ? { when } : {}),
  };
}

function mayJoin(field: string, value: unknown): boolean {
  if (value === null || value === undefined || Array.isArray(value)) return true;
  return typeof value === 'string' && (field === 'note' || field === 'text' || field === 'reason');
}

/** Both values as one: words under each other, lists without repeats. */
export function joined(clash: FieldClash): unknown {
  const values = clash.sides
    .map((side) => side.value)
    .filter((value) => value !== null && value !== undefined);
  if (values.some(Array.isArray)) {
    const seen = new Map(values.flat().map((item) => [JSON.stringify(item), item]));
    return [...seen.values()];
  }
  return values.join('\n');
}

export type Choice = { side: number } | { join: true } | { typed: unknown };

/** A choice with the values between which it was made: it holds for no others. */
export type Chosen = Choice & { of: string };

export function chosenAmong({ sides }: FieldClash, choice: Choice): Chosen {
  return {
    ...choice,
    of: JSON.stringify(sides.map(({ conflict_id, value }) => [conflict_id, value ?? null])),
  };
}

/** The choices between the very values that are shown now; where another came since, its person is asked anew. */
export function choicesNow(
  clashes: readonly FieldClash[],
  kept: Readonly<Record<string, Chosen>>,
): Record<string, Choice> {
  return Object.fromEntries(
    clashes.flatMap((clash) => {
      const choice = kept[clash.field];
      return choice && choice.of === chosenAmong(clash, choice).of ? [[clash.field, choice]] : [];
    }),
  );
}

/** The record's new values once every field is decided; `undefined` while one is open. Unchanged ones are left out. */
export function settledSet(
  clashes: readonly FieldClash[],
  choices: Readonly<Record<string, Choice>>,
): Record<string, unknown> | undefined {
  const set: Record<string, unknown> = {};
  for (const clash of clashes) {
    const choice = choices[clash.field];
    if (!choice) return undefined;
    const value = valueChosen(clash, choice);
    if (!alike(value, clash.sides[0]?.value)) set[clash.field] = value ?? null;
  }
  return set;
}

function valueChosen(clash: FieldClash, choice: Choice): unknown {
  if ('typed' in choice) return choice.typed;
  return 'join' in choice ? joined(clash) : clash.sides[choice.side]?.value;
}

/** Fields of a count that cannot both be right, and of which nobody may be able to tell which is. */
const OF_A_COUNT = ['count', 'state', 'small', 'large', 'egg_clusters'];

/**
 * Two numbers for one count of which nobody can tell the right one: the other value becomes a count of its own, and
 * both stand, as two people's counts of one board do. Undefined where that makes no sense.
 */
export function asTwoCounts(
  view: OpenView,
): { set: Record<string, unknown>; also: Record<string, unknown>[] } | undefined {
  const [other, ...more] = view.conflicts;
  if (view.type !== 'slug_count' || !other || more.length > 0 || other.why !== 'overlap') return undefined;
  if (!Object.keys(other.set).some((field) => OF_A_COUNT.includes(field))) return undefined;
  const { photos: _kept, ...body } = view.body;
  return { set: { stands: true }, also: [{ ...body, ...other.set, stands: true }] };
}

/** An edit that met a deleted record, or a deletion that met an edit. */
export function deletionOf(view: OpenView): 'edited_after_delete' | 'delete_after_edit' | undefined {
  if (view.conflicts.some((conflict) => conflict.why === 'deleted')) return 'edited_after_delete';
  return view.conflicts.some((conflict) => conflict.why === 'delete-vs-edit')
    ? 'delete_after_edit'
    : undefined;
}

/** The record as its editor meant it, for keeping it as a new one after somebody deleted the old. */
export function asEdited(view: OpenView): Record<string, unknown> {
  const edits = view.conflicts
    .filter((conflict) => conflict.why === 'deleted')
    .map((conflict) => conflict.set);
  return Object.assign({}, view.body, ...edits);
}

export interface CountRow {
  id: string;
  round_id?: string;
  station_id?: string;
  state?: string;
  count?: number;
  observed_at?: string;
  observer?: string;
  device?: string;
  stands?: boolean;
  set_aside?: boolean;
}
export type DoubleCount = Double<CountRow>;

/** Boards counted more than once in a round, of which nobody has yet said which count stands. Newest first. */
export function doubleCounts(counts: readonly CountRow[]): DoubleCount[] {
  return unsettledDoubles(counts);
}

export interface SettledDouble extends DoubleCount {
  /** Both kept, or which one stands. */
  how: 'both' | 'one';
  standing: readonly string[];
}

/** Double counts about which a person has said something, newest first: what was said can be said otherwise. */
export function settledDoubles(counts: readonly CountRow[], since: string): SettledDouble[] {
  const groups = new Map<string, DoubleCount>();
  for (const count of counts) {
    if (!count.round_id || !count.station_id) continue;
    const { round_id, station_id } = count;
    const key = `${round_id} ${station_id}`;
    groups.set(key, { round_id, station_id, counts: [...(groups.get(key)?.counts ?? []), count] });
  }
  return [...groups.values()]
    .filter((group) => group.counts.length > 1 && group.counts.some((one) => one.stands || one.set_aside))
    .filter((group) => group.counts.some((one) => (one.observed_at ?? '') >= since))
    .filter((group) => unsettledDoubles(group.counts).length === 0)
    .map((group) => ({
      ...group,
      how: allKept(group.counts) ? ('both' as const) : ('one' as const),
      standing: group.counts.filter((one) => one.stands).map(({ id }) => id),
    }))
    .sort((a, b) => latest(b) - latest(a));
}

function latest({ counts }: DoubleCount): number {
  return Math.max(...counts.map((count) => Date.parse(count.observed_at ?? '') || 0));
}

export interface CountChange {
  id: string;
  set: { stands?: boolean; set_aside?: boolean; count?: number; state?: 'counted' | 'none_found' };
}

/** One count stands and the others are set aside: kept, shown, but in no mean. */
export function keepOne(double: DoubleCount, id: string): CountChange[] {
  return double.counts.map((count) =>
    count.id === id
      ? { id, set: { stands: true, set_aside: false } }
      : { id: count.id, set: { stands: false, set_aside: true } },
  );
}

/** Nobody can tell: both stay as they are, means leave the board out, and it is not asked again. */
export function keepBoth(double: DoubleCount): CountChange[] {
  return double.counts.map((count) => ({ id: count.id, set: { stands: true, set_aside: false } }));
}

/** The right number, typed: it goes into the newest count, which then stands. */
export function typeRight(double: DoubleCount, right: number): CountChange[] {
  const newest = [...double.counts].sort(
    (a, b) => Date.parse(b.observed_at ?? '') - Date.parse(a.observed_at ?? ''),
  )[0];
  if (!newest) return [];
  const state = right === 0 ? ('none_found' as const) : ('counted' as const);
  return keepOne(double, newest.id).map((change) =>
    change.id === newest.id ? { ...change, set: { ...change.set, count: right, state } } : change,
  );
}

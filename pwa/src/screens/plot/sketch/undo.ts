/** What was done on the sketch, step by step, and the way back. Pure. */
import type { RecordType } from '../../../generated/api';
import { changedOnly } from '../model';

export type Fields = Record<string, unknown>;
export interface Change {
  type: RecordType;
  id: string;
  /** The fields as they were; `undefined`: the record was made in this step. */
  before: Fields | undefined;
  /** The fields as they are since; `undefined`: the record was deleted in this step. */
  after: Fields | undefined;
}
export interface Step {
  /** For the button: "Undo: move Gate 1". */
  what: string;
  changes: Change[];
}
export interface Trail {
  done: Step[];
  undone: Step[];
}

export const EMPTY_TRAIL: Trail = { done: [], undone: [] };
const LONGEST = 200;

/** The fields that really change, or nothing when the finger came back to where it started. */
export function changeOf(type: RecordType, id: string, known: object, after: Fields): Change | undefined {
  const changed = changedOnly(after, known);
  const keys = Object.keys(changed);
  if (keys.length === 0) return undefined;
  const before = Object.fromEntries(keys.map((key) => [key, (known as Fields)[key] ?? null]));
  return { type, id, before, after: changed };
}

export function added(trail: Trail, step: Step): Trail {
  return step.changes.length === 0 ? trail : { done: [...trail.done, step].slice(-LONGEST), undone: [] };
}

/** What a step turned round would write. */
export function reversed(step: Step): Step {
  return {
    what: step.what,
    changes: step.changes
      .map((change) => ({ ...change, before: change.after, after: change.before }))
      .reverse(),
  };
}

/**
 * Whether the records still say what the step left behind. When somebody changed them since, undoing would
 * take that person's work back unseen.
 */
export function stillSo(step: Step, now: (id: string) => object | undefined): boolean {
  return step.changes.every(({ id, before, after }) => {
    const record = now(id);
    if (after === undefined) return record === undefined;
    if (record === undefined || Object.keys(changedOnly(after, record)).length > 0) return false;
    // What was made is taken back whole, so nobody may have added anything to it.
    return before !== undefined || Object.keys(record).every((field) => field in after);
  });
}

export function withoutLast(trail: Trail, side: keyof Trail): Trail {
  return { ...trail, [side]: trail[side].slice(0, -1) };
}

export function undoneOnce(trail: Trail): Trail {
  const step = trail.done.at(-1);
  return step ? { done: trail.done.slice(0, -1), undone: [...trail.undone, step] } : trail;
}

export function redoneOnce(trail: Trail): Trail {
  const step = trail.undone.at(-1);
  return step ? { done: [...trail.done, step], undone: trail.undone.slice(0, -1) } : trail;
}

/** A record that was deleted and made again has a new id: every step that speaks of the old one follows. */
export function renamed(trail: Trail, from: string, to: string): Trail {
  const value = (field: unknown) => (field === from ? to : field);
  const fields = (set: Fields | undefined): Fields | undefined =>
    set && Object.fromEntries(Object.entries(set).map(([key, field]) => [key, value(field)]));
  const steps = (list: Step[]) =>
    list.map((step) => ({
      ...step,
      changes: step.changes.map((change) => ({
        ...change,
        id: change.id === from ? to : change.id,
        before: fields(change.before),
        after: fields(change.after),
      })),
    }));
  return { done: steps(trail.done), undone: steps(trail.undone) };
}

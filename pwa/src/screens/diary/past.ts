/** What was changed in a record: the server's change log and this phone's own acts, told alike. Pure. */
import { EDITABLE } from './editable';

export interface Step {
  name: string;
  from: unknown;
  to: unknown;
}
export type What = 'made' | 'changed' | 'kept' | 'settled' | 'removed';

/** One change as the server tells it (`GET …/records/{id}/history`). */
export interface Change {
  rev: number;
  op_id: string;
  what: What;
  device_id: string;
  device: string | null;
  received_at: string;
  /** Of a kept change, `to` is what was meant and `from` what stood. */
  fields: Step[];
  why?: 'overlap' | 'deleted' | 'delete-vs-edit' | null;
  outcome?: 'open' | 'taken' | 'left' | 'other' | null;
  settled?: { device_id: string; device: string | null; received_at: string } | null;
}
export interface Past {
  record_id: string;
  changes: Change[];
  next_before: number | null;
}

/** Whether an answer is one of ours. */
export function isPast(body: unknown): body is Past {
  const found = body as Partial<Past> | null | undefined;
  return (
    typeof found?.record_id === 'string' &&
    Array.isArray(found.changes) &&
    found.changes.every((one) => typeof one?.what === 'string' && Array.isArray(one.fields))
  );
}

/** Two pages of one past, the older behind the newer; what both hold is told once. */
export function joined(newer: Past, older: Past): Past {
  const told = new Set(newer.changes.map(({ rev }) => rev));
  return { ...older, changes: [...newer.changes, ...older.changes.filter(({ rev }) => !told.has(rev))] };
}

/** Pasts kept for reading without a network: the last ones looked at, newest first. */
export interface Kept {
  at: string;
  past: Past;
}
const KEPT = 20;
export function withPast(kept: readonly Kept[], past: Past, at: string): Kept[] {
  return [{ at, past }, ...kept.filter((one) => one.past.record_id !== past.record_id)].slice(0, KEPT);
}

interface Act {
  op_id: string;
  kind: 'put' | 'del' | 'resolve';
  set: Record<string, unknown>;
}
export interface OwnChange {
  op_id: string;
  what: What;
  at: Date | undefined;
  fields: Step[];
}

/** When an id was made: a UUID of version 7 begins with its millisecond (RFC 9562, 5.7). */
export function madeAt(id: string): Date | undefined {
  if (id[14] !== '7') return undefined;
  return new Date(Number.parseInt(id.replaceAll('-', '').slice(0, 12), 16));
}

const alike = (a: unknown, b: unknown): boolean => JSON.stringify(a ?? null) === JSON.stringify(b ?? null);

/** What this phone did and has not sent, newest first. `base`: the record as the server last told it. */
export function ownChanges(base: Record<string, unknown>, acts: readonly Act[], isNew: boolean): OwnChange[] {
  const body = { ...base };
  const told = acts.map(({ op_id, kind, set }, i): OwnChange => {
    const fields = Object.entries(set)
      .map(([name, to]): Step => ({ name, from: body[name] ?? null, to }))
      .filter(({ from, to }) => !alike(from, to));
    Object.assign(body, set);
    const put: What = isNew && i === 0 ? 'made' : 'changed';
    const what = kind === 'put' ? put : kind === 'del' ? 'removed' : 'settled';
    return { op_id, what, at: madeAt(op_id), fields };
  });
  return told.reverse();
}

/** A state and its number speak of one thing: taking back one takes back the other that changed with it. */
const TOGETHER: Readonly<Record<string, readonly string[]>> = {
  slug_count: ['state', 'count'],
  trap_catch: ['state', 'wireworms', 'beetles'],
};

/**
 * The edit that puts a value back: of a change the old one, of a change that was kept beside the one that was
 * meant. `undefined` when it stands so, when there was none before the record was made, or when nobody types it.
 */
export function putBackSet(
  type: string,
  change: { what: What; fields: readonly Step[] },
  name: string,
  body: Record<string, unknown>,
): Record<string, unknown> | undefined {
  if (change.what === 'made' || change.what === 'removed') return undefined;
  const side = change.what === 'kept' ? 'to' : 'from';
  const pair = TOGETHER[type] ?? [];
  const names = pair.includes(name) ? pair : [name];
  const wanted = change.fields.filter((field) => names.includes(field.name));
  if (!wanted.some((field) => field.name === name) || !isTyped(type, name)) return undefined;
  const set = Object.fromEntries(wanted.map((field) => [field.name, field[side] ?? null]));
  return Object.entries(set).every(([field, value]) => alike(value, body[field])) ? undefined : set;
}

function isTyped(type: string, name: string): boolean {
  return name === 'photos' || (EDITABLE[type] ?? []).some((field) => field.name === name);
}

/** Fields that say what a record belongs to; people do not read them. */
const UNSAID = new Set(['round_id', 'station_id', 'crop_id', 'culture_id', 'returned_from', 'parent_id']);
export function saidFields(fields: readonly Step[]): Step[] {
  return fields.filter(({ name }) => !UNSAID.has(name));
}

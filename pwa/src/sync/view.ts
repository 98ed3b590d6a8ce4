// The view of a record: the server copy with the outbox laid over it. Derived each time, never stored.

import type { RecordType } from '../generated/api';
import type { Base, Fields, Op, Row, View } from '../storage/rows';
import { RULES, type Rules } from './rules';

/** What its person has typed and no server has confirmed, oldest first. */
export function typedIn(ops: readonly Op[], rules: Rules = RULES): Fields {
  const typed: Fields = {};
  for (const op of ops) if (rules.overlays(op)) Object.assign(typed, op.set);
  return typed;
}

export const STUCK_AFTER = 8;

export function baseOf({ held, rev, epoch, own }: Row): Base {
  const base = held ? { rev: held.rev, epoch: held.epoch } : { rev, epoch };
  return own ? { ...base, own } : base;
}

/** `ops`: all queued operations of this record, in order. */
export function viewOf(row: Row, ops: readonly Op[], rules: Rules = RULES): View {
  const view: View = {
    id: row.id,
    type: row.type as RecordType,
    body: row.body,
    rev: row.rev,
    base: baseOf(row),
    deleted: row.deleted,
    conflicts: row.conflicts,
    pending: ops.length > 0,
  };
  if (row.clock_suspect) view.clock_suspect = true;
  if (row.created_by_device) view.created_by_device = row.created_by_device;
  if (row.deleted && row.conflicts.length > 0) view.deleted_elsewhere = true;
  return ops.length > 0 ? overlaid(view, row, ops, rules) : view;
}

function overlaid(view: View, row: Row, ops: readonly Op[], rules: Rules): View {
  const mine = ops.filter((op) => rules.overlays(op));
  view.body = { ...row.body, ...typedIn(ops, rules) };
  if (row.held) view.changed_elsewhere = true;
  const closed = new Set(mine.flatMap((op) => (op.kind === 'resolve' ? (op.conflicts ?? []) : [])));
  if (closed.size > 0) view.conflicts = row.conflicts.filter((conflict) => !closed.has(conflict.id));
  const edited = mine.some((op) => op.kind === 'put');
  if (row.deleted && edited) {
    // Still shown, with a badge, until the server has answered and its person has chosen.
    view.deleted = false;
    view.deleted_elsewhere = true;
  }
  if (mine.some((op) => op.kind === 'del')) view.deleted = true;
  const problem = ops.find((op) => op.problem)?.problem;
  if (problem) view.needs_fix = problem;
  if (ops.some((op) => op.retries >= STUCK_AFTER)) view.stuck = true;
  return view;
}

// What the phone does with a copy or an answer of the server; pure. The base rule lives here.

import type { Fields, Op, Problem, Row } from '../storage/rows';
import { shelved, withKeys } from '../storage/shelf';
import { blankRow } from './edit';
import { RULES, type Rules, type ServerCopy, type Standing } from './rules';
import { same } from './same';
import { typedIn } from './view';

export type { ServerCopy, Standing } from './rules';

export type Result = {
  op_id: string;
  status: 'applied' | 'merged' | 'duplicate' | 'conflict' | 'rejected' | 'reused' | 'retry';
  rev?: number;
  seq?: number;
  record?: ServerCopy;
  problem?: Problem;
};

/** The row for a copy of a record that this phone neither has nor edits: most rows of a first pull. */
export function rowOf(copy: ServerCopy, standing: Standing): Row {
  const row = blankRow(copy.id, copy.type ?? '', standing.epoch, standing.seen);
  row.rev = copy.rev;
  row.deleted = copy.deleted;
  if (copy.body) row.body = copy.body;
  if (copy.conflicts && copy.conflicts.length > 0) {
    row.conflicts = copy.conflicts;
    row.open = 1;
  }
  if (copy.clock_suspect) row.clock_suspect = true;
  if (copy.created_by_device) row.created_by_device = copy.created_by_device;
  return withKeys(row);
}

/** Take over a server copy. `ops`: what is still queued for the record, in order. */
export function install(
  row: Row | undefined,
  copy: ServerCopy,
  ops: readonly Op[],
  standing: Standing,
  rules: Rules = RULES,
): Row {
  if (!row) return shelved(rowOf(copy, standing), ops, rules);
  if (rules.isOlder(row, copy, standing)) return { ...row, seen: standing.seen };
  const base = row.held ?? { rev: row.rev, epoch: row.epoch, body: row.body };
  const clash = rules.clashes(base.body, typedIn(ops, rules), copy);
  const { held: _held, own: _own, clock_suspect: _clock, ...rest } = row;
  const next: Row = {
    ...rest,
    type: copy.type || row.type,
    rev: copy.rev,
    epoch: standing.epoch,
    seen: standing.seen,
    deleted: copy.deleted,
    // A tombstone has no body: what was last known stays readable while anything is open about it.
    body: copy.body ?? row.body,
    conflicts: copy.conflicts ?? [],
  };
  if (copy.clock_suspect) next.clock_suspect = true;
  if (copy.created_by_device) next.created_by_device = copy.created_by_device;
  if (clash) {
    next.held = base;
    if (row.own) next.own = row.own;
  } else withOwn(next, ops, rules);
  return settle(next, ops, rules);
}

/** Lineage starts again at the new base: own operations that are still queued. */
function withOwn(row: Row, ops: readonly Op[], rules: Rules): void {
  delete row.own;
  if (ops.length > 0) row.own = lineage(ops, row.body, rules);
}

/** When nothing is being edited any more, nothing needs to be held back. */
export function settle(row: Row, ops: readonly Op[], rules: Rules = RULES): Row {
  const next = { ...row };
  if (next.held && Object.keys(typedIn(ops, rules)).length === 0) {
    delete next.held;
    withOwn(next, ops, rules);
  }
  if (next.deleted && ops.length === 0 && next.conflicts.length === 0) next.body = {};
  return shelved(next, ops, rules);
}

/** The row after the server took `op`; `rest`: what is queued behind it. */
export function acknowledged(
  row: Row,
  op: Op,
  result: Result,
  rest: readonly Op[],
  standing: Standing,
  rules: Rules = RULES,
): Row {
  const copy = result.record ?? appliedCopy(row, op, result, standing);
  const next = copy ? install(row, copy, rest, standing, rules) : confirmed(row, op, rest, rules);
  if (!next.held || !rules.answerMovesBase(op)) return next;
  const { held: _held, ...moved } = next;
  return moved;
}

/**
 * `applied` without a record: nobody else had changed anything since the base. If the revision is the one
 * after ours, the server's record is our copy with the operation in it; else only the next pull knows.
 */
function appliedCopy(row: Row, op: Op, result: Result, standing: Standing): ServerCopy | undefined {
  if (row.epoch !== standing.epoch || result.rev !== row.rev + 1) return undefined;
  const closed = new Set(op.kind === 'resolve' ? op.conflicts : []);
  return {
    id: row.id,
    rev: result.rev,
    deleted: row.deleted || op.kind === 'del',
    body: { ...row.body, ...op.set },
    conflicts: row.conflicts.filter((conflict) => !closed.has(conflict.id)),
    ...(row.clock_suspect ? { clock_suspect: true } : {}),
  };
}

/** Known to be stored, at a revision we cannot tell: shown as stored, its base and lineage stay. */
function confirmed(row: Row, op: Op, rest: readonly Op[], rules: Rules): Row {
  if (!rules.overlays(op)) return settle(row, rest, rules);
  const next: Row = { ...row, body: { ...row.body, ...op.set } };
  if (row.held) next.held = { ...row.held, body: { ...row.held.body, ...op.set } };
  if (op.kind === 'del') next.deleted = true;
  if (op.kind === 'resolve') {
    const closed = new Set(op.conflicts);
    next.conflicts = row.conflicts.filter((conflict) => !closed.has(conflict.id));
  }
  return settle(next, rest, rules);
}

/**
 * What whoever edits next has seen of the queue, oldest first: each operation whose values stand on the screen, or stood
 * there when somebody typed over them. The rest lies hidden, under a value out of another phone's file or because it
 * only goes out again after a restore; whose hands typed it does not matter, for a phone may be a clone.
 */
export function lineage(ops: readonly Op[], body: Fields, rules: Rules = RULES): string[] {
  const shown = { ...body, ...typedIn(ops, rules) };
  const seen: Op[] = [];
  for (const op of [...ops].reverse()) {
    const typedOver = (field: string) => seen.some((by) => field in by.set && by.after.includes(op.op_id));
    const isSeen = ([field, value]: [string, unknown]) => same(shown[field], value) || typedOver(field);
    if (Object.entries(op.set).every(isSeen)) seen.unshift(op);
  }
  return seen.map((op) => op.op_id);
}

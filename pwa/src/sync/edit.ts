// What a person does becomes an operation; pure.

import type { RecordType } from '../generated/api';
import type { Fields, NewOp, Op, OpKind, Row, Shown } from '../storage/rows';
import { shelved } from '../storage/shelf';
import { RULES, type Rules } from './rules';
import { baseOf, typedIn } from './view';

export type Act = {
  kind: OpKind;
  type: RecordType | undefined;
  id: string;
  set: Fields;
  conflicts?: string[];
  /** What the form showed, if it was one: it may have stood open while newer copies came. */
  shown?: Shown | undefined;
};

export type Pen = {
  /** A fresh operation id. */
  op_id: string;
  /** Operations numbered up to this have been attempted: their bytes are frozen. */
  attempted: number;
  /** The server history this phone knows, '' before the first sync. */
  epoch: string;
  schema: number;
};

/** `put` rewrites an operation that is still open; `queue` appends a new one; `drop` takes one back. */
export type Edit = { row: Row; put?: Op; queue?: NewOp; drop?: number };

export function blankRow(id: string, type: Row['type'], epoch: string, seen = 0): Row {
  return { id, type, rev: 0, epoch, deleted: false, body: {}, conflicts: [], seen };
}

/** Apply an act to a record; `ops` are its queued operations in order. */
export function edit(row: Row, ops: readonly Op[], act: Act, pen: Pen, rules: Rules = RULES): Edit {
  const { shown } = act;
  const last = ops.at(-1);
  const rest = ops.slice(0, -1);
  if (act.kind === 'put' && last?.kind === 'del' && isOpen(last, pen))
    return takenBack(row, rest, last, act, pen, rules);
  if (shown) return edit(asShown(row, ops, act, shown, rules), ops, { ...act, shown: undefined }, pen, rules);
  // A deletion that is on its way cannot be taken back: whoever wants the record again says all of it.
  if (act.kind === 'put' && last?.kind === 'del' && isBare(act))
    return edit(row, ops, { ...act, set: row.body }, pen, rules);
  if (act.kind === 'put' && last?.problem) return mended(row, rest, last, act, pen, rules);
  if (act.kind === 'put' && last?.kind === 'put' && isOpen(last, pen))
    return widened(row, rest, last, act, rules);
  const op = newOp(row, act, pen);
  const next = { ...row, own: [...(row.own ?? []), op.op_id] };
  return { row: shelved(next, [...ops, { ...op, n: Number.POSITIVE_INFINITY }], rules), queue: op };
}

/**
 * The row for an edit of what a form showed. If a value that nobody was shown has come since, by a newer copy or in
 * another phone's file, the edit stands on what was shown, and the server will ask.
 */
function asShown(row: Row, ops: readonly Op[], { kind, set }: Act, shown: Shown, rules: Rules): Row {
  const { base } = shown;
  const current = { ...row.body, ...typedIn(ops, rules) };
  const unseen = base ? rules.unseen(shown.body, current, kind === 'del' ? undefined : set) : [];
  if (!base || unseen.length === 0) return row;
  const taken = ops.filter((op) => op.foreign && unseen.some((field) => field in op.set));
  const next = { ...row };
  if (taken.length > 0) next.own = row.own?.filter((id) => !taken.some(({ op_id }) => op_id === id)) ?? [];
  const now = baseOf(row);
  // Only ever down: what is queued may stand on what an older form had shown.
  if (base.epoch === now.epoch ? base.rev < now.rev : base.epoch !== row.epoch) {
    // What the form showed beside its base was in the queue then, and may have been taken by the server since.
    const own = base.own?.map((id) => row.renamed?.[id] ?? id);
    if (own) next.own = [...new Set([...own, ...(next.own ?? [])])];
    // Before the first sync nobody knew a history: it was this one.
    next.held = { rev: base.rev, epoch: base.epoch || row.epoch, body: { ...(row.held ?? row).body } };
    for (const field of unseen) next.held.body[field] = shown.body[field];
  }
  return next;
}

function isBare(act: Act): boolean {
  return Object.keys(act.set).length === 0;
}

/** Only the record's last operation, and only before its first attempt: else an older value could win. */
function isOpen(op: Op, pen: Pen): boolean {
  return op.n > pen.attempted && !op.replay && !op.foreign;
}

function newOp(row: Row, act: Act, pen: Pen): NewOp {
  const op: NewOp = {
    op_id: pen.op_id,
    kind: act.kind,
    id: act.id,
    base_rev: baseOf(row).rev,
    base_epoch: baseOf(row).epoch,
    after: [...(row.own ?? [])],
    set: act.set,
    schema: pen.schema,
    retries: 0,
    next_try: 0,
  };
  if (act.type !== undefined) op.type = act.type;
  if (act.conflicts) op.conflicts = act.conflicts;
  return op;
}

/**
 * The open operation takes a further edit. If the base has moved since it was queued, no field of it had
 * changed there (else the base were held), so it stands on the base that its person now sees.
 */
function widened(row: Row, rest: readonly Op[], last: Op, act: Act, rules: Rules): Edit {
  const put: Op = {
    ...last,
    base_rev: baseOf(row).rev,
    base_epoch: baseOf(row).epoch,
    after: (row.own ?? []).filter((id) => id !== last.op_id),
    set: { ...last.set, ...act.set },
  };
  return { row: shelved(row, [...rest, put], rules), put };
}

/** A refused operation is never sent again as it was: with the mended fields it is a new one. */
function mended(row: Row, rest: readonly Op[], last: Op, act: Act, pen: Pen, rules: Rules): Edit {
  const put = fresh(last, pen.op_id, { ...last.set, ...act.set });
  const own = (row.own ?? []).map((id) => (id === last.op_id ? pen.op_id : id));
  return { row: shelved({ ...row, own }, [...rest, put], rules), put };
}

/** The same act under a new id, as if never sent. */
export function fresh(op: Op, opId: string, set: Fields): Op {
  const { problem: _, ...rest } = op;
  return { ...rest, op_id: opId, set, retries: 0, next_try: 0 };
}

/** A deletion that has not left the phone is undone by editing the record again. */
function takenBack(row: Row, rest: readonly Op[], last: Op, act: Act, pen: Pen, rules: Rules): Edit {
  const own = (row.own ?? []).filter((id) => id !== last.op_id);
  const kept: Row = { ...row, own };
  // It may have stood on what a form had shown; nothing else does.
  if (Object.keys(typedIn(rest, rules)).length === 0) delete kept.held;
  if (isBare(act)) return { row: shelved(kept, rest, rules), drop: last.n };
  return { ...edit(kept, rest, act, pen, rules), drop: last.n };
}

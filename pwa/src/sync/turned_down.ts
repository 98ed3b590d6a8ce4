// Answers that leave an operation on the phone: another one's id, never as it is, not now. Hardly any are of these kinds, so
// this is fetched with the first.

import type { Tx } from '../storage/port';
import type { Fields, Op, Problem, Row } from '../storage/rows';
import { fresh } from './edit';
import type { Result } from './merge';
import { type Batch, keepAnswers } from './push';
import { STUCK_AFTER } from './view';
import { backoff, HOUR_MS, type Wires } from './wires';

export function keepTurnedDown(
  wires: Wires,
  tx: Tx,
  row: Row,
  op: Op,
  rest: readonly Op[],
  result: Result,
): void {
  switch (result.status) {
    case 'reused': {
      const next = renamed(row, op, rest, wires.newId());
      tx.put('records', next.row);
      for (const changed of next.ops) tx.put('outbox', changed);
      return;
    }
    case 'rejected': {
      const problem = result.problem ?? { type: 'about:blank', title: 'The server did not take it.' };
      const next = refused(row, op, rest, problem, wires.newId());
      tx.put('records', next.row);
      for (const changed of next.ops) tx.put('outbox', changed);
      for (const gone of next.dropped) tx.drop('outbox', gone.n);
      return;
    }
    case 'retry': {
      const retries = op.retries + 1;
      const wait = retries >= STUCK_AFTER ? HOUR_MS : backoff(retries, wires.random);
      tx.put('outbox', { ...op, retries, next_try: wires.now() + wait });
    }
  }
}

/** Another body was stored under this id (a cloned phone): the same act under a new id, also in the lineage. */
function renamed(row: Row, op: Op, rest: readonly Op[], opId: string): { row: Row; ops: Op[] } {
  const swap = (ids: readonly string[]) => ids.map((id) => (id === op.op_id ? opId : id));
  const own = (row.own ?? []).filter((id) => id !== op.op_id);
  const before = Object.entries(row.renamed ?? {}).map(([from, to]) => [from, to === op.op_id ? opId : to]);
  return {
    row: { ...row, own: [...own, opId], renamed: { ...Object.fromEntries(before), [op.op_id]: opId } },
    ops: [{ ...op, op_id: opId }, ...rest.map((later) => ({ ...later, after: swap(later.after) }))],
  };
}

/**
 * The server will never take `op` as it is. It stays, with the reason. Edits queued behind it cannot stand
 * without it: they are one act with it now, and if they mend it, it goes out again under a new id.
 */
function refused(
  row: Row,
  op: Op,
  rest: readonly Op[],
  problem: Problem,
  opId: string,
): { row: Row; ops: Op[]; dropped: Op[] } {
  const puts = rest.filter((later) => later.kind === 'put' && op.kind === 'put');
  if (puts.length === 0) return { row, ops: [{ ...op, problem }], dropped: [] };
  const set = Object.assign({}, op.set, ...puts.map((later) => later.set)) as Fields;
  const gone = new Set([op.op_id, ...puts.map((later) => later.op_id)]);
  const own = [...(row.own ?? []).filter((id) => !gone.has(id)), opId];
  return { row: { ...row, own }, ops: [fresh(op, opId, set)], dropped: puts };
}

/** One operation alone is more than the server takes: it waits for its person like any refused one. */
export async function refuseOversize(wires: Wires, batch: Batch, problem: Problem): Promise<void> {
  const results = batch.ops.map((op): Result => ({ op_id: op.op_id, status: 'rejected', problem }));
  await keepAnswers(wires, batch, results);
}

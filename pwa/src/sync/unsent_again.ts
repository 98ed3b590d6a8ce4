// After a restore from a very old backup the archive does not reach back far enough: records that this phone
// holds may be missing on the server, and no other phone may have them. Offered to its person, never done unasked.

import { metaIn, standingIn } from '../storage/meta_rows';
import type { Tx } from '../storage/port';
import { opsByRecord } from '../storage/reading';
import type { NewOp, Row } from '../storage/rows';
import { shelved } from '../storage/shelf';
import type { Wires } from './wires';

/** The epoch in which a look through all records found every one of them; none can be left behind until it changes. */
const ALL_THERE = 'all_there_in';

/** How many records are on this phone that a whole pull of the restored server did not bring. */
export async function missingOnServer(wires: Wires): Promise<number> {
  const found = await wires.store.read(['records', 'outbox', 'meta'], async (tx) => {
    const { epoch } = await standingIn(tx);
    // Ten years of records take seconds to look through, and nearly always for nothing.
    if (epoch !== '' && (await metaIn(tx, ALL_THERE)) === epoch) return { n: 0, all_there: undefined };
    const { full, older } = await olderRows(tx);
    return { n: (await missing(tx, older)).length, all_there: full || older.length > 0 ? undefined : epoch };
  });
  if (found.all_there) {
    const epoch = found.all_there;
    await wires.store.write(['meta'], async (tx) => tx.put('meta', { key: ALL_THERE, value: epoch }));
  }
  return found.n;
}

/** Queue them as new records under their old ids: where another phone was first with the same, nothing changes. */
export async function sendAgain(wires: Wires): Promise<number> {
  const n = await wires.store.write(['records', 'outbox', 'meta'], async (tx) => {
    const standing = await standingIn(tx);
    const rows = await missing(tx, (await olderRows(tx)).older);
    for (const row of rows) {
      const op: NewOp = {
        op_id: wires.newId(),
        kind: 'put',
        id: row.id,
        base_rev: 0,
        base_epoch: standing.epoch,
        after: [],
        set: row.body,
        schema: standing.schema,
        retries: 0,
        next_try: 0,
        ...(row.type ? { type: row.type } : {}),
      };
      tx.queue(op);
      const next = { ...row, rev: 0, epoch: standing.epoch, own: [op.op_id] };
      tx.put('records', shelved(next, [{ ...op, n: 0 }], wires.rules));
    }
    return rows.length;
  });
  wires.tell(['outbox'], []);
  return n;
}

/** Records that the server knew in an earlier epoch and has not brought in this one. */
async function olderRows(tx: Tx): Promise<{ full: boolean; older: Row[] }> {
  const standing = await standingIn(tx);
  if (standing.full || standing.epoch === '') return { full: true, older: [] };
  const rows = await tx.all('records');
  return { full: false, older: rows.filter((row) => row.epoch !== standing.epoch && row.rev > 0) };
}

async function missing(tx: Tx, older: readonly Row[]): Promise<Row[]> {
  const queued = opsByRecord(await tx.all('outbox'));
  return older.filter((row) => !row.deleted && !queued.has(row.id));
}

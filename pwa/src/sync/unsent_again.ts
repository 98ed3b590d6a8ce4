// After a restore from a very old backup the archive does not reach back far enough: records that this phone
// holds may be missing on the server, and no other phone may have them. Offered to its person, never done unasked.

import { standingIn } from '../storage/meta_rows';
import type { Tx } from '../storage/port';
import { opsByRecord } from '../storage/records';
import type { NewOp, Row } from '../storage/rows';
import { shelved } from '../storage/shelf';
import type { Wires } from './wires';

/** How many records are on this phone that a whole pull of the restored server did not bring. */
export async function missingOnServer(wires: Wires): Promise<number> {
  return (await wires.store.read(['records', 'outbox', 'meta'], missing)).length;
}

/** Queue them as new records under their old ids: where another phone was first with the same, nothing changes. */
export async function sendAgain(wires: Wires): Promise<number> {
  const n = await wires.store.write(['records', 'outbox', 'meta'], async (tx) => {
    const standing = await standingIn(tx);
    const rows = await missing(tx);
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

async function missing(tx: Tx): Promise<Row[]> {
  const standing = await standingIn(tx);
  if (standing.full || standing.epoch === '') return [];
  const queued = opsByRecord(await tx.all('outbox'));
  const rows = await tx.all('records');
  return rows.filter(
    (row) => row.epoch !== standing.epoch && row.rev > 0 && !row.deleted && !queued.has(row.id),
  );
}

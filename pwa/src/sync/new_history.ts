// When a pull has to begin anew: the server's history is one that this phone has not met (the first of all, or the server
// was restored from a backup), or the cursor is too old. Fetched when it happens.

import { metaIn, putStanding, standingIn } from '../storage/meta_rows';
import type { Tx } from '../storage/port';
import { opsByRecord } from '../storage/reading';
import type { ArchiveRow, Op } from '../storage/rows';
import { landedIn } from './landing';
import { behind } from './rules';
import type { Refused } from './server';
import type { Wires } from './wires';

/**
 * Another history of the server. The first one of all is just taken over; any later one means that the server
 * was restored: pull everything anew and send again what it had acknowledged. `before`: the mark of attempted
 * operations before the push that found out, which the server did not look at.
 */
export async function enterEpoch(wires: Wires, epoch: string, before?: number): Promise<void> {
  await wires.store.write(['records', 'outbox', 'archive', 'meta'], async (tx) => {
    const standing = await standingIn(tx);
    if (standing.epoch === epoch) return;
    const outbox = await tx.all('outbox');
    if (standing.epoch === '') {
      putStanding(tx, { ...standing, epoch });
      await dateFirstOps(tx, outbox, epoch);
      return;
    }
    putStanding(tx, { epoch, schema: standing.schema, seen: standing.seen + 1, full: 'restored' });
    tx.put('meta', { key: 'photos_again', value: true });
    const archived = await tx.all('archive');
    await takeInLate(tx, archived);
    const once = new Map(archived.flatMap((row) => row.ops).map((op) => [op.op_id, op]));
    const again = wires.rules.replay([...once.values()], outbox);
    for (const op of again) tx.put('outbox', op);
    for (const row of archived) tx.drop('archive', row.key);
    const attempted = before ?? (await metaIn<number>(tx, 'attempted')) ?? 0;
    if (before !== undefined) tx.put('meta', { key: 'attempted', value: before });
    for (const op of standBehind(outbox, again, attempted)) tx.put('outbox', op);
  });
  wires.tell(['outbox'], []);
}

/** Answers of the old history that were to be taken in late: now or never. */
async function takeInLate(tx: Tx, archived: ArchiveRow[]): Promise<void> {
  const notes = new Set(await landedIn(tx));
  const late = archived.filter((row) => notes.has(row.key)).flatMap((row) => row.ops);
  for (const row of await tx.rows(late.map((op) => op.id))) if (row) tx.put('records', row);
  tx.drop('meta', 'landed');
}

/** What was typed since on top of an operation that now goes out again names it as its past. */
function standBehind(outbox: Op[], again: Op[], attempted: number): Op[] {
  const past = opsByRecord(again);
  return outbox
    .filter((op) => op.n > attempted && past.has(op.id))
    .map((op) =>
      behind(
        op,
        (past.get(op.id) ?? []).map((own) => own.op_id),
      ),
    );
}

/** What was recorded before the first sync starts in the history that is now known. */
async function dateFirstOps(tx: Tx, outbox: Op[], epoch: string): Promise<void> {
  for (const op of outbox) {
    if (op.base_epoch === '') tx.put('outbox', { ...op, base_epoch: epoch });
    const row = await tx.get('records', op.id);
    if (row && row.epoch === '') tx.put('records', { ...row, epoch });
  }
}

/** After a refusal because of the cursor or of the history, which is named then. `before`: as in `enterEpoch`. */
export async function beginAnew(wires: Wires, refused: Refused, before?: number): Promise<void> {
  const { epoch } = refused.problem;
  if (!refused.is('epoch')) await startOver(wires);
  else if (typeof epoch === 'string') await enterEpoch(wires, epoch, before);
  else throw refused;
}

/** Same history, but the cursor is of no use any more. */
async function startOver(wires: Wires): Promise<void> {
  await wires.store.write(['meta'], async (tx) => {
    const standing = await standingIn(tx);
    putStanding(tx, {
      epoch: standing.epoch,
      schema: standing.schema,
      seen: standing.seen + 1,
      full: 'expired',
    });
  });
}

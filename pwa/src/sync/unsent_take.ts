// Taking in another phone's unsent records: its operations join this phone's outbox under their own ids, so that the
// server, which knows them by those, stores each once, whichever phone comes home first.

import { uuid5 } from '../domain/uuid5';
import type { RecordType } from '../generated/api';
import { metaIn, standingIn } from '../storage/meta_rows';
import type { Store, Tx } from '../storage/port';
import type { NewOp, Op, Row } from '../storage/rows';
import { shelved } from '../storage/shelf';
import { blankRow } from './edit';
import { lineage } from './merge';
import { RULES, type Rules } from './rules';
import { same } from './same';
import type { FileOp, UnsentFile } from './unsent_read';

export type TakenIn = { ops: number; photos: number; already: number };

/** Operations of the file that this phone has queued or has had acknowledged before. */
export async function knownHere(store: Store, file: UnsentFile): Promise<Set<string>> {
  return (await store.read(['outbox', 'archive'], (tx) => beside(tx, file))).known;
}

/** The file's operations, and the ids of those that are here already. */
async function beside(tx: Tx, file: UnsentFile): Promise<{ ops: FileOp[]; known: Set<string> }> {
  const [queued, archived] = await Promise.all([tx.all('outbox'), tx.all('archive')]);
  const here = new Map([...archived.flatMap((row) => row.ops), ...queued].map((op) => [op.op_id, op]));
  const ops = toldApart(file.ops, here);
  return { ops, known: new Set(ops.map((op) => op.op_id).filter((id) => here.has(id))) };
}

/**
 * Of a phone and its clone each may have written another act under one id. What is here under the id of one of the file's is
 * then not what the file's writer had seen: his gets an id of its own, the same whenever it is taken in, also where later ones
 * name it as their past.
 */
function toldApart(ops: FileOp[], here: ReadonlyMap<string, Op>): FileOp[] {
  const ids = new Map<string, string>();
  for (const op of ops) {
    const known = here.get(op.op_id);
    if (known && !isSameAct(known, op)) ids.set(op.op_id, uuid5(op.op_id, JSON.stringify(saying(op))));
  }
  const own = (id: string): string => ids.get(id) ?? id;
  if (ids.size === 0) return ops;
  return ops.map((op) => ({
    ...op,
    op_id: own(op.op_id),
    ...(op.after ? { after: op.after.map(own) } : {}),
  }));
}

function isSameAct(one: Op | FileOp, other: FileOp): boolean {
  return same(saying(one), saying(other));
}

function saying({ kind, id, set, conflicts }: Op | FileOp): unknown[] {
  return [kind, id, set ?? {}, conflicts ?? []];
}

/** All of the file or nothing: one strict transaction. Taking the same file in twice is taking it in once. */
export async function takeIn(
  store: Store,
  file: UnsentFile,
  now: number,
  rules: Rules = RULES,
): Promise<TakenIn> {
  return await store.write(['records', 'outbox', 'archive', 'photos', 'meta'], async (tx) => {
    const paired = await metaIn<{ plot_id: string }>(tx, 'paired');
    if (paired?.plot_id !== file.plot_id) throw new Error('paired with another plot meanwhile');
    const { ops, known } = await beside(tx, file);
    const fresh = ops.filter((op) => !known.has(op.op_id));
    const { epoch } = await standingIn(tx);
    for (const raw of fresh) {
      const row =
        (await tx.get('records', raw.id)) ?? blankRow(raw.id, (raw.type ?? '') as Row['type'], epoch);
      take(tx, row, await tx.opsOf(raw.id), opOf(raw), rules);
    }
    let photos = 0;
    for (const photo of file.photos) {
      if (await tx.get('photos', photo.sha256)) continue;
      tx.put('photos', { ...photo, added_at: now, waiting: now, state: 'waiting', retries: 0, next_try: 0 });
      photos += 1;
    }
    return { ops: fresh.length, photos, already: known.size };
  });
}

function opOf(raw: FileOp): NewOp {
  return {
    op_id: raw.op_id,
    kind: raw.kind,
    id: raw.id,
    ...(raw.type ? { type: raw.type as RecordType } : {}),
    base_rev: raw.base_rev,
    base_epoch: raw.base_epoch ?? '',
    after: raw.after ?? [],
    set: raw.set ?? {},
    ...(raw.conflicts ? { conflicts: raw.conflicts } : {}),
    schema: raw.schema ?? 0,
    retries: 0,
    next_try: 0,
    foreign: true,
  };
}

/**
 * Queue the operation and show it. What its person had seen is known only by its number: the base of later edits
 * here goes down to that, so that the server asks about anything that either of the two had not seen.
 */
function take(tx: Tx, row: Row, ops: readonly Op[], op: NewOp, rules: Rules): void {
  // Acknowledged operations are left out: a value of the file may lie over theirs.
  const all = [...ops, { ...op, n: Number.POSITIVE_INFINITY }];
  const next: Row = { ...row, own: lineage(all, row.body, rules) };
  const seen = row.held?.rev ?? row.rev;
  const rev = op.base_epoch === row.epoch ? Math.min(op.base_rev, seen) : 0;
  if (row.rev > 0 && rev < seen) next.held = { rev, epoch: row.epoch, body: {} };
  tx.put('records', shelved(next, all, rules));
  tx.queue(op);
}

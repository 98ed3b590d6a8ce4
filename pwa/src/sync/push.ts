// Pushing: a batch of operations, at most one of a record in flight, and what their answers do to the rows.

import { metaIn, type Paired, type SyncStanding, standingIn } from '../storage/meta_rows';
import type { Tx } from '../storage/port';
import type { Op } from '../storage/rows';
import { blankRow } from './edit';
import { mayWait, type Note } from './landing';
import { acknowledged, type Result } from './merge';
import { NotHome, packed, Refused } from './server';
import { opOnWire, PROTOCOL, type PushAnswer } from './wire';
import { clocks, isDue, type Wires } from './wires';

export type Batch = {
  ops: Op[];
  body: string | ArrayBuffer;
  standing: SyncStanding;
  whole: boolean;
  before: number;
  /** Records of which something earlier has not gone, in this batch or before it: nothing of them may overtake that. */
  passed: ReadonlySet<string>;
};

/** The server inflates at most 2 MiB; we stay well under it. */
const MOST_CHARS = 1_200_000;
const WINDOW = 500;

export const newHistory = () => import('./new_history');

/**
 * Take the next operations that may go, and freeze their bytes, whether they leave then or not. Undefined when nothing is due.
 * `flying`: a batch whose answer is not stored yet; its records wait.
 */
export async function nextBatch(
  wires: Wires,
  paired: Paired,
  limit: number,
  flying?: Batch,
): Promise<Batch | undefined> {
  const batch = await wires.store.write(['outbox', 'meta'], async (tx) => {
    const standing = await standingIn(tx);
    const { ops, parts, whole, passed } = await choose(tx, limit, wires.now(), flying);
    if (ops.length === 0 || standing.epoch === '') return undefined;
    const before = (await metaIn<number>(tx, 'attempted')) ?? 0;
    const last = Math.max(...ops.map((op) => op.n));
    // One mark for all up to here instead of one write for each; what it covers too much is only not widened.
    if (last > before) tx.put('meta', { key: 'attempted', value: last });
    return { ops, body: envelope(wires, paired, standing, parts), standing, whole, before, passed };
  });
  return batch && { ...batch, body: await packed(batch.body) };
}

async function choose(
  tx: Tx,
  limit: number,
  now: number,
  flying?: Batch,
): Promise<{ ops: Op[]; parts: string[]; whole: boolean; passed: Set<string> }> {
  const ops: Op[] = [];
  const parts: string[] = [];
  const passed = new Set<string>(flying?.passed);
  let chars = 0;
  let skipped = 0;
  for (let from = (flying?.ops.at(-1)?.n ?? -1) + 1; ops.length < limit; ) {
    const window = await tx.opsFrom(from, Math.min(WINDOW, limit));
    const last = window.at(-1);
    if (!last) break;
    from = last.n + 1;
    for (const op of window) {
      const ready = !op.problem && isDue(op.next_try, now) && !passed.has(op.id) && ops.length < limit;
      // What was refused waits for its person; a deletion behind it need not.
      if (!op.problem) passed.add(op.id);
      const part = ready ? JSON.stringify(opOnWire(op)) : '';
      if (!ready || (ops.length > 0 && chars + part.length > MOST_CHARS)) {
        skipped += 1;
        continue;
      }
      chars += part.length;
      ops.push(op);
      parts.push(part);
    }
    if (chars > MOST_CHARS) break;
  }
  return { ops, parts, whole: skipped === 0, passed };
}

function envelope(wires: Wires, paired: Paired, standing: SyncStanding, parts: string[]): string {
  const head = JSON.stringify({
    protocol: PROTOCOL,
    schema: standing.schema,
    plot: paired.plot_id,
    epoch: standing.epoch,
    device: paired.device_id,
    sent_at: new Date(wires.now()).toISOString(),
  });
  return `${head.slice(0, -1)},"ops":[${parts.join(',')}]}`;
}

/** Send a batch and store what came back. Answers false when the server turned out to have been restored. */
export async function sendBatch(wires: Wires, batch: Batch): Promise<boolean> {
  let results: Result[];
  try {
    results = await exchange(wires, batch);
  } catch (error) {
    await takeInRestore(wires, error, batch.before);
    return false;
  }
  await keepAnswers(wires, batch, results);
  return true;
}

export async function exchange(wires: Wires, batch: Batch): Promise<Result[]> {
  const ask = { method: 'POST' as const, json: batch.body };
  const { body } = await wires.server.ask<PushAnswer>('/api/v1/sync/push', ask);
  if (Array.isArray(body?.results) && body.epoch === batch.standing.epoch) return body.results;
  throw new NotHome('no results');
}

export function tellsOfRestore(error: unknown): error is Refused {
  return error instanceof Refused && error.is('epoch');
}

/**
 * If the server refused a batch because it was restored, take that in. `before`: as in `enterEpoch`, when nothing that was sent
 * behind that mark can have been stored. Throws any other error.
 */
export async function takeInRestore(wires: Wires, error: unknown, before?: number): Promise<void> {
  if (!tellsOfRestore(error)) throw error;
  await (await newHistory()).beginAnew(wires, error, before);
}

/** An operation leaves the outbox only in the transaction that stores what became of it. */
export async function keepAnswers(wires: Wires, batch: Batch, results: Result[]): Promise<void> {
  const byId = new Map(results.map((result) => [result.op_id, result]));
  const { epoch } = batch.standing;
  const large = batch.ops.length >= wires.large;
  const now = batch.ops.filter((op) => {
    const result = byId.get(op.op_id);
    return !(large && result && mayWait(op, result, epoch));
  });
  const types = new Set<string>(['outbox']);
  const rare = results.every(isThrough) ? undefined : await import('./turned_down');
  await wires.store.write(
    // Where all may wait, no row is looked at: reading what waits already would take longer than all the rest.
    now.length > 0 ? ['records', 'outbox', 'archive', 'meta'] : ['outbox', 'archive', 'meta'],
    async (tx) => {
      const standing = await standingIn(tx);
      if (standing.epoch !== epoch) return;
      const here = new Set(now);
      const done = new Set(batch.ops.filter((op) => !here.has(op)));
      const rows = await tx.rows(now.map((op) => op.id));
      const queued = await Promise.all(now.map((op) => tx.opsOf(op.id)));
      const but: string[] = [];
      now.forEach((op, i) => {
        const result = byId.get(op.op_id);
        if (!result) return;
        const row = rows[i] ?? blankRow(op.id, op.type ?? '', '');
        const rest = (queued[i] ?? []).filter((later) => later.n > op.n);
        if (!isThrough(result)) {
          rare?.keepTurnedDown(wires, tx, row, op, rest, result);
          return;
        }
        tx.put('records', acknowledged(row, op, result, rest, standing, wires.rules));
        done.add(op);
        but.push(op.op_id);
      });
      for (const op of batch.ops) types.add(op.type ?? '*');
      const key = leave(wires, tx, batch, done);
      if (now.length < batch.ops.length) await note(tx, { key, epoch, but });
    },
    { strict: false },
  );
  wires.tell(
    types,
    batch.ops.map((op) => op.id),
  );
}

/** Some of these answers are taken in late (landing.ts). */
async function note(tx: Tx, one: Note): Promise<void> {
  const notes = (await metaIn<Note[]>(tx, 'landed')) ?? [];
  tx.put('meta', { key: 'landed', value: [...notes, one] });
}

/** The operation may leave. */
function isThrough({ status }: Result): boolean {
  return status === 'applied' || status === 'merged' || status === 'duplicate' || status === 'conflict';
}

/**
 * The operations that are through leave the outbox for the archive; answers the key of their archive row. Of two batches in
 * one millisecond the key of the earlier comes first: a restore replays the archive in the order of its keys.
 */
function leave(wires: Wires, tx: Tx, batch: Batch, done: ReadonlySet<Op>): string {
  const ops = batch.ops.filter((op) => done.has(op));
  const [first] = ops;
  const last = ops.at(-1);
  if (!first || !last) return '';
  if (batch.whole && ops.length === batch.ops.length) tx.dropRange('outbox', first.n, last.n);
  else for (const op of ops) tx.drop('outbox', op.n);
  const key = `${new Date(clocks(wires)[1]).toISOString()} ${first.op_id}`;
  tx.put('archive', { key, ops });
  return key;
}

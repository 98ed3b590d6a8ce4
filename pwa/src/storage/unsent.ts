// What is on this phone only, act by act: for people who ask what was changed, or want something back.

import { typedIn, viewOf } from '../sync/view';
import { store } from './phone';
import type { Fields, Op } from './rows';

export type Unsent = {
  /** The record as the server last told it. */
  base: Fields;
  /** What was done to it since, in order. */
  ops: Op[];
};

export async function unsentOf(id: string): Promise<Unsent> {
  return await store.read(['records', 'outbox'], async (tx) => {
    const [row, ops] = await Promise.all([tx.get('records', id), tx.opsOf(id)]);
    return { base: row?.body ?? {}, ops: ops.filter((op) => !op.replay) };
  });
}

export type Gone = { id: string; type: string; body: Fields };

/** Records that were removed here, while the server still has them. */
export async function unsentRemovals(): Promise<Gone[]> {
  return await store.read(['records', 'outbox'], async (tx) => {
    const ids = new Set((await tx.all('outbox')).filter((op) => op.kind === 'del').map((op) => op.id));
    const found: Gone[] = [];
    for (const id of ids) {
      const [row, ops] = await Promise.all([tx.get('records', id), tx.opsOf(id)]);
      if (!row || row.deleted || !viewOf(row, ops).deleted) continue;
      found.push({ id, type: row.type, body: { ...row.body, ...typedIn(ops) } });
    }
    return found;
  });
}

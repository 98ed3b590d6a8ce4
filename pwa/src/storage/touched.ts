// Which records were written since somebody last asked: what a screen keeps of many records is then brought up to
// date by those alone. Noted in the very transaction that writes them, so that no crash parts the two.

import { metaIn } from './meta_rows';
import type { Store, Tx, WriteOptions } from './port';
import type { StoreName } from './rows';

/** Nobody asks: nothing is noted. More than so many: whoever asks reads everything anew. */
const MOST = 2_000;
const KEY = 'touched';

/** `turn` counts the beginnings of a list: what was kept under another one knows nothing of this one. */
export type Touched = { turn: number; ids: string[] | 'many' };

export function touchedIn(tx: Tx): Promise<Touched | undefined> {
  return metaIn<Touched>(tx, KEY);
}

export function putTouched(tx: Tx, value: Touched): void {
  tx.put('meta', { key: KEY, value });
}

/** A store that notes the ids of the records that are written through it. */
export class Noting implements Store {
  constructor(readonly base: Store) {}

  read<T>(stores: StoreName[], work: (tx: Tx) => Promise<T>): Promise<T> {
    return this.base.read(stores, work);
  }

  write<T>(stores: StoreName[], work: (tx: Tx) => Promise<T>, options?: WriteOptions): Promise<T> {
    if (!stores.includes('records')) return this.base.write(stores, work, options);
    return this.base.write(
      stores,
      async (tx) => {
        const ids = watched(tx);
        const result = await work(tx);
        if (ids.size > 0) await note(tx, ids);
        return result;
      },
      options,
    );
  }
}

/** An operation that leaves the outbox does so with its row, or its row's view stays as it was (sync/landing.ts). */
function watched(tx: Tx): Set<string> {
  const ids = new Set<string>();
  const { put, lay, queue, drop } = tx;
  tx.put = (store, value) => {
    if (store === 'records' || store === 'outbox') ids.add((value as { id: string }).id);
    put.call(tx, store, value);
  };
  tx.lay = (rows) => {
    for (const row of rows) ids.add(row.id);
    return lay.call(tx, rows);
  };
  tx.queue = (op) => {
    ids.add(op.id);
    queue.call(tx, op);
  };
  tx.drop = (store, key) => {
    if (store === 'records') ids.add(key as string);
    drop.call(tx, store, key);
  };
  return ids;
}

async function note(tx: Tx, fresh: ReadonlySet<string>): Promise<void> {
  const touched = await touchedIn(tx);
  if (!touched || touched.ids === 'many') return;
  const ids = new Set(touched.ids);
  const before = ids.size;
  for (const id of fresh) ids.add(id);
  if (ids.size > before) putTouched(tx, { ...touched, ids: ids.size > MOST ? 'many' : [...ids] });
}

// The port over IndexedDB. Writes are strict by default: `complete` then means flushed to the disk, which
// Chromium no longer promises of itself (developer.chrome.com, "IndexedDB durability mode now defaults to
// relaxed").

import { nameOf, withDb } from './database';
import { isPackable, Packs, packsOf } from './packs';
import type { Key, Store, Tx, WriteOptions } from './port';
import { answered, completed } from './requests';
import type { NewOp, Op, PhotoRow, Row, Shelves, StoreName } from './rows';
import { byId, byTime, isBulk, isInRound, isWithin, stretchOfRound, stretchOfTime } from './shelf';
import { clearTrouble, TROUBLE, tellTrouble } from './trouble';

const WORTH_A_STRETCH = 20;

class IdbTx implements Tx {
  #packs: Packs | undefined;

  constructor(readonly tx: IDBTransaction) {}

  get packs(): Packs {
    this.#packs ??= new Packs(this.tx);
    return this.#packs;
  }

  async get<S extends StoreName>(store: S, key: Key<S>): Promise<Shelves[S] | undefined> {
    if (store === 'records') return (await this.rows([key as string]))[0] as Shelves[S] | undefined;
    return await answered<Shelves[S] | undefined>(this.tx.objectStore(store).get(key));
  }
  async all<S extends StoreName>(store: S): Promise<Shelves[S][]> {
    const found = await answered<Shelves[S][]>(this.tx.objectStore(store).getAll());
    if (store !== 'records') return found;
    const packed = await this.packs.all();
    if (packed.size === 0) return found;
    for (const row of found as Row[]) packed.set(row.id, row);
    return byId([...packed.values()]) as Shelves[S][];
  }
  async count(store: StoreName): Promise<number> {
    if (store === 'records') return (await this.all(store)).length;
    return await answered(this.tx.objectStore(store).count());
  }
  opsOf(id: string): Promise<Op[]> {
    return answered(this.tx.objectStore('outbox').index('record').getAll(id));
  }
  opsFrom(n: number, count?: number): Promise<Op[]> {
    return answered(this.tx.objectStore('outbox').getAll(IDBKeyRange.lowerBound(n), count));
  }
  async rowsOf(type: string, from?: string, to?: string): Promise<Row[]> {
    const records = this.tx.objectStore('records');
    const range = IDBKeyRange.bound([type, from ?? ''], [type, to ?? '\uffff']);
    const indexed = answered<Row[]>(records.index('type_at').getAll(range));
    if (!isBulk(type)) return await indexed;
    const stretch = await this.#stretch(...stretchOfTime(from, to));
    const found = stretch.filter(
      (row) => row.type === type && row.at === undefined && isWithin(row, from, to),
    );
    return byTime([...found, ...(await indexed)]);
  }
  /**
   * Ids begin with the time they were made, so those of one batch mostly lie side by side: one request for the
   * whole stretch then costs a tenth of one for each. Where too much lies between them, one for each.
   */
  async rows(ids: readonly string[]): Promise<(Row | undefined)[]> {
    if (ids.length === 0) return []; // their store may not be in this transaction
    const found = await this.#loose(ids);
    const missing = ids.filter((_, i) => !found[i]);
    if (missing.length === 0) return found;
    const packed = await this.packs.of(missing);
    return ids.map((id, i) => found[i] ?? packed.get(id));
  }
  async #loose(ids: readonly string[]): Promise<(Row | undefined)[]> {
    const records = this.tx.objectStore('records');
    const order = [...ids].sort();
    const [first] = order;
    const last = order.at(-1);
    if (first !== undefined && last !== undefined && ids.length > WORTH_A_STRETCH) {
      const most = ids.length * 2;
      const stretch = await answered<Row[]>(records.getAll(IDBKeyRange.bound(first, last), most));
      if (stretch.length < most) {
        const here = new Map(stretch.map((row) => [row.id, row]));
        return ids.map((id) => here.get(id));
      }
    }
    return await Promise.all(ids.map((id) => answered<Row | undefined>(records.get(id))));
  }
  async rowsOfRound(roundId: string): Promise<Row[]> {
    const records = this.tx.objectStore('records');
    const indexed = answered<Row[]>(records.index('round').getAll(roundId));
    const stretch = stretchOfRound(roundId);
    if (!stretch) return await indexed;
    const near = await this.#stretch(...stretch);
    return [...near.filter((row) => isInRound(row, roundId)), ...(await indexed)];
  }
  /** Every row with an id in [low, high]. */
  async #stretch(low: string, high: string): Promise<Row[]> {
    const records = this.tx.objectStore('records');
    const loose = answered<Row[]>(records.getAll(IDBKeyRange.bound(low, high)));
    const rows = await this.packs.among(low, high);
    for (const row of await loose) rows.set(row.id, row);
    return byId([...rows.values()]);
  }
  openRows(): Promise<Row[]> {
    return answered(this.tx.objectStore('records').index('open').getAll());
  }
  async waitingPhotos(): Promise<string[]> {
    const keys = await answered(this.tx.objectStore('photos').index('waiting').getAllKeys());
    return (keys as string[]).reverse();
  }
  async photosIn(state: PhotoRow['state']): Promise<string[]> {
    const range = IDBKeyRange.bound([state, 0], [state, Infinity]);
    return (await answered(this.tx.objectStore('photos').index('state_at').getAllKeys(range))) as string[];
  }
  async thumbs(): Promise<string[]> {
    return (await answered(this.tx.objectStore('thumbs').getAllKeys())) as string[];
  }
  // No promise: one for each put is a third of the time of a pulled page.
  put<S extends StoreName>(store: S, value: Shelves[S]): void {
    this.tx.objectStore(store).put(value);
  }
  async lay(rows: readonly Row[]): Promise<void> {
    await this.packs.settle();
    const newest = new Map(rows.map((row) => [row.id, row]));
    const packable = byId([...newest.values()].filter(isPackable));
    const known = await this.#knownFrom(packable[0]?.id, packable.at(-1)?.id);
    const packed = packable.filter((row) => !known.has(row.id));
    for (const row of packed) newest.delete(row.id);
    for (const row of newest.values()) this.put('records', row);
    for (const pack of packsOf(packed)) this.packs.lay(pack);
  }
  async #knownFrom(low: string | undefined, high = low): Promise<Set<IDBValidKey>> {
    if (low === undefined) return new Set();
    const range = IDBKeyRange.bound(low, high);
    return new Set(await answered(this.tx.objectStore('records').getAllKeys(range)));
  }
  async shed(): Promise<void> {
    const known = await answered(this.tx.objectStore('records').getAllKeys());
    for (const id of known) this.packs.takeOut(id as string);
  }
  queue(op: NewOp): void {
    this.tx.objectStore('outbox').put(op);
  }
  drop<S extends StoreName>(store: S, key: Key<S>): void {
    this.tx.objectStore(store).delete(key);
    if (store === 'records') this.packs.takeOut(key as string);
  }
  /** What is not done yet of all that was asked for. */
  async settle(): Promise<void> {
    await this.#packs?.settle();
  }
  dropRange<S extends StoreName>(store: S, from: Key<S>, to: Key<S>): void {
    this.tx.objectStore(store).delete(IDBKeyRange.bound(from, to));
  }
}

export class IdbStore implements Store {
  #clearing = false;

  read<T>(stores: StoreName[], work: (tx: Tx) => Promise<T>): Promise<T> {
    return withDb(async (db) => await work(new IdbTx(db.transaction(reach(stores), 'readonly'))));
  }

  async write<T>(stores: StoreName[], work: (tx: Tx) => Promise<T>, options: WriteOptions = {}): Promise<T> {
    const durability = options.strict === false ? 'relaxed' : 'strict';
    const once = () =>
      withDb(async (db) => {
        const tx = db.transaction(reach(stores), 'readwrite', { durability });
        const asked = new IdbTx(tx);
        return await finish(
          tx,
          work(asked).then(async (result) => {
            await asked.settle();
            return result;
          }),
        );
      });
    try {
      const result = await once().catch((error: unknown) => this.#again(error, stores, once));
      clearTrouble(TROUBLE.full, TROUBLE.dead);
      return result;
    } catch (error) {
      if (nameOf(error) === 'QuotaExceededError') tellTrouble(TROUBLE.full);
      else if (DEAD_FOR_GOOD.has(nameOf(error))) tellTrouble(TROUBLE.dead);
      throw error;
    }
  }

  /** The phone is full: what can be had again elsewhere makes room (photos_room.ts), once. */
  async #again<T>(error: unknown, stores: StoreName[], once: () => Promise<T>): Promise<T> {
    if (nameOf(error) !== 'QuotaExceededError' || this.#clearing) throw error;
    this.#clearing = true;
    try {
      const { makeRoom, soonAgain } = await import('./photos_room');
      if (!(await makeRoom(this, stores))) throw error;
      return await soonAgain(once);
    } finally {
      this.#clearing = false;
    }
  }
}

/** Rows are in two stores, and nobody else need know. */
function reach(stores: StoreName[]): string[] {
  return stores.includes('records') ? [...stores, 'packs'] : stores;
}

const DEAD_FOR_GOOD = new Set(['UnknownError', 'InvalidStateError', 'AbortError']);

function commit(tx: IDBTransaction): void {
  try {
    tx.commit();
  } catch {
    // Nothing was asked of it for a moment, so it commits by itself; or it has failed, and says so.
  }
}

/**
 * Wait for the commit; if the work throws, undo all of it. The commit is asked for with the last write, not left to the
 * browser, which first tells the page how each write went: a page that was dropped meanwhile (a reload, a pocket)
 * would take them back.
 */
async function finish<T>(tx: IDBTransaction, work: Promise<T>): Promise<T> {
  const done = completed(tx);
  done.catch(() => undefined);
  try {
    const result = await work;
    commit(tx);
    await done;
    return result;
  } catch (error) {
    try {
      tx.abort();
    } catch {
      // It has aborted by itself (quota, dead handle): its own error says more than ours.
    }
    // A full disk shows as the transaction's error; the request that noticed only says "aborted".
    const cause = tx.error;
    throw cause && nameOf(error) === 'AbortError' ? cause : error;
  }
}

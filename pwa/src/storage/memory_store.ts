// The port over plain maps: same rules as IndexedDB (all or nothing, writers one after another, values copied
// on the way in), without its cost. The random histories run on it.

import type { Key, Store, Tx } from './port';
import type { NewOp, Op, Row, Shelves, StoreName } from './rows';
import { byTime, isListed, isWithin, roundOf } from './shelf';

type Shelf = Map<string | number, unknown>;
const NAMES: StoreName[] = ['records', 'outbox', 'archive', 'photos', 'thumbs', 'drafts', 'meta'];
const KEYS: Record<StoreName, string> = {
  records: 'id',
  outbox: 'n',
  archive: 'key',
  photos: 'sha256',
  thumbs: 'sha256',
  drafts: 'key',
  meta: 'key',
};

export class MemoryStore implements Store {
  #shelves: Record<StoreName, Shelf>;
  #lastN: number;
  #turn: Promise<unknown> = Promise.resolve();

  constructor(from?: MemoryStore) {
    const shelf = (name: StoreName): Shelf => new Map(from ? from.#shelves[name] : []);
    this.#shelves = Object.fromEntries(NAMES.map((name) => [name, shelf(name)])) as Record<StoreName, Shelf>;
    this.#lastN = from ? from.#lastN : 0;
  }

  /** What a phone restored from a backup of another phone has. */
  clone(): MemoryStore {
    return new MemoryStore(this);
  }

  read<T>(_stores: StoreName[], work: (tx: Tx) => Promise<T>): Promise<T> {
    return this.#next(() => work(this.#tx([])));
  }

  write<T>(_stores: StoreName[], work: (tx: Tx) => Promise<T>): Promise<T> {
    return this.#next(async () => {
      const undo: (() => void)[] = [];
      const lastN = this.#lastN;
      try {
        return await work(this.#tx(undo));
      } catch (error) {
        for (const step of undo.reverse()) step();
        this.#lastN = lastN;
        throw error;
      }
    });
  }

  #next<T>(work: () => Promise<T>): Promise<T> {
    const mine = this.#turn.then(work);
    this.#turn = mine.catch(() => undefined);
    return mine;
  }

  #set(undo: (() => void)[], store: StoreName, key: string | number, value: unknown): void {
    const shelf = this.#shelves[store];
    const had = shelf.has(key);
    const old = shelf.get(key);
    undo.push(() => (had ? shelf.set(key, old) : shelf.delete(key)));
    if (value === undefined) shelf.delete(key);
    else shelf.set(key, value);
  }

  #tx(undo: (() => void)[]): Tx {
    const values = <S extends StoreName>(store: S) => [...this.#shelves[store].values()] as Shelves[S][];
    const ops = () => values('outbox').sort((a, b) => a.n - b.n);
    const rows = () => values('records');
    const put = (store: StoreName, value: unknown): void => {
      const copy = structuredClone(value) as Record<string, string | number>;
      this.#set(undo, store, copy[KEYS[store]] as string | number, copy);
    };
    return {
      get: async <S extends StoreName>(store: S, key: Key<S>) =>
        this.#shelves[store].get(key) as Shelves[S] | undefined,
      all: async (store) => (store === 'outbox' ? (ops() as never) : sorted(values(store), KEYS[store])),
      count: async (store) => this.#shelves[store].size,
      opsOf: async (id) => ops().filter((op) => op.id === id),
      opsFrom: async (n, count) =>
        ops()
          .filter((op) => op.n >= n)
          .slice(0, count),
      rowsOf: async (type, from, to) =>
        byTime(rows().filter((row) => row.type === type && isWithin(row, from, to))),
      rows: async (ids) => ids.map((id) => this.#shelves.records.get(id) as Row | undefined),
      rowsOfRound: async (roundId) =>
        rows().filter((row) => row.type === 'slug_count' && isListed(row) && roundOf(row) === roundId),
      openRows: async () => sorted(rows(), 'id').filter((row: Row) => row.open === 1),
      waitingPhotos: async () => {
        const waiting = values('photos').filter((photo) => photo.waiting !== undefined);
        return waiting.sort((a, b) => (b.waiting ?? 0) - (a.waiting ?? 0)).map((photo) => photo.sha256);
      },
      photosIn: async (state) => {
        const found = values('photos').filter((photo) => photo.state === state);
        return found.sort((a, b) => a.added_at - b.added_at).map((photo) => photo.sha256);
      },
      thumbs: async () => [...this.#shelves.thumbs.keys()].sort() as string[],
      put,
      lay: async (found) => {
        for (const row of found) put('records', row);
      },
      shed: async () => undefined,
      queue: (op: NewOp) => {
        this.#lastN += 1;
        put('outbox', { ...op, n: this.#lastN } satisfies Op);
      },
      drop: (store, key) => this.#set(undo, store, key, undefined),
      dropRange: (store, from, to) => {
        for (const key of [...this.#shelves[store].keys()]) {
          if (key >= from && key <= to) this.#set(undo, store, key, undefined);
        }
      },
    };
  }
}

function sorted<T>(list: T[], field: string): T[] {
  const of = (item: T) => (item as Record<string, string | number>)[field] ?? '';
  return list.sort((a, b) => (of(a) < of(b) ? -1 : of(a) > of(b) ? 1 : 0));
}

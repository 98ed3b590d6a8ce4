// Many rows in one value. On a first pull the database takes nearly all the time, and most of that is one put for each
// row; so the bulk of what comes is laid down in packs. Only rows that their id leads to (shelf.ts) are in packs, a pack
// holds a short stretch of ids, and no row in one is ever changed: whoever changes it puts it into `records`, where it
// stands before the copy in its pack.

import { newId } from './ids';
import { answered } from './requests';
import type { Row } from './rows';
import { idAt, isBulk, timeIn } from './shelf';

/** First and last id in it, and a name, since two may have the same ends. */
export type Pack = { key: [first: string, last: string, name: string]; rows: Row[] };

/** To have one row its pack is read whole: 128 rows are read in about a millisecond. */
const MOST_ROWS = 128;
/** So far apart are the first and the last id of a pack at most: a day is then in few of them. */
const MOST_MS = 3 * 86_400_000;

/** Whether its id alone leads to it. */
export function isPackable(row: Row): boolean {
  const { at, round_id, open, when } = row;
  return isBulk(row.type) && (at ?? round_id ?? open ?? when) === undefined;
}

/** Rows, in the order of their ids, cut into packs. */
export function packsOf(rows: readonly Row[]): Pack[] {
  const packs: Pack[] = [];
  let pack: Pack | undefined;
  for (const row of rows) {
    if (!pack || pack.rows.length === MOST_ROWS || timeIn(row.id) - timeIn(pack.key[0]) > MOST_MS) {
      pack = { key: [row.id, row.id, newId()], rows: [] };
      packs.push(pack);
    }
    pack.key[1] = row.id;
    pack.rows.push(row);
  }
  return packs;
}

/** The packs, within one transaction. */
export class Packs {
  readonly #store: IDBObjectStore;
  /** Rows to be taken out before anything is read, and before the transaction ends. */
  readonly #gone = new Set<string>();
  #settled = Promise.resolve();

  constructor(tx: IDBTransaction) {
    this.#store = tx.objectStore('packs');
  }

  /** The rows with ids in [low, high]. */
  async among(low: string, high: string): Promise<Map<string, Row>> {
    await this.settle();
    return newest(
      await answered<Pack[]>(this.#store.getAll(overlapping(low, high))),
      (id) => id >= low && id <= high,
    );
  }

  async all(): Promise<Map<string, Row>> {
    await this.settle();
    return newest(await answered<Pack[]>(this.#store.getAll()), () => true);
  }

  async of(ids: readonly string[]): Promise<Map<string, Row>> {
    await this.settle();
    const wanted = new Set(ids);
    return newest(await this.#with(ids), (id) => wanted.has(id));
  }

  lay(pack: Pack): void {
    this.#store.put(pack);
  }

  takeOut(id: string): void {
    this.#gone.add(id);
  }

  /** Whoever asks meanwhile waits for the same end. */
  settle(): Promise<void> {
    if (this.#gone.size > 0) {
      const gone = new Set(this.#gone);
      this.#gone.clear();
      this.#settled = this.#settled.then(() => this.#takeOut(gone));
    }
    return this.#settled;
  }

  async #takeOut(gone: ReadonlySet<string>): Promise<void> {
    for (const pack of await this.#with([...gone])) {
      const rows = pack.rows.filter((row) => !gone.has(row.id));
      if (rows.length === 0) this.#store.delete(pack.key);
      else if (rows.length < pack.rows.length) this.lay({ ...pack, rows });
    }
  }

  async #with(ids: readonly string[]): Promise<Pack[]> {
    const order = [...ids].sort();
    const [low = ''] = order;
    const keys = await answered(this.#store.getAllKeys(overlapping(low, order.at(-1) ?? '')));
    const near = (keys as Pack['key'][]).filter(([first, last]) => {
      const next = order[placeOf(first, order)];
      return next !== undefined && next <= last;
    });
    return await Promise.all(near.map((key) => answered<Pack>(this.#store.get(key))));
  }
}

/** Where the first that is not below `bound` stands in the order: with all the ids of ten years, one look at each is too many. */
function placeOf(bound: string, order: readonly string[]): number {
  let [low, high] = [0, order.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((order[middle] ?? '') < bound) low = middle + 1;
    else high = middle;
  }
  return low;
}

function overlapping(low: string, high: string): IDBKeyRange {
  return IDBKeyRange.bound([idAt((timeIn(low) || 0) - MOST_MS)], [high, '~']);
}

/** A record that moved up during the pull is in two packs. */
function newest(packs: readonly Pack[], wanted: (id: string) => boolean): Map<string, Row> {
  const found = new Map<string, Row>();
  for (const row of packs.flatMap((pack) => pack.rows))
    if (wanted(row.id) && row.rev > (found.get(row.id)?.rev ?? -1)) found.set(row.id, row);
  return found;
}

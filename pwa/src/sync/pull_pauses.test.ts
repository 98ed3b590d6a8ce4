// While a large page is stored, a tap can be drawn: the rows are handed to the database a part at a time.

import 'fake-indexeddb/auto';
import { expect, test, vi } from 'vitest';
import { closeDatabase, DB_NAME } from '../storage/database';
import { IdbStore } from '../storage/idb_store';
import { BEFORE_FIRST_SYNC } from '../storage/meta_rows';
import type { Store } from '../storage/port';
import { answered } from '../storage/requests';
import { keepPage } from './pull';
import { RULES } from './rules';
import { Server } from './server';
import { LARGE } from './wires';

test.each([
  ['notes', { type: 'note' as const, body: { text: 'slugs' } }],
  ['counts in packs', { type: 'slug_count' as const, body: { observed_at: '2026-05-01T05:00:00Z' } }],
])(
  'of a thousand %s no more than a part are written without a pause, all in one transaction',
  async (_, made) => {
    await closeDatabase();
    await answered(indexedDB.deleteDatabase(DB_NAME));
    const base = new IdbStore();
    let [pauses, transactions] = [0, 0];
    const inOneGo: number[] = [];
    const { put, get, getAllKeys } = IDBObjectStore.prototype;
    const watch = vi.spyOn(IDBObjectStore.prototype, 'put');
    watch.mockImplementation(function (this: IDBObjectStore, value: { rows?: unknown[] }) {
      inOneGo[pauses] = (inOneGo[pauses] ?? 0) + (value.rows?.length ?? 1);
      return put.call(this, value);
    });
    const asked = { get, getAllKeys };
    for (const name of ['get', 'getAllKeys'] as const)
      vi.spyOn(IDBObjectStore.prototype, name).mockImplementation(function (
        this: IDBObjectStore,
        query: unknown,
      ) {
        pauses += 1;
        return asked[name].call(this, query as IDBValidKey) as never;
      });
    const store: Store = {
      read: (...asked) => base.read(...asked),
      write: (...asked) => {
        transactions += 1;
        return base.write(...asked);
      },
    };
    const records = Array.from({ length: 1000 }, (_, i) => ({
      // Made at 2026-05-01T00:00:00.001Z.
      id: `019de0d5-c801-7d8d-8a68-${String(i).padStart(12, '0')}`,
      rev: 1,
      deleted: false,
      ...made,
    }));
    const server = new Server(() => Promise.reject(new TypeError('no network')));
    const wires = {
      store,
      rules: RULES,
      server,
      now: () => 0,
      random: () => 0,
      newId: () => '',
      large: LARGE,
    };
    const page = { epoch: '', schema: 1, records, cursor: 'c', more: false };
    await keepPage({ ...wires, tell: () => undefined }, page, BEFORE_FIRST_SYNC);
    vi.restoreAllMocks();
    expect(Math.max(...Object.values(inOneGo))).toBeLessThanOrEqual(251);
    expect(transactions).toBe(1);
    expect(await base.read(['records'], (tx) => tx.count('records'))).toBe(1000);
  },
);

// While a large page is stored, a tap can be drawn: the rows are handed to the database a part at a time.

import 'fake-indexeddb/auto';
import { expect, test } from 'vitest';
import { IdbStore } from '../storage/idb_store';
import { BEFORE_FIRST_SYNC } from '../storage/meta_rows';
import type { Store } from '../storage/port';
import { keepPage } from './pull';
import { RULES } from './rules';
import { Server } from './server';
import { LARGE } from './wires';

test('of a thousand rows no more than a part are written without a pause, all in one transaction', async () => {
  const base = new IdbStore();
  let [pauses, transactions] = [0, 0];
  const inOneGo: number[] = [];
  const store: Store = {
    read: (...asked) => base.read(...asked),
    write: (stores, work, options) =>
      base.write(
        stores,
        async (tx) => {
          transactions += 1;
          const { put, get } = tx;
          tx.put = (...row) => {
            inOneGo[pauses] = (inOneGo[pauses] ?? 0) + 1;
            put.apply(tx, row);
          };
          tx.get = async (store, key) => {
            const found = await get.call(tx, store, key);
            pauses += 1;
            return found as never;
          };
          return await work(tx);
        },
        options,
      ),
  };
  const records = Array.from({ length: 1000 }, (_, i) => ({
    id: `r${i}`,
    type: 'note' as const,
    rev: 1,
    deleted: false,
    body: { text: String(i) },
  }));
  const server = new Server(() => Promise.reject(new TypeError('no network')));
  const wires = { store, rules: RULES, server, now: () => 0, random: () => 0, newId: () => '', large: LARGE };
  const page = { epoch: '', schema: 1, records, cursor: 'c', more: false };
  await keepPage({ ...wires, tell: () => undefined }, page, BEFORE_FIRST_SYNC);
  expect(Math.max(...Object.values(inOneGo))).toBeLessThanOrEqual(251);
  expect(transactions).toBe(1);
  expect(await base.read(['records'], (tx) => tx.count('records'))).toBe(1000);
});

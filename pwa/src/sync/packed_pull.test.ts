// Pulls into IndexedDB, where the rows of a first pull lie many in a value (storage/packs.ts).

import 'fake-indexeddb/auto';
import { beforeEach, expect, test } from 'vitest';
import { closeDatabase, DB_NAME, withDb } from '../storage/database';
import { IdbStore } from '../storage/idb_store';
import { BEFORE_FIRST_SYNC, putStanding, type SyncStanding, standingIn } from '../storage/meta_rows';
import type { Pack } from '../storage/packs';
import { answered } from '../storage/requests';
import type { Row } from '../storage/rows';
import { keepPage } from './pull';
import { RULES } from './rules';
import { Server } from './server';
import { LARGE } from './wires';

const N = 300;
const server = new Server(() => Promise.reject(new TypeError('no network')));
const rest = { rules: RULES, server, now: () => 0, random: () => 0, newId: () => '', large: LARGE };

let store: IdbStore;
beforeEach(async () => {
  await closeDatabase();
  await answered(indexedDB.deleteDatabase(DB_NAME));
  store = new IdbStore();
});

const packsHere = (): Promise<Pack[]> =>
  withDb((db) => answered<Pack[]>(db.transaction('packs').objectStore('packs').getAll()));
const rowsHere = (): Promise<Row[]> => store.read(['records'], (tx) => tx.all('records'));

/** Counts made at 2026-05-01T00:00:00.001Z. */
function counts(rev: number) {
  return Array.from({ length: N }, (_, i) => ({
    id: `019de0d5-c801-7d8d-8a68-${String(i).padStart(12, '0')}`,
    type: 'slug_count' as const,
    rev,
    deleted: false,
    body: { observed_at: '2026-05-01T05:00:00Z', count: rev },
  }));
}

/** The last page of a pull from there. */
async function pulled(records: ReturnType<typeof counts>, standing: SyncStanding): Promise<void> {
  await store.write(['meta'], async (tx) => putStanding(tx, standing));
  const page = { epoch: standing.epoch, schema: 1, records, cursor: 'c', more: false };
  await keepPage({ ...rest, store, tell: () => undefined }, page, standing);
}

test('a first pull lies in packs; a later one stands before them', async () => {
  await pulled(counts(1), { ...BEFORE_FIRST_SYNC, epoch: 'e' });
  expect(await packsHere()).toHaveLength(3); // of 128, 122 and 50 rows: it comes in parts of 250
  const standing = await store.read(['meta'], standingIn);
  expect(standing).not.toHaveProperty('full');
  await pulled(counts(2).slice(0, 2), standing);
  expect((await rowsHere()).map((row) => row.rev)).toEqual([2, 2, ...Array(N - 2).fill(1)]);
  expect(await packsHere()).toHaveLength(3);
});

test('a whole pull of another history lies in rows, and the packs are gone', async () => {
  await pulled(counts(1), { ...BEFORE_FIRST_SYNC, epoch: 'e' });
  await pulled(counts(2), { epoch: 'f', schema: 1, seen: 2, full: 'restored' });
  expect(await packsHere()).toEqual([]);
  expect(new Set((await rowsHere()).map((row) => `${row.epoch} ${row.rev} ${row.body.count}`))).toEqual(
    new Set(['f 2 2']),
  );
  expect(await rowsHere()).toHaveLength(N);
});

test('what a whole pull of the same history does not bring is gone from the packs as well', async () => {
  await pulled(counts(1), { ...BEFORE_FIRST_SYNC, epoch: 'e' });
  const left = counts(1).filter((_, i) => i % 3 > 0);
  await pulled(left, { epoch: 'e', schema: 1, seen: 2, full: 'expired' });
  expect((await rowsHere()).map((row) => row.id)).toEqual(left.map((copy) => copy.id));
  expect(await packsHere()).toEqual([]);
});

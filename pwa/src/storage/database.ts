// The one IndexedDB of the app: opening, migrating, reopening a dead handle, and saying so when it cannot.
//
// Safari may kill a handle while the phone is locked ("Connection to Indexed Database server lost",
// dexie/Dexie.js issue 2008); nothing works on it until it is opened anew. Hence no handle is trusted for long.

import { type DBSchema, type IDBPDatabase, openDB } from 'idb';
import { DB_VERSION, migrate } from './migrations';
import type { ArchiveRow, KeyedRow, Op, PhotoRow, Row, ThumbRow } from './rows';
import { clearTrouble, TROUBLE, tellTrouble } from './trouble';

export const DB_NAME = 'underboard';

export interface Schema extends DBSchema {
  records: { key: string; value: Row; indexes: { type_at: [string, string]; round: string; open: number } };
  outbox: { key: number; value: Op; indexes: { record: string } };
  archive: { key: string; value: ArchiveRow };
  photos: { key: string; value: PhotoRow; indexes: { waiting: number; state_at: [string, number] } };
  thumbs: { key: string; value: ThumbRow };
  drafts: { key: string; value: KeyedRow };
  meta: { key: string; value: KeyedRow };
}
export type Database = IDBPDatabase<Schema>;

let opening: Promise<Database> | undefined;

async function open(): Promise<Database> {
  const mine = openDB<Schema>(DB_NAME, DB_VERSION, {
    upgrade: (db, from, _to, tx) => migrate(db, from, tx),
    blocked: () => tellTrouble(TROUBLE.blocked),
    // A newer page wants to upgrade: let go at once, or it hangs. This page then meets VersionError and says so.
    blocking: () => void closeDatabase(),
    terminated: () => {
      if (opening === mine) opening = undefined;
    },
  });
  opening = mine;
  try {
    const db = await mine;
    clearTrouble(TROUBLE.blocked);
    return db;
  } catch (error) {
    if (opening === mine) opening = undefined;
    if (nameOf(error) === 'VersionError') tellTrouble(TROUBLE.newer);
    throw error;
  }
}

/** Close the handle; the next use opens a new one. Running transactions finish first. */
export async function closeDatabase(): Promise<void> {
  const was = opening;
  opening = undefined;
  if (was) await was.then((db) => db.close()).catch(() => undefined);
}

const DEAD = new Set(['UnknownError', 'InvalidStateError', 'AbortError']);

/** Run `work` on the database; on a dead handle open a new one and run it once more. */
export async function withDb<T>(work: (db: Database) => Promise<T>): Promise<T> {
  try {
    return await work(await (opening ?? open()));
  } catch (error) {
    if (!DEAD.has(nameOf(error))) throw error;
    await closeDatabase();
    return await work(await (opening ?? open()));
  }
}

export function nameOf(error: unknown): string {
  return typeof error === 'object' && error !== null && 'name' in error ? String(error.name) : '';
}

/** A handle that was open before the screen went dark may be dead after: never keep one across that. */
export function dropHandleWhenHidden(doc: Document): void {
  doc.addEventListener('visibilitychange', () => {
    if (doc.visibilityState === 'hidden') void closeDatabase();
  });
}

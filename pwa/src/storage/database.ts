// The one IndexedDB of the app: opening, migrating, reopening a dead handle, and saying so when it cannot.
//
// Safari may kill a handle while the phone is locked ("Connection to Indexed Database server lost",
// dexie/Dexie.js issue 2008); nothing works on it until it is opened anew. Hence no handle is trusted for long.

import { DB_VERSION, migrate, type Step } from './migrations';
import { answered } from './requests';
import { clearTrouble, TROUBLE, tellTrouble } from './trouble';

export const DB_NAME = 'underboard';

let opening: Promise<IDBDatabase> | undefined;

/** The database at a version, made or brought up to it by `steps`. */
export function openAt(version: number, steps?: Step[], blocked?: () => void): Promise<IDBDatabase> {
  const request = indexedDB.open(DB_NAME, version);
  request.onupgradeneeded = ({ oldVersion }) => {
    const tx = request.transaction;
    if (tx) migrate(request.result, oldVersion, tx, steps).catch(() => tx.abort());
  };
  if (blocked) request.onblocked = blocked;
  return answered(request);
}

async function open(): Promise<IDBDatabase> {
  const mine = openAt(DB_VERSION, undefined, () => tellTrouble(TROUBLE.blocked));
  opening = mine;
  try {
    const db = await mine;
    // A newer page wants to upgrade: let go at once, or it hangs. This page then meets VersionError and says so.
    db.onversionchange = () => void closeDatabase();
    db.onclose = () => {
      if (opening === mine) opening = undefined;
    };
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

/** Two more: of those who meet the same dead handle, one may close what another has just opened. */
const TRIES = 3;

/** Run `work` on the database; on a dead handle open a new one and run it again. */
export async function withDb<T>(work: (db: IDBDatabase) => Promise<T>): Promise<T> {
  for (let tries = 1; ; tries += 1) {
    try {
      return await work(await (opening ?? open()));
    } catch (error) {
      if (tries === TRIES || !DEAD.has(nameOf(error))) throw error;
      await closeDatabase();
    }
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

// Steps of the database on the phone. Only add steps: never edit one after its release, never drop a store.
// Before any step on a database with content, the outbox is copied into meta.backup in the same transaction.

import { answered } from './requests';

export type Step = { version: number; migrate: (db: IDBDatabase, tx: IDBTransaction) => void };

export const STEPS: Step[] = [
  {
    version: 1,
    migrate(db) {
      const records = db.createObjectStore('records', { keyPath: 'id' });
      // Each index costs a write for every pulled record: only what a screen really asks for.
      records.createIndex('type_at', ['type', 'at']);
      records.createIndex('round', 'round_id');
      records.createIndex('open', 'open');
      const outbox = db.createObjectStore('outbox', { keyPath: 'n', autoIncrement: true });
      outbox.createIndex('record', 'id');
      db.createObjectStore('archive', { keyPath: 'key' });
      const photos = db.createObjectStore('photos', { keyPath: 'sha256' });
      photos.createIndex('waiting', 'waiting');
      db.createObjectStore('drafts', { keyPath: 'key' });
      db.createObjectStore('meta', { keyPath: 'key' });
    },
  },
  {
    version: 2,
    migrate(db, tx) {
      db.createObjectStore('thumbs', { keyPath: 'sha256' });
      // Which originals may go when room is needed, without reading one of them.
      tx.objectStore('photos').createIndex('state_at', ['state', 'added_at']);
    },
  },
  {
    version: 3,
    migrate(db) {
      db.createObjectStore('packs', { keyPath: 'key' });
    },
  },
];

export const DB_VERSION = Math.max(...STEPS.map((step) => step.version));

export async function migrate(
  db: IDBDatabase,
  from: number,
  tx: IDBTransaction,
  steps: Step[] = STEPS,
): Promise<void> {
  if (from > 0) {
    const ops = await answered(tx.objectStore('outbox').getAll());
    tx.objectStore('meta').put({ key: 'backup', value: JSON.stringify({ from, ops }) });
  }
  for (const step of steps) if (step.version > from) step.migrate(db, tx);
}

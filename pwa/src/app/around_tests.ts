/**
 * Before every test file: Vitest draws no screens, so nobody fetches their words. After it: clock, browser and database
 * are as they were, for the files of a process share them.
 */
import { afterAll, vi } from 'vitest';
import { closeDatabase, DB_NAME } from '../storage/database';
import { loadScreenTexts } from '../text/catalogue';

afterAll(async () => {
  vi.useRealTimers();
  vi.unstubAllGlobals();
  vi.restoreAllMocks();
  if (!('indexedDB' in globalThis)) return;
  await closeDatabase();
  await new Promise((done) => {
    indexedDB.deleteDatabase(DB_NAME).onsuccess = done;
  });
  vi.resetModules(); // what remembers something of the database
});

await loadScreenTexts();

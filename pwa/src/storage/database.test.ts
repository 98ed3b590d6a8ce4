// Dead handles, full disks, newer databases: the storage either has what was typed or says that it has not.
// Error names: W3C Indexed Database API 3.0; their habit of dying on iOS: dexie/Dexie.js issues 1139, 2008.

import 'fake-indexeddb/auto';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { closeDatabase, DB_NAME, withDb } from './database';
import { get, list, loadDraft, save, saveDraft, saveMany, saveTrouble } from './index';
import { DB_VERSION, migrate } from './migrations';
import { store } from './phone';
import { TROUBLE } from './trouble';

const AT = '2026-05-01T05:10:00+01:00';

beforeEach(async () => {
  await closeDatabase();
  await new Promise((done) => {
    indexedDB.deleteDatabase(DB_NAME).onsuccess = done;
  });
  saveTrouble.value = null;
});
afterEach(() => {
  vi.restoreAllMocks();
});

/** IndexedDB as on a phone that was locked: every `every`th transaction finds a dead handle. */
function deadHandles(every: number, name = 'UnknownError'): { thrown: number } {
  const real = IDBDatabase.prototype.transaction;
  const seen = { thrown: 0 };
  let calls = 0;
  vi.spyOn(IDBDatabase.prototype, 'transaction').mockImplementation(function (this: IDBDatabase, ...args) {
    calls += 1;
    if (calls % every === 0) {
      seen.thrown += 1;
      throw new DOMException(
        'Connection to Indexed Database server lost. Refresh the page to try again',
        name,
      );
    }
    return real.apply(this, args);
  });
  return seen;
}

/** The next commits fail for want of room, as Safari and Chromium report it: on the transaction. */
function fullDisk(): void {
  vi.spyOn(IDBObjectStore.prototype, 'put').mockImplementation(function (this: IDBObjectStore) {
    throw new DOMException('The quota has been exceeded.', 'QuotaExceededError');
  });
}

describe('a draft', () => {
  test('is on its way, commit and all, before the tap that changed it is over', async () => {
    await saveDraft('round:1', { open: 'a' });
    const put = vi.spyOn(IDBObjectStore.prototype, 'put');
    const commit = vi.spyOn(IDBTransaction.prototype, 'commit');
    const kept = saveDraft('round:1', { open: 'b' });
    // Microtasks alone, which belong to the tap: nothing that the browser answers later has come in yet.
    for (let turn = 0; turn < 50; turn += 1) await Promise.resolve();
    expect([put.mock.calls.length, commit.mock.calls.length]).toEqual([1, 1]);
    await kept;
    expect(await loadDraft('round:1')).toEqual({ open: 'b' });
  });
});

describe('a save', () => {
  test('stores record and operation in one strict transaction', async () => {
    const opened = vi.spyOn(IDBDatabase.prototype, 'transaction');
    await save('note', 'n1', { text: 'slugs', observed_at: AT });
    const writes = opened.mock.calls.filter(([, mode]) => mode === 'readwrite');
    expect(writes).toHaveLength(1);
    expect(writes[0]?.[0]).toEqual(expect.arrayContaining(['records', 'outbox']));
    expect(writes[0]?.[2]).toEqual({ durability: 'strict' });
  });

  test('resolves only after the transaction is complete', async () => {
    let complete = false;
    const real = IDBDatabase.prototype.transaction;
    vi.spyOn(IDBDatabase.prototype, 'transaction').mockImplementation(function (this: IDBDatabase, ...args) {
      const tx = real.apply(this, args);
      if (args[1] === 'readwrite') tx.addEventListener('complete', () => (complete = true));
      return tx;
    });
    await save('note', 'n1', { text: 'slugs', observed_at: AT });
    expect(complete).toBe(true);
  });

  test('several at once are stored all or none', async () => {
    const impossible = { text: () => undefined } as unknown as { text: string };
    const saving = saveMany([
      { type: 'note', id: 'n1', set: { text: 'kept?', observed_at: AT } },
      { type: 'note', id: 'n2', set: impossible },
    ]);
    await expect(saving).rejects.toThrow();
    expect(await list('note')).toEqual([]);
  });
});

describe('dead handles', () => {
  test.each(['UnknownError', 'InvalidStateError', 'AbortError'])(
    'one %s is opened anew, unseen',
    async (name) => {
      const storm = deadHandles(2, name);
      await save('note', 'n1', { text: 'one', observed_at: AT });
      await save('note', 'n2', { text: 'two', observed_at: AT });
      expect(storm.thrown).toBeGreaterThan(0);
      expect(saveTrouble.value).toBeNull();
      vi.restoreAllMocks();
      expect((await list('note')).map((view) => view.body.text)).toEqual(['one', 'two']);
    },
  );

  test('a storm on every seventh transaction loses no record and doubles none', async () => {
    const storm = deadHandles(7);
    for (let i = 0; i < 50; i += 1) await save('note', `n${i}`, { text: `t${i}`, observed_at: AT });
    vi.restoreAllMocks();
    expect(storm.thrown).toBeGreaterThan(5);
    expect(await list('note')).toHaveLength(50);
    expect(await store.read(['outbox'], (tx) => tx.count('outbox'))).toBe(50);
  });

  test('when it stays dead the save fails and the banner says "not saved"', async () => {
    await saveDraft('form', { text: 'typed' });
    deadHandles(1);
    await expect(save('note', 'n1', { text: 'lost?', observed_at: AT })).rejects.toThrow();
    expect(saveTrouble.value).toBe(TROUBLE.dead);
    vi.restoreAllMocks();
    expect(await get('note', 'n1')).toBeUndefined();
    expect(await loadDraft('form')).toEqual({ text: 'typed' });
    await save('note', 'n1', { text: 'lost?', observed_at: AT });
    expect(saveTrouble.value).toBeNull();
  });
});

describe('a full phone', () => {
  test('refuses, says so, keeps what was there and takes the banner down once there is room', async () => {
    await save('note', 'n1', { text: 'before', observed_at: AT });
    fullDisk();
    await expect(save('note', 'n2', { text: 'too much', observed_at: AT })).rejects.toThrow('quota');
    expect(saveTrouble.value).toBe(TROUBLE.full);
    vi.restoreAllMocks();
    expect((await list('note')).map((view) => view.id)).toEqual(['n1']);
    await save('note', 'n2', { text: 'too much', observed_at: AT });
    expect(saveTrouble.value).toBeNull();
  });
});

describe('versions', () => {
  test('an older page on a newer database says "reload" and deletes nothing', async () => {
    await save('note', 'n1', { text: 'kept', observed_at: AT });
    await closeDatabase();
    const newer = await openAt(DB_VERSION + 1);
    newer.close();
    await expect(save('note', 'n2', { text: 'x', observed_at: AT })).rejects.toMatchObject({
      name: 'VersionError',
    });
    expect(saveTrouble.value).toBe(TROUBLE.newer);
    const again = await openAt(DB_VERSION + 1);
    const kept = await new Promise((done) => {
      const request = again.transaction('records').objectStore('records').get('n1');
      request.onsuccess = () => done(request.result);
    });
    expect(kept).toMatchObject({ id: 'n1' });
    again.close();
  });

  test('an open page lets a newer one upgrade: it is not blocked', async () => {
    await save('note', 'n1', { text: 'kept', observed_at: AT });
    let blocked = false;
    const newer = await openAt(DB_VERSION + 1, () => (blocked = true));
    newer.close();
    expect(blocked).toBe(false);
  });

  test('an upgrade copies the outbox into meta.backup first, in the same transaction', async () => {
    await save('note', 'n1', { text: 'queued', observed_at: AT });
    const put = vi.fn();
    await withDb(async (db) => {
      const tx = db.transaction(['outbox', 'meta'], 'readwrite');
      const spied = {
        objectStore: (name: string) => (name === 'meta' ? { put } : tx.objectStore(name)),
      };
      const step = vi.fn();
      await migrate(db, 1, spied as never, [{ version: 2, migrate: step }]);
      expect(step).toHaveBeenCalledOnce();
    });
    const [{ key, value }] = put.mock.calls[0] as [{ key: string; value: string }];
    expect(key).toBe('backup');
    expect(JSON.parse(value)).toMatchObject({ from: 1, ops: [{ id: 'n1', set: { text: 'queued' } }] });
  });
});

function openAt(version: number, blocked?: () => void): Promise<IDBDatabase> {
  return new Promise((done, fail) => {
    const request = indexedDB.open(DB_NAME, version);
    request.onsuccess = () => done(request.result);
    request.onerror = () => fail(request.error);
    request.onblocked = () => blocked?.();
  });
}

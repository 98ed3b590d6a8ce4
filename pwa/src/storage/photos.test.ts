// A full phone keeps counts first, photos that are nowhere else second, and lets go of what the server has.
// Names of errors and of the estimate: W3C Indexed Database API 3.0; WHATWG Storage, "StorageManager.estimate".

import 'fake-indexeddb/auto';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { closeDatabase, DB_NAME, openAt, withDb } from './database';
import { list, save, saveTrouble } from './index';
import { STEPS } from './migrations';
import { store } from './phone';
import { forgetPhoto, loadPhoto, loadThumb, PhotoRefused, photoStates, savePhoto, tryAgain } from './photos';
import { dropSent } from './photos_room';
import { completed } from './requests';

const AT = '2026-05-01T05:10:00+01:00';
const INFO = { mime: 'image/jpeg', taken_at: AT };
const MB = 1024 * 1024;

function bytesOf(text: string): ArrayBuffer {
  return new TextEncoder().encode(text).buffer as ArrayBuffer;
}

beforeEach(async () => {
  await closeDatabase();
  await new Promise((done) => {
    indexedDB.deleteDatabase(DB_NAME).onsuccess = done;
  });
  saveTrouble.value = null;
});
afterEach(() => {
  vi.restoreAllMocks();
  vi.unstubAllGlobals();
});

function room(usage: number, quota: number): void {
  vi.stubGlobal('navigator', { storage: { estimate: async () => ({ usage, quota }) } });
}

/** What was sent is on the server too. */
async function sent(sha256: string): Promise<void> {
  await store.write(['photos'], async (tx) => {
    const row = await tx.get('photos', sha256);
    if (!row) throw new Error('not here');
    const { waiting: _, ...rest } = row;
    tx.put('photos', { ...rest, state: 'sent' });
  });
}

/** The disk takes nothing more until `frees` of the originals have gone. */
function fullUntil(frees: number): void {
  let gone = 0;
  const drop = IDBObjectStore.prototype.delete;
  vi.spyOn(IDBObjectStore.prototype, 'delete').mockImplementation(function (this: IDBObjectStore, key) {
    if (this.name === 'photos') gone += 1;
    return drop.call(this, key);
  });
  const put = IDBObjectStore.prototype.put;
  vi.spyOn(IDBObjectStore.prototype, 'put').mockImplementation(function (this: IDBObjectStore, ...args) {
    if (gone < frees) throw new DOMException('The quota has been exceeded.', 'QuotaExceededError');
    return put.apply(this, args);
  });
}

describe('a photo', () => {
  test('is kept with its small picture, and taken off with it', async () => {
    const sha = await savePhoto(bytesOf('large'), INFO, bytesOf('small'));
    expect(await loadPhoto(sha)).toMatchObject({ state: 'waiting', mime: 'image/jpeg' });
    expect(new TextDecoder().decode((await loadThumb(sha))?.bytes)).toBe('small');
    await forgetPhoto(sha);
    expect([await loadPhoto(sha), await loadThumb(sha)]).toEqual([undefined, undefined]);
  });

  test('chosen a second time stays as far as it has come', async () => {
    const sha = await savePhoto(bytesOf('same'), INFO);
    await sent(sha);
    expect(await savePhoto(bytesOf('same'), INFO)).toBe(sha);
    expect((await loadPhoto(sha))?.state).toBe('sent');
  });

  test('that the server refused goes into the line again when its person says so', async () => {
    const sha = await savePhoto(bytesOf('refused'), INFO);
    await store.write(['photos'], async (tx) => {
      const row = await tx.get('photos', sha);
      if (!row) throw new Error('not here');
      const { waiting: _, ...rest } = row;
      tx.put('photos', { ...rest, state: 'broken', words: 'It holds a place.' });
    });
    expect([...(await photoStates())]).toEqual([[sha, 'broken']]);
    await tryAgain(sha);
    expect(await store.read(['photos'], (tx) => tx.waitingPhotos())).toEqual([sha]);
    expect(await loadPhoto(sha)).not.toHaveProperty('words');
  });

  test('that is empty is refused', async () => {
    await expect(savePhoto(new ArrayBuffer(0), INFO)).rejects.toMatchObject({ why: 'empty' });
  });
});

describe('a phone that is nearly full', () => {
  test.each([
    ['four fifths are used', 900 * MB, 1000 * MB],
    ['less than 200 MB are left', 10 * MB, 150 * MB],
  ])('refuses photos when %s, and still takes counts', async (_when, usage, quota) => {
    room(usage, quota);
    await expect(savePhoto(bytesOf('one more'), INFO)).rejects.toMatchObject({ why: 'full' });
    await save('note', 'n1', { text: 'still fits', observed_at: AT });
    expect(saveTrouble.value).toBeNull();
  });

  test('lets go of originals that are on the server, oldest first, before it refuses', async () => {
    const shas: string[] = [];
    for (const text of ['oldest', 'younger', 'waits']) {
      shas.push(await savePhoto(bytesOf(text), INFO, bytesOf(`small ${text}`)));
      const added = Date.now(); // the moment of adding is what orders them
      while (Date.now() === added) await new Promise((done) => setTimeout(done, 1));
    }
    const [oldest = '', younger = '', waits = ''] = shas;
    await sent(oldest);
    await sent(younger);
    expect(await dropSent(store, 1)).toBe(1);
    expect(await loadPhoto(oldest)).toBeUndefined();
    room(900 * MB, 1000 * MB);
    const late = await savePhoto(bytesOf('late'), INFO);
    expect(await loadPhoto(younger)).toBeUndefined();
    expect((await loadPhoto(waits))?.state).toBe('waiting'); // it is nowhere else
    expect((await loadPhoto(late))?.state).toBe('waiting');
    expect(await loadThumb(oldest)).toBeDefined();
    await expect(savePhoto(bytesOf('too late'), INFO)).rejects.toThrow(PhotoRefused);
  });
});

describe('a disk that takes nothing more', () => {
  test('a count makes room for itself at the cost of originals that the server has', async () => {
    const here = await savePhoto(bytesOf('sent'), INFO, bytesOf('small'));
    const only = await savePhoto(bytesOf('only here'), INFO);
    await sent(here);
    fullUntil(1);
    await save('note', 'n1', { text: 'seven slugs', observed_at: AT });
    vi.restoreAllMocks();
    expect((await list('note')).map((view) => view.body.text)).toEqual(['seven slugs']);
    expect(saveTrouble.value).toBeNull();
    expect(await loadPhoto(here)).toBeUndefined();
    expect(await loadThumb(here)).toBeDefined();
    expect(await loadPhoto(only)).toBeDefined();
  });

  test('what photos had to leave free is given up for a count, and asked for again by the next photo', async () => {
    const only = await savePhoto(bytesOf('only here'), INFO);
    const room = () => store.read(['meta'], (tx) => tx.get('meta', 'room_for_text'));
    expect(await room()).toMatchObject({ value: { byteLength: 2 * MB } });
    const drop = IDBObjectStore.prototype.delete;
    let given = false;
    vi.spyOn(IDBObjectStore.prototype, 'delete').mockImplementation(function (this: IDBObjectStore, key) {
      given ||= key === 'room_for_text';
      return drop.call(this, key);
    });
    const put = IDBObjectStore.prototype.put;
    vi.spyOn(IDBObjectStore.prototype, 'put').mockImplementation(function (this: IDBObjectStore, ...args) {
      if (!given) throw new DOMException('The quota has been exceeded.', 'QuotaExceededError');
      return put.apply(this, args);
    });
    await save('note', 'n1', { text: 'seven slugs', observed_at: AT });
    vi.restoreAllMocks();
    expect(await list('note')).toHaveLength(1);
    expect([await loadPhoto(only), await room()]).toEqual([expect.anything(), undefined]);
    await savePhoto(bytesOf('next'), INFO);
    expect(await room()).toBeDefined();
  });

  test('a photo is refused without the alarm that a record was lost', async () => {
    fullUntil(1);
    await expect(savePhoto(bytesOf('no room'), INFO)).rejects.toMatchObject({ why: 'full' });
    expect(saveTrouble.value).toBeNull();
  });
});

test('a database of version 1 opens with all its photos, and its originals can make room', async () => {
  const steps = STEPS.filter(({ version }) => version === 1);
  const old = await openAt(1, steps);
  const row = { bytes: bytesOf('x'), mime: 'image/jpeg', taken_at: AT, retries: 0, next_try: 0 };
  const tx = old.transaction(['photos'], 'readwrite');
  tx.objectStore('photos').put({ ...row, sha256: 'w', added_at: 2, waiting: 2, state: 'waiting' });
  tx.objectStore('photos').put({ ...row, sha256: 's', added_at: 1, state: 'sent' });
  await completed(tx);
  old.close();
  await withDb(async (db) => {
    expect(db.version).toBeGreaterThan(1);
    expect([...db.objectStoreNames]).toContain('thumbs');
  });
  const found = await store.read(['photos', 'thumbs'], async (tx) => [
    await tx.waitingPhotos(),
    await tx.photosIn('sent'),
    await tx.thumbs(),
  ]);
  expect(found).toEqual([['w'], ['s'], []]);
});

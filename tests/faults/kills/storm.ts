// The client's own storage and sync in a page with nothing else, told by a test what to do without end until it is
// killed. Before each act it says what it begins, after it what it was promised: a promise is what may not be broken.

import { pictureOf } from '../../../pwa/src/parts/picture';
import { list, newId, save, saveMany, setMeta } from '../../../pwa/src/storage';
import { announce } from '../../../pwa/src/storage/changes';
import { closeDatabase, withDb } from '../../../pwa/src/storage/database';
import { store } from '../../../pwa/src/storage/phone';
import { savePhoto } from '../../../pwa/src/storage/photos';
import { pair, syncNow, syncState } from '../../../pwa/src/sync';
import { Engine } from '../../../pwa/src/sync/engine';
import { RULES } from '../../../pwa/src/sync/rules';
import { Server } from '../../../pwa/src/sync/server';
import { LARGE } from '../../../pwa/src/sync/wires';
import { buildStore, copyStore, dropStore } from './store_copy';

const AT = '2026-05-03T05:30:00+01:00';
const STATION = '01890000-0000-7000-8000-000000000001';

/** One record after its act: its id, and a value that was never used before. */
type Value = [id: string, note: string];

/** The browser hands this to the test even when it dies a moment later. */
function say(what: Record<string, unknown>): void {
  console.log(`storm ${JSON.stringify(what)}`);
}

let serial = 0;
/** Later ones are larger, as text too. */
const fresh = (): string => `${Date.now()}.${String(serial++).padStart(6, '0')}`;

/** `made_with` names the transaction that made the record, and how many it made: all of them are there or none. */
const count = (note: string, made_with: string) => ({
  station_id: STATION,
  state: 'counted' as const,
  count: 1,
  observed_at: AT,
  note,
  observer: made_with,
});

/** Save without end: new records, edits, three at once. */
async function saving(): Promise<void> {
  const made: string[] = [];
  for (let n = 0; ; n += 1) {
    const old = n % 4 === 2 ? made[Math.floor(n / 3)] : undefined;
    const ids = old ? [old] : n % 4 === 3 ? [newId(), newId(), newId()] : [newId()];
    const values = ids.map((id): Value => [id, fresh()]);
    const tag = `${fresh()}/${ids.length}`;
    say({ begins: values });
    await saveMany(
      values.map(([id, note]) => ({ type: 'slug_count', id, set: old ? { note } : count(note, tag) })),
    );
    say({ has: values });
    if (!old) made.push(...ids);
  }
}

/** Queue `n` records; answer what was promised. */
async function queue(n: number): Promise<Value[]> {
  const values = Array.from({ length: n }, (): Value => [newId(), fresh()]);
  const tag = `${fresh()}/${n}`;
  await saveMany(values.map(([id, note]) => ({ type: 'slug_count', id, set: count(note, tag) })));
  return values;
}

/** Take photos and save the records that name them; without end unless told. */
async function photographing(most = Infinity): Promise<void> {
  for (let n = 0; n < most; n += 1) {
    const { bytes, thumb, width, height } = await pictureOf(await noise(n));
    say({ photo_begins: n });
    const sha256 = await savePhoto(bytes, { mime: 'image/jpeg', taken_at: AT, width, height }, thumb);
    say({ photo: sha256 });
    const value: Value = [newId(), fresh()];
    say({ begins: [value] });
    const photos = [{ sha256, bytes: bytes.byteLength }];
    await save('slug_count', value[0], { ...count(value[1], `${fresh()}/1`), photos });
    say({ has: [value] });
  }
}

let filled = 0;

/** Save records with long notes until one is refused; `filled` counts those that were promised. */
async function filling(letters: number): Promise<void> {
  for (;;) {
    const random = crypto.getRandomValues(new Uint8Array(letters));
    const note = Array.from(random, (byte) => String.fromCharCode(97 + (byte % 26))).join('');
    try {
      await save('slug_count', newId(), count(note, 'full'));
    } catch {
      return;
    }
    filled += 1;
  }
}

/** A picture that no other is like, and that does not pack well. */
async function noise(n: number): Promise<Blob> {
  const canvas = new OffscreenCanvas(480, 320);
  const pen = canvas.getContext('2d');
  if (!pen) throw new Error('no drawing surface');
  const picture = pen.createImageData(480, 320);
  for (let at = 0; at < picture.data.length; at += 65_536) {
    crypto.getRandomValues(picture.data.subarray(at, Math.min(at + 65_536, picture.data.length)));
  }
  picture.data[0] = n % 256;
  pen.putImageData(picture, 0, 0);
  return await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.9 });
}

const engine = new Engine({
  store,
  rules: RULES,
  server: new Server((input, init) => fetch(input, init)),
  now: () => Date.now(),
  random: Math.random,
  newId,
  tell: announce,
  large: LARGE,
});

/** Send what is queued in batches of `size`. */
async function pushing(size: number): Promise<void> {
  const paired = await engine.paired();
  if (!paired) throw new Error('not paired');
  engine.size = size;
  say({ starts: 'push' });
  await engine.push(paired);
  say({ ends: 'push' });
}

/** Pull what is new in pages of `limit`. */
async function pulling(limit: number): Promise<void> {
  const paired = await engine.paired();
  if (!paired) throw new Error('not paired');
  say({ starts: 'pull' });
  await engine.pull(paired, limit);
  say({ ends: 'pull' });
}

/** Be as a phone that has just joined: nothing of the plot is here. */
async function forget(): Promise<void> {
  await store.write(['records', 'meta'], async (tx) => {
    for (const row of await tx.all('records')) tx.drop('records', row.id);
    tx.drop('meta', 'standing');
  });
}

/** Open the database as the app does, which brings it to the newest version. */
async function upgrading(): Promise<void> {
  say({ starts: 'upgrade' });
  await withDb(async () => undefined);
  say({ ends: 'upgrade' });
}

async function sync(): Promise<string> {
  await syncNow();
  return syncState.value.phase;
}

Object.assign(globalThis, {
  storm: {
    filling, filled: () => filled, saving, queue, photographing, pushing, pulling, forget, upgrading, sync, pair, list, setMeta, close: closeDatabase, copyStore, buildStore, dropStore,
  },
});
say({ ready: true });

// Photo bytes on the phone: as ArrayBuffer, named by their SHA-256, read back before the form closes.
// (Files and Blobs in IndexedDB have come back empty or mixed up on iOS: dexie/Dexie.js issues 1227, 1919.)

import { announce } from './changes';
import { store } from './phone';
import type { PhotoRow } from './rows';

export class PhotoRefused extends Error {}

export type PhotoInfo = { mime: string; taken_at: string; width?: number; height?: number };

const ROOM_KEPT_FOR_TEXT = 200 * 1024 * 1024;
const FULLEST = 0.8;

/** Keep a photo and answer its SHA-256, by which a record names it. Throws PhotoRefused, in plain words. */
export async function savePhoto(bytes: ArrayBuffer, info: PhotoInfo): Promise<string> {
  if (bytes.byteLength === 0) throw new PhotoRefused('The photo is empty. Take it again.');
  await refuseWhenFull();
  const sha256 = await sha256Of(bytes);
  const now = Date.now();
  const row: PhotoRow = {
    ...info,
    sha256,
    bytes,
    added_at: now,
    waiting: now,
    state: 'waiting',
    retries: 0,
    next_try: 0,
  };
  await store.write(['photos'], async (tx) => tx.put('photos', row));
  const kept = await loadPhoto(sha256);
  if (!kept || (await sha256Of(kept.bytes)) !== sha256) {
    throw new PhotoRefused('The phone did not keep the photo as it was. Take it again.');
  }
  announce(['photo', 'outbox'], []);
  return sha256;
}

export async function loadPhoto(sha256: string): Promise<PhotoRow | undefined> {
  return await store.read(['photos'], (tx) => tx.get('photos', sha256));
}

/** Counts are a few hundred bytes and must always fit; photos stop first. */
async function refuseWhenFull(): Promise<void> {
  const { usage = 0, quota = 0 } = (await globalThis.navigator?.storage?.estimate?.()) ?? {};
  if (quota === 0) return;
  if (usage > quota * FULLEST || quota - usage < ROOM_KEPT_FOR_TEXT) {
    throw new PhotoRefused(
      'The phone is nearly full: no photo kept, so that counts still fit. Make room first.',
    );
  }
}

export async function sha256Of(bytes: ArrayBuffer): Promise<string> {
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return Array.from(digest, (b) => b.toString(16).padStart(2, '0')).join('');
}

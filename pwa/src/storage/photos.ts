// Photo bytes on the phone: as ArrayBuffer, named by their SHA-256, read back before the form closes.
// (Files and Blobs in IndexedDB have come back empty or mixed up on iOS: dexie/Dexie.js issues 1227, 1919.)
// Fetched when the first photo is taken or sent: nothing that counts boards waits for it.

import { announce } from './changes';
import { nameOf } from './database';
import { store } from './phone';
import { dropSent, ROOM_FOR_TEXT } from './photos_room';
import type { PhotoRow, ThumbRow } from './rows';
import { clearTrouble, TROUBLE } from './trouble';

/** `why` is the name of a text: full, empty, damaged. */
export class PhotoRefused extends Error {
  constructor(readonly why: 'full' | 'empty' | 'damaged') {
    super(why);
  }
}

export type PhotoInfo = { mime: string; taken_at: string; width?: number; height?: number };

const ROOM_KEPT_FOR_TEXT = 200 * 1024 * 1024;
const FULLEST = 0.8;
/** About 100 MB. A phone's own word about its room is often worthless, so this is counted and not asked. */
const ORIGINALS_KEPT = 300;
/** What photos leave free for records beside them, whatever the browser says of its room: some thousand counts. */
const ROOM_BYTES = 2 * 1024 * 1024;
/** Let go at once when a phone gets full: 3 MB or so, room for the new one and some to spare. */
const MAKE_WAY = 10;

/** Keep a photo with its small picture and answer its SHA-256, by which records name it. Throws PhotoRefused. */
export async function savePhoto(bytes: ArrayBuffer, info: PhotoInfo, thumb?: ArrayBuffer): Promise<string> {
  if (bytes.byteLength === 0) throw new PhotoRefused('empty');
  await makeWay();
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
  await keep(row, thumb);
  const kept = await loadPhoto(sha256);
  if (!kept || (await sha256Of(kept.bytes)) !== sha256) throw new PhotoRefused('damaged');
  announce(['photo', 'outbox'], []);
  return sha256;
}

/** A photo that came from the server: here to be looked at, and the first to go when room is needed. */
export async function keepFetched(row: Pick<PhotoRow, 'sha256' | 'bytes' | 'mime'>): Promise<void> {
  if (await isNearlyFull()) return;
  const kept = {
    ...row,
    taken_at: '',
    added_at: Date.now(),
    state: 'sent' as const,
    retries: 0,
    next_try: 0,
  };
  await store.write(['photos'], async (tx) => {
    if (!(await tx.get('photos', row.sha256))) tx.put('photos', kept);
  });
  await dropSurplus();
}

async function keep(row: PhotoRow, thumb: ArrayBuffer | undefined): Promise<void> {
  try {
    await store.write(['photos', 'thumbs', 'meta'], async (tx) => {
      if (!(await tx.get('meta', ROOM_FOR_TEXT))) tx.put('meta', { key: ROOM_FOR_TEXT, value: filling() });
      const there = await tx.get('photos', row.sha256);
      // The same picture chosen again; what is on its way or there stays so.
      if (!there || there.state === 'broken') tx.put('photos', row);
      if (thumb) tx.put('thumbs', { sha256: row.sha256, bytes: thumb });
    });
  } catch (error) {
    if (nameOf(error) !== 'QuotaExceededError') throw error;
    clearTrouble(TROUBLE.full); // only a picture was refused: counts may still fit, and are not lost
    throw new PhotoRefused('full');
  }
}

export async function loadPhoto(sha256: string): Promise<PhotoRow | undefined> {
  return await store.read(['photos'], (tx) => tx.get('photos', sha256));
}

export async function loadThumb(sha256: string): Promise<ThumbRow | undefined> {
  return await store.read(['thumbs'], (tx) => tx.get('thumbs', sha256));
}

/** Those of the photos named of which there is no picture on this phone, large or small. */
export async function missingThumbsOf(shas: readonly string[]): Promise<string[]> {
  const [small, large] = await Promise.all([store.read(['thumbs'], (tx) => tx.thumbs()), photoStates()]);
  const here = new Set([...small, ...large.keys()]);
  return [...new Set(shas)].filter((sha) => !here.has(sha));
}

/** How far the photos on this phone have come; one that is not in the list has left it, or never was here. */
export async function photoStates(): Promise<Map<string, PhotoRow['state']>> {
  const states = ['waiting', 'sent', 'broken'] as const;
  return await store.read(['photos'], async (tx) => {
    const found = await Promise.all(states.map((state) => tx.photosIn(state)));
    return new Map(found.flatMap((shas, i) => shas.map((sha) => [sha, states[i] ?? 'sent'] as const)));
  });
}

/** Take a photo and its small picture off this phone; a photo that was still to be sent is sent no more. */
export async function forgetPhoto(sha256: string): Promise<void> {
  await store.write(['photos', 'thumbs'], async (tx) => {
    tx.drop('photos', sha256);
    tx.drop('thumbs', sha256);
  });
  announce(['photo', 'outbox'], []);
}

/** Those of the photos named that a half-filled form holds: it will name them when it is saved. */
export async function namedInDrafts(shas: readonly string[]): Promise<string[]> {
  const drafts = JSON.stringify(await store.read(['drafts'], (tx) => tx.all('drafts')));
  return shas.filter((sha) => drafts.includes(sha));
}

/** Put one that the server had refused in line again. */
export async function tryAgain(sha256: string): Promise<void> {
  await store.write(['photos'], async (tx) => {
    const row = await tx.get('photos', sha256);
    if (!row) return;
    const { words: _, ...rest } = row;
    tx.put('photos', { ...rest, state: 'waiting', waiting: row.added_at, retries: 0, next_try: 0 });
  });
  announce(['photo', 'outbox'], []);
}

/** Counts are a few hundred bytes and must always fit: originals that are safe elsewhere go, then photos stop. */
async function makeWay(): Promise<void> {
  if (!(await isNearlyFull())) return await dropSurplus();
  if ((await dropSent(store, MAKE_WAY)) === 0) throw new PhotoRefused('full');
}

async function dropSurplus(): Promise<void> {
  const sent = await store.read(['photos'], (tx) => tx.photosIn('sent'));
  if (sent.length > ORIGINALS_KEPT) await dropSent(store, sent.length - ORIGINALS_KEPT);
}

/** Takes up its full size on any disk: nothing in it can be packed. */
function filling(): ArrayBuffer {
  const bytes = new Uint8Array(ROOM_BYTES);
  for (let at = 0; at < bytes.length; at += 65_536) crypto.getRandomValues(bytes.subarray(at, at + 65_536));
  return bytes.buffer;
}

/** As far as the browser tells; Chromium mostly says that there is plenty. */
export async function isNearlyFull(): Promise<boolean> {
  const { usage = 0, quota = 0 } = (await globalThis.navigator?.storage?.estimate?.()) ?? {};
  return quota > 0 && (usage > quota * FULLEST || quota - usage < ROOM_KEPT_FOR_TEXT);
}

export async function sha256Of(bytes: ArrayBuffer): Promise<string> {
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return Array.from(digest, (b) => b.toString(16).padStart(2, '0')).join('');
}

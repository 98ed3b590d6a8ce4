// Photos follow after the records, newest first, one at a time. The server knows a photo by its SHA-256.
// Fetched when there is a photo to send.

import { metaIn, type Paired } from '../storage/meta_rows';
import { sha256Of } from '../storage/photos';
import type { PhotoRow } from '../storage/rows';
import { Refused } from './server';
import { backoff, isDue, type Wires } from './wires';

const SLOW_UPLOAD_MS = 120_000;

/** How often the sending of a photo was broken off since the page was opened. */
const brokenOff = new Map<string, number>();

/**
 * Send what waits and is due; `progress` hears how many are left, `between` sends the records that were saved
 * meanwhile: they never wait for photos. Network trouble is thrown, nothing lost: the
 * photo that met it goes to the end of the line, so that one which always fails does not hold up the others.
 */
export async function sendPhotos(
  wires: Wires,
  paired: Paired,
  progress: (left: number) => void = () => undefined,
  between: () => Promise<void> = async () => undefined,
): Promise<void> {
  await askAfterRestore(wires, paired);
  const waiting = await wires.store.read(['photos'], (tx) => tx.waitingPhotos());
  waiting.sort((a, b) => (brokenOff.get(a) ?? 0) - (brokenOff.get(b) ?? 0));
  let left = waiting.length;
  for (const sha256 of waiting) {
    progress(left);
    const photo = await wires.store.read(['photos'], (tx) => tx.get('photos', sha256));
    if (photo && isDue(photo.next_try, wires.now())) await sendInTurn(wires, paired, photo);
    left -= 1;
    await between();
  }
  progress((await wires.store.read(['photos'], (tx) => tx.waitingPhotos())).length);
}

type Settled = Pick<PhotoRow, 'state'> & { words?: string };
type Later = Pick<PhotoRow, 'retries' | 'next_try'>;

async function sendInTurn(wires: Wires, paired: Paired, photo: PhotoRow): Promise<void> {
  try {
    await note(wires, photo.sha256, await sendOne(wires, paired, photo));
  } catch (error) {
    brokenOff.set(photo.sha256, (brokenOff.get(photo.sha256) ?? 0) + 1);
    throw error;
  }
}

function later(wires: Wires, photo: PhotoRow): Later {
  const retries = photo.retries + 1;
  return { retries, next_try: wires.now() + backoff(retries, wires.random) };
}

async function sendOne(wires: Wires, paired: Paired, photo: PhotoRow): Promise<Settled | Later> {
  if ((await sha256Of(photo.bytes)) !== photo.sha256) {
    return { state: 'broken', words: 'The phone no longer has this photo as it was taken.' };
  }
  try {
    const path = pathOf(paired, photo.sha256);
    if (await isThere(wires, path, photo.sha256)) return { state: 'sent' };
    const { body } = await wires.server.ask<{ sha256?: string }>(path, {
      method: 'PUT',
      bytes: photo.bytes,
      mime: photo.mime,
      timeoutMs: SLOW_UPLOAD_MS,
    });
    // Only our server says which photo it keeps; its original may leave this phone one day.
    return body?.sha256 === photo.sha256 ? { state: 'sent' } : later(wires, photo);
  } catch (error) {
    if (!(error instanceof Refused)) throw error;
    return afterRefusal(wires, photo, error);
  }
}

/** On a strange wifi anything may answer 200: the server's own tag of this photo proves that it has it. */
async function isThere(wires: Wires, path: string, sha256: string): Promise<boolean> {
  const { status, etag } = await wires.server.ask(path, { method: 'HEAD' });
  return status === 200 && etag === `"${sha256}"`;
}

export function pathOf(paired: Paired, sha256: string): string {
  return `/api/v1/plots/${paired.plot_id}/blobs/${sha256}`;
}

/** 413, 415 and 422 judge the photo itself, unless it was damaged on its way; anything else may pass. */
function afterRefusal(wires: Wires, photo: PhotoRow, error: Refused): Settled | Later {
  if ([413, 415, 422].includes(error.status) && !error.is('photo-damaged')) {
    return { state: 'broken', words: error.problem.detail ?? error.problem.title };
  }
  if ([401, 403, 507].includes(error.status) || error.retryAfterMs !== undefined) throw error;
  return later(wires, photo);
}

/** Only on top of what is there now: while it travelled its person may have taken it away. */
async function note(wires: Wires, sha256: string, what: Settled | Later): Promise<void> {
  await wires.store.write(['photos'], async (tx) => {
    const now = await tx.get('photos', sha256);
    if (!now) return;
    if (!('state' in what)) return tx.put('photos', { ...now, ...what });
    const { waiting: _, ...settled } = now;
    tx.put('photos', { ...settled, ...what });
  });
  wires.tell(['photo', 'outbox'], []);
}

/** A server restored from a backup may lack photos that it had said it kept: those still here are sent again. */
async function askAfterRestore(wires: Wires, paired: Paired): Promise<void> {
  const asked = await wires.store.read(['meta'], (tx) => metaIn<boolean>(tx, 'photos_again'));
  if (!asked) return;
  for (const sha256 of await wires.store.read(['photos'], (tx) => tx.photosIn('sent'))) {
    if (await isThere(wires, pathOf(paired, sha256), sha256)) continue;
    await wires.store.write(['photos'], async (tx) => {
      const row = await tx.get('photos', sha256);
      if (row) tx.put('photos', { ...row, state: 'waiting', waiting: row.added_at, retries: 0, next_try: 0 });
    });
  }
  await wires.store.write(['meta'], async (tx) => tx.drop('meta', 'photos_again'));
}

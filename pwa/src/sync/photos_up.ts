// Photos follow after the records, newest first, one at a time. The server knows a photo by its SHA-256.

import type { Paired } from '../storage/meta_rows';
import { sha256Of } from '../storage/photos';
import type { PhotoRow } from '../storage/rows';
import { Refused } from './server';
import { backoff, type Wires } from './wires';

const SLOW_UPLOAD_MS = 120_000;

/** Send what waits and is due; `progress` hears how many are left. Network trouble is thrown, nothing lost. */
export async function sendPhotos(
  wires: Wires,
  paired: Paired,
  progress: (left: number) => void = () => undefined,
): Promise<void> {
  const waiting = await wires.store.read(['photos'], (tx) => tx.waitingPhotos());
  let left = waiting.length;
  for (const sha256 of waiting) {
    progress(left);
    const photo = await wires.store.read(['photos'], (tx) => tx.get('photos', sha256));
    if (photo && photo.next_try <= wires.now()) await keep(wires, await sendOne(wires, paired, photo));
    left -= 1;
  }
  progress((await wires.store.read(['photos'], (tx) => tx.waitingPhotos())).length);
}

async function sendOne(wires: Wires, paired: Paired, photo: PhotoRow): Promise<PhotoRow> {
  const { waiting: _, ...settled } = photo;
  if ((await sha256Of(photo.bytes)) !== photo.sha256) {
    return { ...settled, state: 'broken', words: 'The phone no longer has this photo as it was taken.' };
  }
  const path = `/api/v1/plots/${paired.plot_id}/blobs/${photo.sha256}`;
  const there = await wires.server.ask(path, { method: 'HEAD' });
  if (there.status === 200) return { ...settled, state: 'sent' };
  try {
    await wires.server.ask(path, {
      method: 'PUT',
      bytes: photo.bytes,
      mime: photo.mime,
      timeoutMs: SLOW_UPLOAD_MS,
    });
    return { ...settled, state: 'sent' };
  } catch (error) {
    if (!(error instanceof Refused)) throw error;
    return afterRefusal(wires, photo, settled, error);
  }
}

/** 413, 415 and 422 judge the photo itself; anything else may pass. */
function afterRefusal(wires: Wires, photo: PhotoRow, settled: PhotoRow, error: Refused): PhotoRow {
  if ([413, 415, 422].includes(error.status)) {
    return { ...settled, state: 'broken', words: error.problem.detail ?? error.problem.title };
  }
  if (error.status === 401 || error.status === 403 || error.retryAfterMs !== undefined) throw error;
  const retries = photo.retries + 1;
  return { ...photo, retries, next_try: wires.now() + backoff(retries, wires.random) };
}

async function keep(wires: Wires, photo: PhotoRow): Promise<void> {
  await wires.store.write(['photos'], async (tx) => tx.put('photos', photo));
  wires.tell(['photo', 'outbox'], []);
}

// "Send my unsent records as a file": everything that is only on this phone, in one JSON file, which another
// phone of the plot takes in (unsent_take.ts). Fetched when it is asked for.

import { metaIn, type Paired } from '../storage/meta_rows';
import { sha256Of } from '../storage/photos';
import type { Store, Tx } from '../storage/port';
import type { Op } from '../storage/rows';
import { opOnWire } from './wire';

/** The form of the file; a phone refuses a form newer than it knows. */
export const FORM = 1;

export async function exportUnsent(store: Store, now: number): Promise<Blob> {
  const { ops, paired, waiting } = await store.write(['outbox', 'meta', 'photos'], async (tx) => ({
    ops: await frozen(tx),
    paired: await metaIn<Paired>(tx, 'paired'),
    waiting: await tx.waitingPhotos(),
  }));
  const written = ops.map((op) => ({
    ...opOnWire(op),
    schema: op.schema,
    ...(op.problem ? { problem: op.problem } : {}),
  }));
  const head = {
    app: 'underboard',
    kind: 'unsent',
    form: FORM,
    exported_at: new Date(now).toISOString(),
    plot_id: paired?.plot_id || null,
    plot_name: paired?.plot_name ?? null,
    device_id: paired?.device_id ?? null,
    device_name: paired?.device_name ?? null,
    sha256: await digestOf(written),
    n_photos: waiting.length,
    ops: written,
  };
  const parts: BlobPart[] = [JSON.stringify(head).slice(0, -1), ',"photos":['];
  let comma = '';
  for (const sha256 of waiting) {
    // One at a time: together they may be more than the page may hold.
    const photo = await store.read(['photos'], (tx) => tx.get('photos', sha256));
    if (!photo) continue;
    const { mime, taken_at } = photo;
    const base64 = toBase64(new Uint8Array(photo.bytes));
    parts.push(`${comma}${JSON.stringify({ sha256, mime, taken_at, base64 })}`);
    comma = ',';
  }
  parts.push(']}');
  return new Blob(parts, { type: 'application/json' });
}

/** All that is queued; its bytes never change from now on, since another phone may send them. */
async function frozen(tx: Tx): Promise<Op[]> {
  const ops = await tx.all('outbox');
  const before = (await metaIn<number>(tx, 'attempted')) ?? 0;
  const last = Math.max(0, ...ops.map((op) => op.n));
  if (last > before) tx.put('meta', { key: 'attempted', value: last });
  return ops;
}

/** Over the operations as JSON text, which comes out the same when what was read is written again. */
export async function digestOf(ops: unknown): Promise<string> {
  return await sha256Of(new TextEncoder().encode(JSON.stringify(ops)).buffer as ArrayBuffer);
}

function toBase64(bytes: Uint8Array): string {
  let text = '';
  for (let i = 0; i < bytes.length; i += 0x8000) {
    text += String.fromCharCode(...bytes.subarray(i, i + 0x8000));
  }
  return btoa(text);
}

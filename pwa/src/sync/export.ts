// "Send my unsent records as a file": everything that is only on this phone, in one JSON file.

import { metaIn, type Paired } from '../storage/meta_rows';
import type { Store } from '../storage/port';
import { opOnWire } from './wire';

export async function exportUnsent(store: Store, now: number): Promise<Blob> {
  const { ops, paired, waiting } = await store.read(['outbox', 'meta', 'photos'], async (tx) => ({
    ops: await tx.all('outbox'),
    paired: await metaIn<Paired>(tx, 'paired'),
    waiting: await tx.waitingPhotos(),
  }));
  const parts: BlobPart[] = [
    JSON.stringify({
      app: 'underboard',
      kind: 'unsent',
      exported_at: new Date(now).toISOString(),
      plot_id: paired?.plot_id ?? null,
      device_id: paired?.device_id ?? null,
      ops: ops.map((op) => ({ ...opOnWire(op), ...(op.problem ? { problem: op.problem } : {}) })),
    }).slice(0, -1),
    ',"photos":[',
  ];
  for (const [i, sha256] of waiting.entries()) {
    // One at a time: together they may be more than the page may hold.
    const photo = await store.read(['photos'], (tx) => tx.get('photos', sha256));
    if (!photo) continue;
    const base64 = toBase64(new Uint8Array(photo.bytes));
    parts.push(`${i > 0 ? ',' : ''}${JSON.stringify({ sha256, mime: photo.mime, base64 })}`);
  }
  parts.push(']}');
  return new Blob(parts, { type: 'application/json' });
}

function toBase64(bytes: Uint8Array): string {
  let text = '';
  for (let i = 0; i < bytes.length; i += 0x8000) {
    text += String.fromCharCode(...bytes.subarray(i, i + 0x8000));
  }
  return btoa(text);
}

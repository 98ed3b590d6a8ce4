// Photos follow their records: newest first, known by their SHA-256, never sent spoiled.

import { describe, expect, test } from 'vitest';
import { sha256Of } from '../storage/photos';
import type { PhotoRow } from '../storage/rows';
import { Rig, type TestPhone } from './rig';
import { problem } from './server_double';

async function take(phone: TestPhone, text: string, addedAt: number): Promise<string> {
  const bytes = new TextEncoder().encode(text).buffer as ArrayBuffer;
  const sha256 = await sha256Of(bytes);
  const row: PhotoRow = {
    sha256,
    bytes,
    mime: 'image/jpeg',
    taken_at: '',
    added_at: addedAt,
    waiting: addedAt,
    state: 'waiting',
    retries: 0,
    next_try: 0,
  };
  await phone.store.write(['photos'], async (tx) => tx.put('photos', row));
  return sha256;
}

function photo(phone: TestPhone, sha256: string): Promise<PhotoRow | undefined> {
  return phone.store.read(['photos'], (tx) => tx.get('photos', sha256));
}

test('the SHA-256 of "abc" is the one of FIPS 180-2, appendix B.1', async () => {
  const abc = new TextEncoder().encode('abc').buffer as ArrayBuffer;
  expect(await sha256Of(abc)).toBe('ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad');
});

describe('sending photos', () => {
  test('records go first, then photos, newest first', async () => {
    const rig = new Rig();
    const a = await rig.phone('A');
    const old = await take(a, 'old', 1);
    const young = await take(a, 'young', 2);
    await a.save('r', { wireworms: 1 });
    await a.sync();
    const order = rig.server.asked.filter((line) => /^(POST|PUT)/.test(line));
    expect(order).toEqual([
      'POST /api/v1/sync/push',
      `PUT /api/v1/plots/plot-1/blobs/${young}`,
      `PUT /api/v1/plots/plot-1/blobs/${old}`,
    ]);
    expect((await photo(a, old))?.state).toBe('sent');
    expect(await a.store.read(['photos'], (tx) => tx.waitingPhotos())).toEqual([]);
  });

  test('one whose last answer was lost is found there and not sent again', async () => {
    const rig = new Rig();
    const a = await rig.phone('A');
    const sha = await take(a, 'photo', 1);
    rig.server.blobs.set(sha, new ArrayBuffer(1));
    await a.sync();
    expect(rig.server.asked.filter((line) => line.startsWith('PUT'))).toEqual([]);
    expect((await photo(a, sha))?.state).toBe('sent');
  });

  test('one whose bytes have changed on the phone is not sent under its name', async () => {
    const rig = new Rig();
    const a = await rig.phone('A');
    const sha = await take(a, 'photo', 1);
    const spoiled = await photo(a, sha);
    if (!spoiled) throw new Error('not kept');
    new Uint8Array(spoiled.bytes)[0] = 0;
    await a.store.write(['photos'], async (tx) => tx.put('photos', spoiled));
    await a.sync();
    expect(rig.server.blobs.size).toBe(0);
    expect(await photo(a, sha)).toMatchObject({ state: 'broken' });
  });

  test('one the server refuses for good waits no longer and says why', async () => {
    const rig = new Rig();
    const a = await rig.phone('A');
    const sha = await take(a, 'photo', 1);
    const answers = [
      undefined,
      undefined,
      undefined,
      () => problem(422, 'photo', { detail: 'It holds a place.' }),
    ];
    // hello, two pulls (the first sync), HEAD, then the PUT
    rig.server.instead = [undefined, ...answers];
    await a.sync();
    expect(await photo(a, sha)).toMatchObject({ state: 'broken', words: 'It holds a place.' });
  });

  test('a network that ends in the middle loses none', async () => {
    const rig = new Rig();
    const a = await rig.phone('A');
    const shas = [await take(a, 'one', 1), await take(a, 'two', 2)];
    rig.server.instead = [...Array<undefined>(5), () => Promise.reject(new TypeError('network lost'))];
    await a.sync().catch(() => undefined);
    await a.sync();
    expect([...rig.server.blobs.keys()].sort()).toEqual(shas.sort());
  });
});

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

  test('a record saved while photos travel goes out before the next photo', async () => {
    const rig = new Rig();
    const a = await rig.phone('A');
    const [old, young] = [await take(a, 'slow old', 1), await take(a, 'slow young', 2)];
    rig.server.onBlob = async () => {
      rig.server.onBlob = undefined;
      await a.save('counted', { wireworms: 3 });
    };
    await a.sync();
    const order = rig.server.asked.filter((line) => /^(POST|PUT)/.test(line));
    expect(order).toEqual([
      `PUT /api/v1/plots/plot-1/blobs/${young}`,
      'POST /api/v1/sync/push',
      `PUT /api/v1/plots/plot-1/blobs/${old}`,
    ]);
    expect(await a.outbox()).toEqual([]);
  });

  test('one damaged on its way is sent again; it is not the photo that is bad', async () => {
    const rig = new Rig();
    const a = await rig.phone('A');
    const sha = await take(a, 'damaged', 1);
    const through = [undefined, undefined, undefined, undefined];
    rig.server.instead = [...through, () => problem(422, 'photo-damaged')];
    await a.sync();
    expect(await photo(a, sha)).toMatchObject({ state: 'waiting', retries: 1 });
    rig.now += 600_000;
    await a.sync();
    expect((await photo(a, sha))?.state).toBe('sent');
  });

  test('a stranger that answers 200 to everything is not taken for the server', async () => {
    const rig = new Rig();
    const a = await rig.phone('A');
    const sha = await take(a, 'portal', 1);
    const portal = () => new Response(null, { status: 200, headers: { 'Content-Type': 'text/html' } });
    const page = () => new Response('<html>', { status: 200, headers: { 'Content-Type': 'text/html' } });
    rig.server.instead = [undefined, undefined, undefined, portal, page];
    await a.sync().catch(() => undefined);
    expect((await photo(a, sha))?.state).toBe('waiting');
    await a.sync();
    expect([...rig.server.blobs.keys()]).toEqual([sha]);
  });

  test('one whose sending always breaks off does not hold up the others', async () => {
    const rig = new Rig();
    const a = await rig.phone('A');
    const good = await take(a, 'good', 1);
    const bad = await take(a, 'bad', 2);
    rig.server.breaksOff.add(bad);
    await a.sync().catch(() => undefined);
    expect((await photo(a, good))?.state).toBe('waiting');
    await a.sync().catch(() => undefined);
    expect((await photo(a, good))?.state).toBe('sent');
    expect((await photo(a, bad))?.state).toBe('waiting');
  });

  test('one that its person took away while it travelled stays away', async () => {
    const rig = new Rig();
    const a = await rig.phone('A');
    const sha = await take(a, 'taken away', 1);
    const drop = async () => {
      await a.store.write(['photos'], async (tx) => tx.drop('photos', sha));
      return problem(500, 'server-fault');
    };
    rig.server.instead = [undefined, undefined, undefined, undefined, drop];
    await a.sync();
    expect(await photo(a, sha)).toBeUndefined();
  });

  test('after a restore the photos that the server lost are sent again', async () => {
    const rig = new Rig();
    const a = await rig.phone('A');
    const shas = [await take(a, 'kept', 1), await take(a, 'lost', 2)];
    await a.save('r', { wireworms: 1 });
    const copy = rig.server.snapshot();
    await a.sync();
    rig.server.restored(copy);
    rig.server.blobs.delete(shas[1] ?? '');
    await a.sync();
    expect([...rig.server.blobs.keys()].sort()).toEqual(shas.sort());
    expect((await photo(a, shas[1] ?? ''))?.state).toBe('sent');
    const before = rig.server.asked.length;
    await a.sync(); // and not asked about for ever
    expect(rig.server.asked.slice(before).filter((line) => line.includes('/blobs/'))).toEqual([]);
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

describe('photos of other phones', () => {
  test('their small pictures come after the records, newest first, and are not asked for twice', async () => {
    const rig = new Rig();
    const [a, b] = [await rig.phone('A'), await rig.phone('B')];
    const [old, young] = [await take(a, 'old one', 1), await take(a, 'young one', 2)];
    await a.records.save([
      { type: 'photo', id: 'p1', set: { sha256: old, observed_at: '2026-04-01T05:00:00+01:00' } },
      {
        type: 'note',
        id: 'n1',
        set: { photos: [{ sha256: young }], observed_at: '2026-04-30T05:00:00+01:00' },
      },
    ]);
    await a.sync();
    await b.sync();
    const gets = () => rig.server.asked.filter((line) => line.startsWith('GET') && line.includes('/blobs/'));
    const small = (sha: string) => `GET /api/v1/plots/plot-1/blobs/${sha}/small`;
    expect(gets().slice(-2)).toEqual([small(young), small(old)]);
    expect(await b.store.read(['thumbs'], (tx) => tx.thumbs())).toEqual([old, young].sort());
    const n = gets().length;
    rig.now += 60_000;
    await b.sync();
    expect(gets()).toHaveLength(n);
  });

  test('one that has not reached the server is asked for again later', async () => {
    const rig = new Rig();
    const b = await rig.phone('B');
    const sha = 'f'.repeat(64);
    await b.records.save([{ type: 'photo', id: 'p1', set: { sha256: sha } }]);
    const asked = () => rig.server.asked.filter((line) => line.endsWith('/small')).length;
    await b.sync();
    await b.sync();
    expect(asked()).toBe(1);
    rig.now += 600_000;
    rig.server.blobs.set(sha, new ArrayBuffer(3));
    await b.sync();
    expect(asked()).toBe(2);
    expect(await b.store.read(['thumbs'], (tx) => tx.thumbs())).toEqual([sha]);
  });
});

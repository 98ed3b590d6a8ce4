// Letting a phone in, a phone whose storage was cleared, and the file of unsent records.

import { afterEach, describe, expect, test } from 'vitest';
import { MemoryStore } from '../storage/memory_store';
import { metaIn, type Paired } from '../storage/meta_rows';
import { Records } from '../storage/records';
import { codeFromFragment } from './linked_code';
import { Pairing, tidyCode } from './pairing';
import { Server } from './server';
import { json, problem } from './server_double';
import { storageWasCleared } from './state';
import { exportUnsent } from './unsent_write';

class Marks {
  kept = new Map<string, string>();
  getItem = (key: string) => this.kept.get(key) ?? null;
  setItem = (key: string, value: string) => void this.kept.set(key, value);
  removeItem = (key: string) => void this.kept.delete(key);
}

type Answers = Record<string, (init: RequestInit) => Response>;
const HELLO = () => json({ app: 'underboard', server_id: 'server-1', protocol: 1 });
const ME = { device_id: 'd1', plot_id: 'p1', role: 'helper', plot_name: 'Top field', device_name: 'Old' };

function home(answers: Answers): Server {
  return new Server(async (path, init) => {
    const all: Answers = { '/api/v1/hello': HELLO, ...answers };
    const answer = all[path];
    if (!answer) throw new TypeError('no network');
    return answer(init);
  });
}

function paired(store: MemoryStore): Promise<Paired | undefined> {
  return store.read(['meta'], (tx) => metaIn<Paired>(tx, 'paired'));
}

afterEach(() => {
  storageWasCleared.value = false;
});

describe('a pairing link', () => {
  test('carries its code in the fragment, which is sent to no server', () => {
    expect(codeFromFragment('#pair=Ab3-x_9')).toBe('Ab3-x_9');
    expect(codeFromFragment('#other')).toBeUndefined();
    expect(codeFromFragment('')).toBeUndefined();
  });

  test('the typed form may have blanks, dashes and small letters', () => {
    expect(tidyCode(' abcd-23 45 ')).toBe('ABCD2345');
    expect(tidyCode('KJ3f-long-code-from-a-link')).toBe('KJ3f-long-code-from-a-link');
  });
});

describe('pairing', () => {
  test('stores whose phone this is, and with which server', async () => {
    const store = new MemoryStore();
    const marks = new Marks();
    let sent = '';
    const server = home({
      '/api/v1/pair': (init) => {
        sent = String(init.body);
        return json(ME);
      },
    });
    const result = await new Pairing(store, server, marks).pair('abcd2345', 'Wet glove');
    expect(result).toEqual({ ok: true, plot_id: 'p1', role: 'helper', plot_name: 'Top field' });
    expect(JSON.parse(sent)).toEqual({ code: 'ABCD2345', device_name: 'Wet glove', want: 'cookie' });
    expect(await paired(store)).toMatchObject({ plot_id: 'p1', device_id: 'd1', server_id: 'server-1' });
    expect(marks.kept.size).toBe(1);
  });

  test('a code that does not work is said in the server’s words', async () => {
    const server = home({ '/api/v1/pair': () => problem(410, 'gone', { detail: 'This code was used.' }) });
    const result = await new Pairing(new MemoryStore(), server, new Marks()).pair('x', 'y');
    expect(result).toEqual({ ok: false, words: 'This code was used.' });
  });

  test('a phone with unsent records does not change its plot', async () => {
    const store = new MemoryStore();
    const marks = new Marks();
    const pairing = new Pairing(store, home({ '/api/v1/pair': () => json(ME) }), marks);
    await pairing.pair('abcd2345', 'phone');
    await new Records(store).save([{ type: 'note', id: 'n', set: { text: 'unsent' } }]);
    const other = new Pairing(store, home({ '/api/v1/pair': () => json({ ...ME, plot_id: 'p2' }) }), marks);
    expect(await other.pair('abcd2345', 'phone')).toMatchObject({ ok: false });
    expect((await paired(store))?.plot_id).toBe('p1');
    expect(await store.read(['outbox'], (tx) => tx.count('outbox'))).toBe(1);
  });

  test('a phone with unsent photos does not either; sent ones are left behind with their plot', async () => {
    const store = new MemoryStore();
    const marks = new Marks();
    await new Pairing(store, home({ '/api/v1/pair': () => json(ME) }), marks).pair('abcd2345', 'phone');
    const photo = { sha256: 'ab', bytes: new ArrayBuffer(2), mime: 'image/jpeg', taken_at: '', added_at: 1 };
    const keep = (more: { state: 'waiting' | 'broken' | 'sent'; waiting?: number }) =>
      store.write(['photos', 'thumbs'], async (tx) => {
        tx.put('photos', { ...photo, retries: 0, next_try: 0, ...more });
        tx.put('thumbs', { sha256: 'ab', bytes: new ArrayBuffer(1) });
      });
    const other = new Pairing(store, home({ '/api/v1/pair': () => json({ ...ME, plot_id: 'p2' }) }), marks);
    await keep({ state: 'waiting', waiting: 1 });
    expect(await other.pair('abcd2345', 'phone')).toMatchObject({ ok: false });
    await keep({ state: 'broken' }); // the server refused it: it is nowhere else
    expect(await other.pair('abcd2345', 'phone')).toMatchObject({ ok: false });
    await keep({ state: 'sent' });
    expect(await other.pair('abcd2345', 'phone')).toMatchObject({ ok: true });
    expect(
      await store.read(['photos', 'thumbs'], async (tx) => [await tx.all('photos'), await tx.thumbs()]),
    ).toEqual([[], []]);
  });

  test('pairing the same plot again keeps everything unsent', async () => {
    const store = new MemoryStore();
    const pairing = new Pairing(store, home({ '/api/v1/pair': () => json(ME) }), new Marks());
    await pairing.pair('abcd2345', 'phone');
    await new Records(store).save([{ type: 'note', id: 'n', set: { text: 'unsent' } }]);
    const again = new Pairing(
      store,
      home({ '/api/v1/pair': () => json({ ...ME, device_id: 'd2' }) }),
      new Marks(),
    );
    expect(await again.pair('abcd2345', 'phone')).toMatchObject({ ok: true });
    expect((await paired(store))?.device_id).toBe('d2');
    expect(await store.read(['outbox'], (tx) => tx.count('outbox'))).toBe(1);
  });
});

describe('a cleared phone', () => {
  test('goes on with its cookie and says what happened', async () => {
    const store = new MemoryStore();
    await new Pairing(store, home({ '/api/v1/me': () => json(ME) }), new Marks()).recover();
    expect(storageWasCleared.value).toBe(true);
    expect(await paired(store)).toMatchObject({ plot_id: 'p1', device_id: 'd1' });
  });

  test('says so even away from home, by its mark', async () => {
    const marks = new Marks();
    marks.setItem('underboard.paired', '{}');
    const away = new Server(async () => Promise.reject(new TypeError('no network')));
    await new Pairing(new MemoryStore(), away, marks).recover();
    expect(storageWasCleared.value).toBe(true);
  });

  test('a phone that was never paired is no cleared phone', async () => {
    const server = home({ '/api/v1/me': () => problem(401, 'pair-again') });
    await new Pairing(new MemoryStore(), server, new Marks()).recover();
    expect(storageWasCleared.value).toBe(false);
  });
});

test('the file of unsent records holds every operation and photo that is only here', async () => {
  const store = new MemoryStore();
  const bytes = Uint8Array.from([0xff, 0xd8, 0xff, 0xe0]).buffer;
  await new Records(store).save([
    { type: 'note', id: 'n1', set: { text: 'slugs „überall“' } },
    { type: 'note', id: 'n2', set: { text: 'more' } },
  ]);
  const photo = { sha256: 'ab', bytes, mime: 'image/jpeg', taken_at: '', added_at: 1, waiting: 1 };
  await store.write(['photos'], async (tx) =>
    tx.put('photos', { ...photo, state: 'waiting', retries: 0, next_try: 0 }),
  );
  const file = JSON.parse(await (await exportUnsent(store, 0)).text());
  expect(file).toMatchObject({ app: 'underboard', exported_at: '1970-01-01T00:00:00.000Z' });
  expect(file.ops.map((op: { id: string; set: object }) => [op.id, op.set])).toEqual([
    ['n1', { text: 'slugs „überall“' }],
    ['n2', { text: 'more' }],
  ]);
  // FF D8 FF E0 in base64 (RFC 4648).
  expect(file.photos).toMatchObject([{ sha256: 'ab', mime: 'image/jpeg', base64: '/9j/4A==' }]);
});

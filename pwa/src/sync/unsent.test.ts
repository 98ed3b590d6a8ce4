// A file of unsent records on its way from one phone to another: looked at first, taken in whole, stored once.

import { describe, expect, test } from 'vitest';
import { sha256Of } from '../storage/photos';
import type { Fields } from '../storage/rows';
import { Rig, type TestPhone } from './rig';
import { type Read, readUnsent, type UnsentFile } from './unsent_read';
import { knownHere, takeIn } from './unsent_take';
import { exportUnsent } from './unsent_write';

const R = '01890000-0000-7000-8000-00000000000a';
const S = '01890000-0000-7000-8000-00000000000b';

class UuidRig extends Rig {
  #n = 0;
  override id = (): string => {
    this.#n += 1;
    return `01890000-0000-7000-9000-${String(this.#n).padStart(12, '0')}`;
  };
}

/** Two phones that both have record R with five wireworms. */
async function together(): Promise<[UuidRig, TestPhone, TestPhone]> {
  const rig = new UuidRig();
  const a = await rig.phone('A');
  const b = await rig.phone('B');
  await a.save(R, { wireworms: 5, note: '' });
  await a.sync();
  await b.sync();
  return [rig, a, b];
}

const textOf = async (phone: TestPhone): Promise<string> =>
  (await exportUnsent(phone.store, phone.rig.now)).text();

async function fileOf(phone: TestPhone): Promise<UnsentFile> {
  const read = await readUnsent(await textOf(phone), 'plot-1');
  if (!('file' in read)) throw new Error(read.refused);
  return read.file;
}

const hand = async (from: TestPhone, to: TestPhone) => takeIn(to.store, await fileOf(from), to.rig.now);

const refusedAs = (read: Read): string | undefined => ('refused' in read ? read.refused : undefined);

describe('what the other phone sends', () => {
  test('is shown at once, reaches the server, and the first phone finds it there when it comes home', async () => {
    const [rig, a, b] = await together();
    await a.save(S, { wireworms: 3 });
    await a.save(R, { wireworms: 7 });
    expect(await hand(a, b)).toEqual({ ops: 2, photos: 0, already: 0 });
    expect((await b.view(S)).body.wireworms).toBe(3);
    expect((await b.view(R)).body.wireworms).toBe(7);
    await b.sync();
    expect(await b.outbox()).toEqual([]);
    await a.sync();
    expect(await a.outbox()).toEqual([]);
    for (const phone of [a, b]) {
      expect((await phone.view(S)).body.wireworms).toBe(3);
      expect(await phone.view(R)).toMatchObject({ body: { wireworms: 7 }, conflicts: [], pending: false });
    }
    expect(rig.server.changes.filter(({ id }) => id === S)).toHaveLength(1);
    expect(rig.server.changes.filter(({ id }) => id === R)).toHaveLength(2);
  });

  test('is stored once too when the first phone was home before', async () => {
    const [rig, a, b] = await together();
    await a.save(S, { wireworms: 3 });
    await hand(a, b);
    await a.sync();
    await b.sync();
    expect(rig.server.changes.filter(({ id }) => id === S)).toHaveLength(1);
    expect(await b.view(S)).toMatchObject({ body: { wireworms: 3 }, pending: false });
  });

  test('taken in twice, or coming back to where it was made, is taken in once', async () => {
    const [, a, b] = await together();
    await a.save(S, { wireworms: 3 });
    await hand(a, b);
    expect(await hand(a, b)).toEqual({ ops: 0, photos: 0, already: 1 });
    expect(await hand(b, a)).toEqual({ ops: 0, photos: 0, already: 1 });
    await b.sync();
    expect(await hand(a, b)).toEqual({ ops: 0, photos: 0, already: 1 });
    expect((await knownHere(b.store, await fileOf(a))).size).toBe(1);
  });
});

describe('edits around the file', () => {
  test('what is changed on the first phone after it was written is the next operation, and wins without a question', async () => {
    const [, a, b] = await together();
    await a.save(S, { wireworms: 3 });
    await hand(a, b);
    await a.save(S, { wireworms: 4 });
    expect(await a.outbox()).toHaveLength(2);
    await b.sync();
    await a.sync();
    await b.sync();
    for (const phone of [a, b])
      expect(await phone.view(S)).toMatchObject({ body: { wireworms: 4 }, conflicts: [] });
  });

  test('what is changed on the second phone never goes into the foreign operation', async () => {
    const [, a, b] = await together();
    await a.save(S, { wireworms: 3 });
    await hand(a, b);
    const [foreign] = await b.outbox();
    await b.save(S, { wireworms: 6 });
    const queue = await b.outbox();
    expect(queue).toHaveLength(2);
    expect(queue[0]).toEqual(foreign);
    expect(queue[1]).toMatchObject({ set: { wireworms: 6 }, after: [foreign?.op_id] });
    await b.sync();
    await a.sync();
    for (const phone of [a, b])
      expect(await phone.view(S)).toMatchObject({ body: { wireworms: 6 }, conflicts: [] });
  });

  test('changed on both after the file, both values are kept and somebody is asked', async () => {
    const [, a, b] = await together();
    await a.save(S, { wireworms: 3 });
    await hand(a, b);
    await a.save(S, { wireworms: 4 });
    await b.save(S, { wireworms: 6 });
    await b.sync();
    await a.sync();
    await b.sync();
    const view = await b.view(S);
    expect(view.body.wireworms).toBe(6);
    expect(view.conflicts.map(({ set }) => set.wireworms)).toEqual([4]);
  });

  test('a value hidden under an older one of another file was not seen: an edit on top asks about it', async () => {
    const [rig, a, b] = await together();
    const c = await rig.phone('C');
    await c.sync();
    await a.save(R, { wireworms: 13 });
    await hand(a, c);
    await a.sync();
    await a.save(R, { wireworms: 22 });
    await hand(a, b);
    await hand(c, b);
    expect((await b.view(R)).body.wireworms).toBe(13);
    await b.save(R, { wireworms: 37 });
    await b.sync();
    const view = await b.view(R);
    const kept = [view.body.wireworms, ...view.conflicts.map(({ set }) => set.wireworms)];
    expect(kept.sort()).toEqual([22, 37]);
  });

  test('what a clone wrote under an id that is another act here is told apart, and once', async () => {
    const [rig, a] = await together();
    await a.save(S, { wireworms: 5 });
    const clone = a.clone('C');
    await a.save(S, { wireworms: 24 });
    await a.sync();
    await fileOf(clone); // its bytes stand
    await clone.save(S, { wireworms: 32 });
    expect(await hand(clone, a)).toEqual({ ops: 2, photos: 0, already: 0 });
    expect(await hand(clone, a)).toEqual({ ops: 0, photos: 0, already: 2 });
    await a.sync();
    const record = rig.server.records.get(S);
    expect(record?.body.wireworms).toBe(24);
    expect(record?.conflicts.map((conflict) => (conflict.set as Fields).wireworms)).toEqual([5, 32]);
  });

  test('what lies hidden under a value of a file was not seen on a clone of the phone either', async () => {
    const [, a, b] = await together();
    await a.save(R, { wireworms: 14 });
    await b.save(R, { wireworms: 16 });
    await hand(b, a);
    const clone = a.clone('C');
    expect((await clone.view(R)).body.wireworms).toBe(16);
    await clone.save(R, { wireworms: 17 });
    for (const phone of [a, clone, b]) await phone.sync();
    const { body, conflicts } = await b.view(R);
    expect([body.wireworms, ...conflicts.map(({ set }) => set.wireworms)]).toEqual([14, 16, 17]);
  });

  test('a value that its writer had not seen is never overwritten, nor by an edit on top of it here', async () => {
    const [rig, a, b] = await together();
    const c = await rig.phone('C');
    await c.sync();
    await a.save(R, { wireworms: 7 });
    await c.save(R, { wireworms: 9 });
    await c.sync();
    await b.sync();
    expect((await b.view(R)).body.wireworms).toBe(9);
    await hand(a, b);
    expect((await b.view(R)).body.wireworms).toBe(7);
    await b.save(R, { wireworms: 8 });
    await b.sync();
    await c.sync();
    const view = await c.view(R);
    const values = [view.body.wireworms, ...view.conflicts.map(({ set }) => set.wireworms)];
    expect(view.body.wireworms).toBe(9);
    expect([...values].sort()).toEqual([7, 8, 9]);
  });

  test('a phone that lags behind the writer does not pretend to have seen what he saw', async () => {
    const [rig, a, b] = await together();
    const c = await rig.phone('C');
    await c.sync();
    await c.save(R, { note: 'moved' });
    await c.sync();
    await a.sync();
    await a.save(R, { wireworms: 7 });
    // B has neither pulled C's note nor seen it.
    await hand(a, b);
    await b.save(R, { note: 'wet' });
    await b.sync();
    await c.sync();
    const view = await c.view(R);
    expect(view.body).toMatchObject({ wireworms: 7, note: 'moved' });
    expect(view.conflicts.map(({ set }) => set.note)).toEqual(['wet']);
  });

  test('a deletion in the file meets an edit as everywhere: the edit survives and somebody is asked', async () => {
    const [rig, a, b] = await together();
    const c = await rig.phone('C');
    await c.sync();
    await a.records.remove(R);
    await c.save(R, { wireworms: 9 });
    await c.sync();
    await hand(a, b);
    await b.sync();
    const view = await b.view(R);
    expect(view).toMatchObject({ deleted: false, body: { wireworms: 9 } });
    expect(view.conflicts.map(({ why }) => why)).toEqual(['delete-vs-edit']);
  });
});

describe('all or nothing', () => {
  test('a fault half-way leaves the phone as it was', async () => {
    const [, a, b] = await together();
    await a.save(S, { wireworms: 3 });
    const file = await fileOf(a);
    const half = { ...file, ops: [...file.ops, null as never] };
    await expect(takeIn(b.store, half, 0)).rejects.toThrow();
    expect(await b.outbox()).toEqual([]);
    expect(await b.records.get(S)).toBeUndefined();
  });

  test('a phone paired with another plot meanwhile takes nothing', async () => {
    const [, a, b] = await together();
    await a.save(S, { wireworms: 3 });
    const file = await fileOf(a);
    await b.store.write(['meta'], async (tx) =>
      tx.put('meta', { key: 'paired', value: { plot_id: 'plot-2' } }),
    );
    await expect(takeIn(b.store, file, 0)).rejects.toThrow('another plot');
    expect(await b.outbox()).toEqual([]);
  });
});

describe('a file that is not taken in', () => {
  test('cut off anywhere', async () => {
    const [, a] = await together();
    await a.save(S, { wireworms: 3, note: 'überall' });
    const text = await textOf(a);
    for (let n = 0; n < text.length; n += 7) {
      const read = await readUnsent(text.slice(0, n), 'plot-1');
      expect(refusedAs(read), `${n}`).toBe(n > 19 ? 'cut_short' : 'foreign');
    }
  });

  test('changed on the way, in any figure or letter of its operations', async () => {
    const [, a] = await together();
    await a.save(S, { wireworms: 3, note: 'wet' });
    const text = await textOf(a);
    for (const [was, is] of [
      ['"wireworms":3', '"wireworms":4'],
      ['wet', 'dry'],
      [S.slice(-4), '0c0c'],
      ['"put"', '"del"'],
    ])
      expect(refusedAs(await readUnsent(text.replaceAll(String(was), String(is)), 'plot-1'))).toBe('broken');
  });

  test('of another plot, of none, of a newer form, of another program', async () => {
    const [, a] = await together();
    await a.save(S, { wireworms: 3 });
    const text = await textOf(a);
    const with_ = (part: object) => JSON.stringify({ ...JSON.parse(text), ...part });
    expect(refusedAs(await readUnsent(text, 'plot-2'))).toBe('other_plot');
    expect(refusedAs(await readUnsent(with_({ plot_id: null }), 'plot-1'))).toBe('no_plot');
    expect(refusedAs(await readUnsent(with_({ form: 2 }), 'plot-1'))).toBe('newer');
    expect(refusedAs(await readUnsent(with_({ photos: undefined }), 'plot-1'))).toBe('broken');
    expect(refusedAs(await readUnsent(with_({ n_photos: 1 }), 'plot-1'))).toBe('broken');
    for (const strange of ['', '[]', 'null', '"x"', '{"app":"other"}', '<html></html>', 'a;b\n1;2'])
      expect(refusedAs(await readUnsent(strange, 'plot-1')), strange).toBe('foreign');
  });

  test('with nothing in it', async () => {
    const [, a] = await together();
    expect(refusedAs(await readUnsent(await textOf(a), 'plot-1'))).toBe('empty');
  });
});

test('photos come along; a damaged one is left out and said, records never wait for it', async () => {
  const [, a, b] = await together();
  await a.save(S, { wireworms: 3 });
  for (const [n, bytes] of [new Uint8Array([1, 2, 3]), new Uint8Array([4, 5, 6])].entries()) {
    const sha256 = await sha256Of(bytes.buffer as ArrayBuffer);
    const row = {
      sha256,
      bytes: bytes.buffer as ArrayBuffer,
      mime: 'image/jpeg',
      taken_at: '2026-05-01T06:00:00Z',
    };
    await a.store.write(['photos'], async (tx) =>
      tx.put('photos', { ...row, added_at: n, waiting: n + 1, state: 'waiting', retries: 0, next_try: 0 }),
    );
  }
  // 4, 5, 6 in base64 (RFC 4648) is BAUG.
  const text = (await textOf(a)).replace('BAUG', 'BAUH');
  const read = await readUnsent(text, 'plot-1');
  if (!('file' in read)) throw new Error(read.refused);
  expect(read.file.n_photos_broken).toBe(1);
  expect(await takeIn(b.store, read.file, 9)).toEqual({ ops: 1, photos: 1, already: 0 });
  const kept = await b.store.read(['photos'], (tx) => tx.all('photos'));
  expect(kept.map((photo) => [...new Uint8Array(photo.bytes)])).toEqual([[1, 2, 3]]);
  expect(kept[0]).toMatchObject({ state: 'waiting', waiting: 9, taken_at: '2026-05-01T06:00:00Z' });
});

test('what it brings while a form stands open is not replaced by the form', async () => {
  const [rig, a, b] = await together();
  const shown = await a.view(R);
  await b.save(R, { wireworms: 9 });
  await hand(b, a);
  expect((await a.view(R)).body.wireworms).toBe(9);
  await a.records.save([{ type: 'trap_catch', id: R, set: { wireworms: 7 }, shown }]);
  for (const phone of [a, b, a]) await phone.sync();
  expect(rig.server.records.get(R)).toMatchObject({
    body: { wireworms: 9 },
    conflicts: [{ set: { wireworms: 7 } }],
  });
});

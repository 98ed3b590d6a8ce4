// Answers of large batches are taken in late; nobody may notice.

import { beforeEach, describe, expect, test } from 'vitest';
import { metaIn } from '../storage/meta_rows';
import type { Note } from './landing';
import { Rig, type TestPhone } from './rig';

let rig: Rig;
let a: TestPhone;
let b: TestPhone;

beforeEach(async () => {
  rig = new Rig();
  rig.large = 1;
  a = await rig.phone('A');
  b = await rig.phone('B');
  for (const phone of [a, b]) await phone.sync();
  await a.save('r', { wireworms: 5, note: '' });
  await a.push();
});

function notes(phone: TestPhone): Promise<Note[] | undefined> {
  return phone.store.read(['meta'], (tx) => metaIn<Note[]>(tx, 'landed'));
}

async function storedRev(phone: TestPhone): Promise<number | undefined> {
  return (await phone.base.read(['records'], (tx) => tx.get('records', 'r')))?.rev;
}

test('of a batch in which one was settled at once, each of the others waits for the revision after its base', async () => {
  await b.sync();
  await b.save('r', { note: 'wet' });
  await b.sync();
  await a.save('r', { wireworms: 6 });
  await a.save('s', { wireworms: 1 });
  await a.push();
  expect(await notes(a)).toMatchObject([{ but: [] }, { but: [expect.any(String)] }]);
  expect(await a.view('r')).toMatchObject({ rev: 3, body: { wireworms: 6, note: 'wet' } });
  expect(await a.view('s')).toMatchObject({ rev: 1, pending: false, body: { wireworms: 1 } });
});

test('notes of an earlier release, with all their revisions, are read as they were meant', async () => {
  const [now] = (await notes(a)) ?? [];
  if (!now) throw new Error('no note');
  const { but: _, ...earlier } = now;
  const ops = await a.base.read(['archive'], (tx) => tx.get('archive', now.key));
  const revs = Object.fromEntries((ops?.ops ?? []).map((op) => [op.op_id, 1]));
  await a.base.write(['meta'], async (tx) =>
    tx.put('meta', { key: 'landed', value: [{ ...earlier, revs }] }),
  );
  expect(await a.view('r')).toMatchObject({ rev: 1, pending: false, body: { wireworms: 5 } });
});

describe('after a large push, before the next pull', () => {
  test('the row is not written, yet it reads as acknowledged', async () => {
    expect(await storedRev(a)).toBe(0);
    expect(await notes(a)).toHaveLength(1);
    expect(await a.view('r')).toMatchObject({ rev: 1, pending: false, body: { wireworms: 5 } });
    expect(await a.records.list('trap_catch')).toMatchObject([{ rev: 1, body: { wireworms: 5 } }]);
    expect(await a.outbox()).toEqual([]);
  });

  test('an edit stands on the acknowledged revision', async () => {
    await a.save('r', { wireworms: 6 });
    expect(await a.outbox()).toMatchObject([{ base_rev: 1, set: { wireworms: 6 } }]);
    await a.sync();
    expect(rig.server.records.get('r')).toMatchObject({ rev: 2, body: { wireworms: 6 }, conflicts: [] });
    expect(await a.view('r')).toMatchObject({ rev: 2, pending: false, body: { wireworms: 6 } });
  });

  test('edits queued before the answer came meet no conflict with themselves', async () => {
    rig.server.instead = [() => Promise.reject(new TypeError('no network'))];
    await a.save('s', { wireworms: 1 });
    await a.push().catch(() => undefined);
    await a.save('s', { wireworms: 2 });
    expect(await a.outbox()).toHaveLength(2);
    await a.push();
    expect(rig.server.records.get('s')).toMatchObject({ body: { wireworms: 2 }, conflicts: [] });
    expect((await a.view('s')).body.wireworms).toBe(2);
  });

  test('a newer value of somebody else is shown, not covered by the waiting answer', async () => {
    await b.sync();
    await b.save('r', { wireworms: 9 });
    await b.sync();
    await a.pull();
    expect(await a.view('r')).toMatchObject({ rev: 2, body: { wireworms: 9 } });
  });

  test('the end of the pull throws the notes away', async () => {
    await a.pull();
    expect(await notes(a)).toBeUndefined();
    expect(await storedRev(a)).toBe(1);
    expect(await a.view('r')).toMatchObject({ rev: 1, body: { wireworms: 5 } });
  });

  test('a restore finds the value on the phone, and brings it back', async () => {
    rig.server.restored(new Rig().server.snapshot());
    await a.sync();
    expect((await a.view('r')).body).toEqual({ wireworms: 5, note: '' });
    expect(rig.server.records.get('r')?.body).toEqual({ wireworms: 5, note: '' });
    expect(await notes(a)).toBeUndefined();
  });
});

test('an answer that tells of others is taken in at once', async () => {
  await b.sync();
  await b.save('r', { note: 'wet' });
  await b.sync();
  await a.save('r', { wireworms: 6 });
  await a.push();
  expect(await storedRev(a)).toBe(3);
  expect((await a.view('r')).body).toEqual({ wireworms: 6, note: 'wet' });
});

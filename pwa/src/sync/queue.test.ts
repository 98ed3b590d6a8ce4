// The outbox: frozen bytes, one operation of a record in flight, nothing leaves without an answer.

import { describe, expect, test } from 'vitest';
import { Rig, twoPhones } from './rig';
import { Refused } from './server';
import { problem } from './server_double';

const NO_NETWORK = () => Promise.reject(new TypeError('no network'));

describe('edits in a row', () => {
  test('before the first attempt they are one operation', async () => {
    const [, a] = await twoPhones({ wireworms: 5, note: '' });
    await a.save('r', { wireworms: 6 });
    await a.save('r', { wireworms: 7, note: 'wet' });
    expect(await a.outbox()).toMatchObject([{ set: { wireworms: 7, note: 'wet' } }]);
  });

  test('an attempted operation keeps its bytes: the next edit is the next operation', async () => {
    const [rig, a] = await twoPhones({ wireworms: 5 });
    await a.save('r', { wireworms: 6 });
    rig.server.instead = [NO_NETWORK];
    await a.push().catch(() => undefined);
    const [first] = await a.outbox();
    await a.save('r', { wireworms: 7 });
    const queue = await a.outbox();
    expect(queue[0]).toEqual(first);
    expect(queue[1]).toMatchObject({
      set: { wireworms: 7 },
      base_rev: first?.base_rev,
      after: [first?.op_id],
    });
  });

  test('an edit goes into the last operation only, never into one that others stand behind', async () => {
    const [rig, a] = await twoPhones({ wireworms: 5 });
    await a.save('r', { wireworms: 6 });
    await a.records.remove('r');
    await a.records.resolve('r', [], { wireworms: 8 });
    await a.save('r', { wireworms: 9 });
    expect((await a.outbox()).map((op) => [op.kind, op.set.wireworms])).toEqual([
      ['put', 6],
      ['del', undefined],
      ['resolve', 8],
      ['put', 9],
    ]);
    expect(rig.server.pushes.flat()).toHaveLength(1);
  });

  test('a removal is taken back while it is here; once it is on its way all of the record is said again', async () => {
    const [rig, a] = await twoPhones({ wireworms: 5, note: 'wet' });
    await a.records.remove('r');
    await a.save('r', {});
    expect(await a.outbox()).toEqual([]);
    await a.records.remove('r');
    rig.server.instead = [NO_NETWORK];
    await a.push().catch(() => undefined);
    await a.save('r', {});
    expect((await a.outbox()).map((op) => [op.kind, op.set])).toEqual([
      ['del', {}],
      ['put', { wireworms: 5, note: 'wet' }],
    ]);
    await a.sync();
    const view = await a.records.get('r');
    expect(view?.deleted_elsewhere).toBe(true);
    expect(view?.conflicts).toMatchObject([{ why: 'deleted', set: { wireworms: 5, note: 'wet' } }]);
  });

  test('a form that sends back what it showed queues nothing', async () => {
    const [, a] = await twoPhones({ wireworms: 5, soil: { value: 9, unit: 'degC' } });
    await a.save('r', { wireworms: 5, soil: { unit: 'degC', value: 9 } });
    expect(await a.outbox()).toEqual([]);
  });
});

describe('a push', () => {
  test('holds at most one operation of a record and keeps their order', async () => {
    const [rig, a] = await twoPhones({ wireworms: 5 });
    for (const value of [6, 7]) {
      await a.save('r', { wireworms: value });
      rig.server.instead = [NO_NETWORK];
      await a.push().catch(() => undefined);
    }
    await a.save('s', { wireworms: 1 });
    const before = rig.server.pushes.length;
    await a.push();
    const batches = rig.server.pushes.slice(before).map((ops) => ops.map((op) => op.set?.wireworms));
    expect(batches).toEqual([[6, 1], [7]]);
  });

  test('ten thousand records take twenty pushes', async () => {
    const rig = new Rig();
    const a = await rig.phone('A');
    const many = Array.from({ length: 10_000 }, (_, i) => ({
      type: 'trap_catch' as const,
      id: `r${String(i).padStart(5, '0')}`,
      set: { wireworms: 1 },
    }));
    await a.records.save(many);
    await a.sync();
    expect(rig.server.pushes).toHaveLength(20);
    expect(rig.server.records.size).toBe(10_000);
    expect(rig.server.asked.filter((line) => line.endsWith('/pull')).length).toBeLessThanOrEqual(22);
    expect(await a.outbox()).toEqual([]);
  });

  test('one record on which the server fails does not hold up the others, and is tried again', async () => {
    const rig = new Rig();
    const a = await rig.phone('A');
    for (let i = 0; i < 10; i += 1) await a.save(`r${i}`, { wireworms: i });
    rig.server.poison.add('r3');
    for (let tries = 1; tries <= 8; tries += 1) {
      await a.sync();
      rig.now += 3_600_000;
    }
    expect(rig.server.records.size).toBe(9);
    expect(await a.outbox()).toMatchObject([{ id: 'r3', retries: 8 }]);
    expect((await a.view('r3')).stuck).toBe(true);
    rig.server.poison.clear();
    await a.sync();
    expect(rig.server.records.get('r3')?.body.wireworms).toBe(3);
    expect(await a.outbox()).toEqual([]);
  });

  test('a retry waits for its own time', async () => {
    const rig = new Rig();
    const a = await rig.phone('A');
    await a.save('r', { wireworms: 1 });
    rig.server.poison.add('r');
    await a.sync();
    const pushes = rig.server.pushes.length;
    await a.sync();
    expect(rig.server.pushes).toHaveLength(pushes);
  });
});

describe('a value the server refuses', () => {
  test('stays on the phone with its reason; the others of the batch land', async () => {
    const rig = new Rig();
    const a = await rig.phone('A');
    await a.save('good', { wireworms: 1 });
    await a.save('bad', { count: 123456 });
    await a.sync();
    expect([...rig.server.records.keys()]).toEqual(['good']);
    const [view] = await a.records.needsYou();
    expect(view).toMatchObject({ id: 'bad', body: { count: 123456 }, pending: true });
    expect(view?.needs_fix?.errors).toEqual([{ pointer: '/set/count', detail: '0 to 9999' }]);
    const pushes = rig.server.pushes.length;
    await a.sync();
    expect(rig.server.pushes).toHaveLength(pushes);
  });

  test('mended, it goes out under a new id', async () => {
    const rig = new Rig();
    const a = await rig.phone('A');
    await a.save('bad', { count: 123456, note: 'many' });
    await a.sync();
    const [refusedOp] = await a.outbox();
    await a.save('bad', { count: 12 });
    const [mended] = await a.outbox();
    expect(mended?.op_id).not.toBe(refusedOp?.op_id);
    await a.sync();
    expect(rig.server.records.get('bad')?.body).toEqual({ count: 12, note: 'many' });
    expect(await a.records.needsYou()).toEqual([]);
  });

  test('edits already queued behind it become one act with it', async () => {
    const rig = new Rig();
    const a = await rig.phone('A');
    await a.sync();
    await a.save('bad', { count: 123456 });
    rig.server.instead = [NO_NETWORK];
    await a.push().catch(() => undefined);
    await a.save('bad', { count: 12 });
    expect(await a.outbox()).toHaveLength(2);
    await a.sync();
    expect(rig.server.records.get('bad')?.body).toEqual({ count: 12 });
    expect(await a.outbox()).toEqual([]);
  });

  test('given up by its person, it is gone', async () => {
    const rig = new Rig();
    const a = await rig.phone('A');
    await a.save('bad', { count: 123456 });
    await a.sync();
    await a.records.discard('bad');
    expect(await a.outbox()).toEqual([]);
    expect(await a.records.get('bad')).toBeUndefined();
  });
});

describe('answers to the whole envelope', () => {
  test.each([
    [401, 'unauthorised'],
    [403, 'plot'],
    [409, 'schema'],
    [429, 'too-many'],
    [503, 'busy'],
    [507, 'disk-full'],
  ])('%i keeps every operation as it is', async (status, kind) => {
    const [rig, a] = await twoPhones({ wireworms: 5 });
    await a.save('r', { wireworms: 6 });
    await a.save('s', { wireworms: 1 });
    rig.server.instead = [undefined, () => problem(status, kind)];
    await expect(a.sync()).rejects.toBeInstanceOf(Refused);
    expect(await a.outbox()).toHaveLength(2);
    await a.sync();
    expect(await a.outbox()).toEqual([]);
    expect(rig.server.records.get('r')?.body.wireworms).toBe(6);
  });

  test('413 halves the batch until it fits; one that never fits waits for its person', async () => {
    const rig = new Rig();
    const a = await rig.phone('A');
    await a.sync();
    for (let i = 0; i < 8; i += 1) await a.save(`r${i}`, { wireworms: i });
    const tooLarge = () => problem(413, 'too-large');
    rig.server.instead = [tooLarge, tooLarge];
    await a.push();
    // The second four were on their way beside the first, and fitted.
    expect(rig.server.pushes.map((ops) => ops.length)).toEqual([4, 2, 2]);
    await a.save('huge', { wireworms: 1 });
    rig.server.instead = [tooLarge];
    await a.push();
    expect(await a.view('huge')).toMatchObject({ needs_fix: { status: 413 } });
  });

  test('revoked between two batches: the first is through, the second is all there', async () => {
    const rig = new Rig();
    const a = await rig.phone('A');
    await a.sync();
    a.engine.size = 5;
    for (let i = 0; i < 10; i += 1) await a.save(`r${i}`, { wireworms: i });
    rig.server.instead = [undefined, () => problem(401, 'unauthorised')];
    await expect(a.push()).rejects.toBeInstanceOf(Refused);
    expect(rig.server.records.size).toBe(5);
    expect((await a.outbox()).map((op) => op.id)).toEqual(['r5', 'r6', 'r7', 'r8', 'r9']);
  });
});

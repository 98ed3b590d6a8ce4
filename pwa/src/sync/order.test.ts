// What was done to one record leaves in the order in which it was done, however it falls into batches.

import { describe, expect, test } from 'vitest';
import { type Rig, type TestPhone, twoPhones } from './rig';

/** An attempt that fails: what is queued keeps its bytes, and the next edit is an operation of its own. */
async function attempt(phone: TestPhone): Promise<void> {
  phone.rig.server.instead.push(() => Promise.reject(new TypeError('no network')));
  await phone.push().catch(() => undefined);
}

describe('over several batches', () => {
  test('a deletion never overtakes the creation that the server could not take yet', async () => {
    const [rig, a] = await twoPhones({ wireworms: 5 });
    rig.server.poison.add('p');
    await a.save('p', { wireworms: 1 });
    await a.push(); // to be tried again later
    for (const id of ['u', 'v', 'w']) await a.save(id, { wireworms: 2 });
    await a.records.remove('p');
    a.engine.size = 3;
    rig.server.poison.clear();
    await a.push();
    rig.now += 3_600_000;
    await a.sync();
    const sent = rig.server.pushes.flat().map((op) => `${op.kind} ${op.id}`);
    expect(sent.filter((said) => said.endsWith(' p'))).toEqual(['put p', 'put p', 'del p']);
    expect(rig.server.records.get('p')?.deleted).toBe(true);
  });

  test('an edit never overtakes the one before it', async () => {
    const [rig, a] = await twoPhones({ wireworms: 5 });
    rig.server.poison.add('r');
    await a.save('r', { wireworms: 6 });
    await a.push();
    for (const id of ['u', 'v', 'w']) await a.save(id, { wireworms: 2 });
    await a.save('r', { wireworms: 7 });
    a.engine.size = 3;
    rig.server.poison.clear();
    await a.push();
    rig.now += 3_600_000;
    await a.sync();
    expect(rig.server.records.get('r')).toMatchObject({ body: { wireworms: 7 }, conflicts: [] });
  });

  test('three edits of one record, each in a batch of its own, meet no conflict', async () => {
    const [rig, a] = await twoPhones({ wireworms: 5 });
    await a.save('r', { wireworms: 6 });
    await attempt(a);
    await a.save('r', { wireworms: 7 });
    await a.save('u', { wireworms: 2 });
    await attempt(a);
    await a.save('r', { wireworms: 8 });
    a.engine.size = 1;
    await a.push();
    await a.sync();
    expect(rig.server.records.get('r')).toMatchObject({ body: { wireworms: 8 }, conflicts: [] });
  });
});

describe('after a push that failed', () => {
  test('what was not in it goes into the same operation, also after a restore', async () => {
    const [rig, a, b] = await twoPhones({ wireworms: 5 });
    const yesterday = rig.server.snapshot();
    await a.save('today', { wireworms: 1 });
    await a.sync();
    for (const id of ['x', 'y', 'z']) await a.save(id, { wireworms: 1 });
    await a.save('today', { wireworms: 2 });
    a.engine.size = 1;
    await attempt(a);
    rig.server.restored(yesterday);
    for (const phone of [a, b, a, b]) await phone.sync();
    expect(rig.server.records.get('today')).toMatchObject({ body: { wireworms: 2 }, conflicts: [] });
  });

  test('a removal that was not in it is taken back without a question', async () => {
    const [rig, a] = await twoPhones({ wireworms: 5 });
    for (const id of ['x', 'y', 'z']) await a.save(id, { wireworms: 1 });
    await a.records.remove('r');
    a.engine.size = 1;
    await attempt(a);
    await a.save('r', { wireworms: 5 });
    for (const phone of [a, a]) await phone.sync();
    expect(rig.server.records.get('r')).toMatchObject({ deleted: false, conflicts: [] });
  });
});

describe('two batches on their way', () => {
  const LOST = () => Promise.reject(new TypeError('no network'));

  async function four(): Promise<[Rig, TestPhone]> {
    const [rig, a] = await twoPhones({ wireworms: 5 });
    for (const id of ['x', 'y', 'z', 'last']) await a.save(id, { wireworms: 1 });
    a.engine.size = 1;
    return [rig, a];
  }

  async function waiting(phone: TestPhone): Promise<string[]> {
    return (await phone.outbox()).map((op) => `${op.id} ${op.set.wireworms}`);
  }

  test('what the second was answered is stored when the first was not', async () => {
    const [rig, a] = await four();
    rig.server.instead = [LOST];
    await expect(a.push()).rejects.toThrow();
    expect(rig.server.pushes.flat().map((op) => op.id)).toEqual(['r', 'y']);
    expect(await waiting(a)).toEqual(['x 1', 'z 1', 'last 1']);
    await a.sync();
    expect(rig.server.pushes.flat().map((op) => op.id)).toEqual(['r', 'y', 'x', 'z', 'last']);
  });

  test('refused by a server that was restored, both may be added to', async () => {
    const [rig, a] = await four();
    rig.server.restored(rig.server.snapshot());
    rig.server.instead = [undefined, undefined, LOST];
    await expect(a.push()).rejects.toThrow();
    for (const id of ['x', 'y', 'last']) await a.save(id, { wireworms: 2 });
    expect((await waiting(a)).filter((said) => said !== 'r 5')).toEqual(['x 2', 'y 2', 'z 1', 'last 2']);
  });

  test('when nobody knows what became of the second, its bytes stand', async () => {
    const [rig, a] = await four();
    rig.server.restored(rig.server.snapshot());
    rig.server.instead = [undefined, LOST, LOST];
    await expect(a.push()).rejects.toThrow();
    for (const id of ['y', 'last']) await a.save(id, { wireworms: 2 });
    expect((await waiting(a)).filter((said) => said !== 'r 5')).toEqual([
      'x 1',
      'y 1',
      'z 1',
      'last 2',
      'y 2',
    ]);
  });
});

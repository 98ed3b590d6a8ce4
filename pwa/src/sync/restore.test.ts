// The server is brought back from a backup under phones that hold newer, acknowledged records.

import { describe, expect, test } from 'vitest';
import { Rig, type TestPhone, twoPhones } from './rig';
import { RULES, type Rules } from './rules';
import { missingOnServer, sendAgain } from './unsent_again';

async function restoredUnderAcked(rules: Rules): Promise<unknown[]> {
  const [rig, a, b] = await twoPhones({ wireworms: 5 }, rules);
  const yesterday = rig.server.snapshot();
  await a.save('r', { wireworms: 6 });
  await a.save('today', { wireworms: 1 });
  await a.sync();
  await b.sync();
  rig.server.restored(yesterday);
  for (const phone of [b, a, b, a]) await phone.sync();
  const body = (id: string) => rig.server.records.get(id)?.body.wireworms;
  return [body('r'), body('today'), (await b.view('today')).body.wireworms, (await a.outbox()).length];
}

describe('after a restore', () => {
  test('what the server had acknowledged comes back from the phone that sent it', async () => {
    expect(await restoredUnderAcked(RULES)).toEqual([6, 1, 1, 0]);
  });

  test('planted: without the archive it would be lost', async () => {
    expect(await restoredUnderAcked({ ...RULES, replay: () => [] })).not.toEqual([6, 1, 1, 0]);
  });

  test('twice in a row: still nothing lost', async () => {
    const [rig, a, b] = await twoPhones({ wireworms: 5 });
    const yesterday = rig.server.snapshot();
    await a.save('today', { wireworms: 1 });
    await a.sync();
    for (let i = 0; i < 2; i += 1) {
      rig.server.restored(yesterday);
      await a.sync();
    }
    rig.server.restored(yesterday);
    for (const phone of [b, a, b]) await phone.sync();
    expect(rig.server.records.get('today')?.body).toEqual({ wireworms: 1 });
    expect((await b.view('today')).body.wireworms).toBe(1);
  });

  test('what is sent again has its original id, so a server that still has it answers "duplicate"', async () => {
    const [rig, a] = await twoPhones({ wireworms: 5 });
    const sent = rig.server.pushes.flat()[0]?.op_id;
    rig.server.restored(rig.server.snapshot());
    const before = rig.server.pushes.length;
    await a.sync();
    expect(rig.server.pushes.slice(before).flat()[0]?.op_id).toBe(sent);
    expect(rig.server.records.get('r')).toMatchObject({ rev: 1, body: { wireworms: 5 }, conflicts: [] });
  });

  test('sent-again operations stand before what is typed since', async () => {
    const [rig, a] = await twoPhones({ wireworms: 5 });
    const yesterday = rig.server.snapshot();
    await a.save('today', { wireworms: 1 });
    await a.sync();
    rig.server.restored(yesterday);
    await a.save('today', { wireworms: 2 });
    await a.sync();
    expect(rig.server.records.get('today')).toMatchObject({ body: { wireworms: 2 }, conflicts: [] });
  });
});

/** B's 9 was seen and is on the server; A's own older 7 waits to be sent again. What does A see? */
async function shownWhileReplaying(rules: Rules): Promise<unknown> {
  const [rig, a, b] = await twoPhones({ wireworms: 5 }, rules);
  const yesterday = rig.server.snapshot();
  await a.save('r', { wireworms: 7 });
  await a.sync();
  await b.sync();
  await b.save('r', { wireworms: 9 });
  await b.sync();
  await a.sync();
  rig.server.restored(yesterday);
  await b.sync();
  await a.pull();
  return (await shown(a)).body.wireworms;
}

async function shown(phone: TestPhone) {
  return await phone.view('r');
}

describe('an operation that is sent again', () => {
  test('does not cover a newer value on the screen', async () => {
    expect(await shownWhileReplaying(RULES)).toBe(9);
  });

  test('planted: if it did, a person would type over what he cannot see', async () => {
    expect(await shownWhileReplaying({ ...RULES, overlays: () => true })).not.toBe(9);
  });
});

/** The server lost A's 7 and shows 5 again; whoever holds `hands` types 9 over that before the 7 has gone out anew. */
async function typedOverTheRestored(hands: (a: TestPhone) => TestPhone) {
  const [rig, a, b] = await twoPhones({ wireworms: 5 });
  const yesterday = rig.server.snapshot();
  await a.save('r', { wireworms: 7 });
  await a.sync();
  const phone = hands(a);
  rig.server.restored(yesterday);
  await phone.pull();
  expect((await shown(phone)).body.wireworms).toBe(5);
  await phone.save('r', { wireworms: 9 });
  for (const one of [a, phone, b]) await one.sync();
  const { body, conflicts } = await shown(phone);
  return [body.wireworms, ...conflicts.map(({ set }) => set.wireworms)];
}

describe('an edit of what a restored server shows', () => {
  test('has not seen what goes out again behind it: both values stay and somebody is asked', async () => {
    expect(await typedOverTheRestored((a) => a)).toEqual([7, 9]);
  });

  test('no more on a clone of the phone, whose person never typed the 7', async () => {
    expect(await typedOverTheRestored((a) => a.clone('C'))).toEqual([7, 9]);
  });
});

describe('a cursor too old for its tombstones', () => {
  test('leads to a full pull, which sweeps what is gone, but never what is edited here', async () => {
    const [rig, a, b] = await twoPhones({ wireworms: 5 });
    for (const id of ['gone', 'edited']) await a.save(id, { wireworms: 1 });
    await a.sync();
    await b.sync();
    rig.server.records.delete('gone');
    rig.server.records.delete('edited');
    await a.save('new', { wireworms: 2 });
    await a.sync();
    rig.server.goneBefore = rig.server.seq;
    await b.save('edited', { wireworms: 3 });
    await b.pull();
    expect(await b.records.get('gone')).toBeUndefined();
    expect(await b.view('edited')).toMatchObject({ body: { wireworms: 3 }, pending: true });
    expect(await b.view('new')).toMatchObject({ body: { wireworms: 2 } });
  });
});

describe('a backup older than the archive', () => {
  test('records that only this phone still has can be sent again, and are then everywhere', async () => {
    const [rig, a, b] = await twoPhones({ wireworms: 5 });
    // Both know the record, neither can replay it: as after sixty days.
    for (const phone of [a, b]) {
      await phone.store.write(['archive'], async (tx) => tx.dropRange('archive', '', '\uffff'));
    }
    rig.server.restored(new Rig().server.snapshot());
    for (const phone of [a, b]) await phone.sync();
    expect(rig.server.records.size).toBe(0);
    expect(await missingOnServer(a.engine.wires)).toBe(1);
    expect((await a.view('r')).body).toEqual({ wireworms: 5 });
    for (const phone of [a, b]) expect(await sendAgain(phone.engine.wires)).toBe(1);
    for (const phone of [a, b, a]) await phone.sync();
    expect(rig.server.records.get('r')).toMatchObject({ body: { wireworms: 5 }, conflicts: [] });
    expect(await missingOnServer(a.engine.wires)).toBe(0);
    expect(await a.view('r')).toMatchObject({ pending: false, conflicts: [], body: { wireworms: 5 } });
  });
});

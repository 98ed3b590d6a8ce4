// A form shows a record as it was when it was opened. Whatever comes while it stands open, nobody replaces a value that
// he was not shown.

import { expect, test } from 'vitest';
import type { Fields, Shown, View } from '../storage/rows';
import { Rig, type TestPhone, twoPhones } from './rig';
import type { WireOp } from './server_double';

const START = { wireworms: 5, note: 'by the hedge' };

/** A opens a form; B sets 9, and A's phone hears of it behind the form. */
async function openedBefore(set: Fields = { wireworms: 9 }): Promise<[Rig, TestPhone, TestPhone, View]> {
  const [rig, a, b] = await twoPhones(START);
  const shown = await a.view('r');
  await b.save('r', set);
  await b.sync();
  await a.sync();
  return [rig, a, b, shown];
}

async function saveForm(phone: TestPhone, set: object, shown: Shown): Promise<void> {
  await phone.records.save([{ type: 'trap_catch', id: 'r', set: { ...set }, shown }]);
}

async function onServer(rig: Rig, a: TestPhone, b: TestPhone) {
  for (const phone of [a, b, a]) await phone.sync();
  const record = rig.server.records.get('r');
  return { body: record?.body, kept: (record?.conflicts ?? []).map((conflict) => conflict.set) };
}

test('a value that came behind the form stays, mine is kept beside it, and I am asked', async () => {
  const [rig, a, b, shown] = await openedBefore();
  await saveForm(a, { wireworms: 7 }, shown);
  expect((await a.view('r')).changed_elsewhere).toBe(true);
  const after = await onServer(rig, a, b);
  expect(after.body).toMatchObject({ wireworms: 9 });
  expect(after.kept).toEqual([{ wireworms: 7 }]);
  expect((await a.records.needsYou()).map(({ id }) => id)).toEqual(['r']);
  expect(await a.view('r')).toMatchObject({ body: { wireworms: 9 }, conflicts: [{ why: 'overlap' }] });
});

test('without what the form showed the 9 would be replaced: that is what it is for', async () => {
  const [rig, a, b] = await openedBefore();
  await a.save('r', { wireworms: 7 });
  expect(await onServer(rig, a, b)).toMatchObject({ body: { wireworms: 7 }, kept: [] });
});

test('the second save of a form that stands open still is asked about too', async () => {
  const [rig, a, b, shown] = await openedBefore();
  await saveForm(a, { note: 'wet' }, shown);
  await saveForm(a, { wireworms: 7 }, shown);
  const after = await onServer(rig, a, b);
  expect(after.body).toMatchObject({ wireworms: 9 });
  expect(after.kept).toEqual([{ note: 'wet', wireworms: 7 }]);
});

test('another field than mine: both are taken and nobody is asked', async () => {
  const [rig, a, b, shown] = await openedBefore({ note: 'wet' });
  await saveForm(a, { wireworms: 7 }, shown);
  expect(await onServer(rig, a, b)).toMatchObject({ body: { wireworms: 7, note: 'wet' }, kept: [] });
});

test('the same value as the one that came: nothing is left to do', async () => {
  const [, a, , shown] = await openedBefore();
  await saveForm(a, { wireworms: 9 }, shown);
  expect(await a.outbox()).toEqual([]);
});

test('what I saved myself and the server took since is no other value', async () => {
  const [rig, a, b] = await twoPhones(START);
  await a.save('r', { wireworms: 6 });
  const shown = await a.view('r');
  await a.sync();
  await saveForm(a, { wireworms: 7 }, shown);
  expect(await onServer(rig, a, b)).toMatchObject({ body: { wireworms: 7 }, kept: [] });
});

test('a form opened on a copy that was held back stands on the older one', async () => {
  const [rig, a, b] = await twoPhones(START);
  await b.save('r', { wireworms: 9 });
  await b.sync();
  await a.save('r', { wireworms: 6 });
  await a.pull();
  const shown = await a.view('r');
  expect(shown).toMatchObject({ body: { wireworms: 6 }, changed_elsewhere: true });
  expect(shown.base.rev).toBeLessThan(shown.rev);
  await a.push();
  await saveForm(a, { wireworms: 7 }, shown);
  const after = await onServer(rig, a, b);
  expect(after.body).toMatchObject({ wireworms: 9 });
  expect(after.kept).toEqual([{ wireworms: 6 }, { wireworms: 7 }]);
});

test('a record that was removed behind the form comes back as a question', async () => {
  const [rig, a, b] = await twoPhones(START);
  const shown = await a.view('r');
  await b.records.remove('r');
  await b.sync();
  await a.pull();
  await saveForm(a, { wireworms: 7 }, shown);
  for (const phone of [a, b, a]) await phone.sync();
  expect(rig.server.records.get('r')).toMatchObject({
    deleted: true,
    conflicts: [{ why: 'deleted', set: { wireworms: 7 } }],
  });
});

test('removing what has changed behind the form is asked about, and the change stays', async () => {
  const [rig, a, b, shown] = await openedBefore();
  await a.records.save([], [{ id: 'r', shown }]);
  const after = await onServer(rig, a, b);
  expect(after.body).toMatchObject({ wireworms: 9 });
  expect(rig.server.records.get('r')).toMatchObject({
    deleted: false,
    conflicts: [{ why: 'delete-vs-edit' }],
  });
});

test('what is written where there was no record yet does not replace one that came since', async () => {
  const [rig, a, b] = await twoPhones(START);
  const shown: Shown = { base: { rev: 0, epoch: '' }, body: { note: null } };
  await b.save('p', { note: 'slime' });
  for (const phone of [b, a]) await phone.sync();
  await a.records.save([{ type: 'trap_catch', id: 'p', set: { note: 'a trail' }, shown }]);
  for (const phone of [a, b, a]) await phone.sync();
  expect(rig.server.records.get('p')).toMatchObject({
    body: { note: 'slime' },
    conflicts: [{ set: { note: 'a trail' } }],
  });
});

test('settling between two values does not settle a third that came meanwhile', async () => {
  const [rig, a, b] = await twoPhones(START);
  await b.save('r', { wireworms: 9 });
  await a.save('r', { wireworms: 7 });
  for (const phone of [b, a, b]) await phone.sync();
  const shown = await a.view('r');
  const ids = shown.conflicts.map(({ id }) => id);
  await b.save('r', { wireworms: 12 });
  for (const phone of [b, a]) await phone.sync();
  await a.records.resolve('r', ids, { wireworms: 7 }, [], shown);
  const after = await onServer(rig, a, b);
  expect(after.body).toMatchObject({ wireworms: 12 });
  expect(after.kept).toEqual([{ wireworms: 7 }, { wireworms: 7 }]);
});

test('removing what has not changed removes it', async () => {
  const [rig, a, b] = await twoPhones(START);
  const shown = await a.view('r');
  await b.save('s', { wireworms: 1 });
  await b.sync();
  await a.sync();
  await a.records.save([], [{ id: 'r', shown }]);
  for (const phone of [a, b]) await phone.sync();
  expect(rig.server.records.get('r')).toMatchObject({ deleted: true, conflicts: [] });
});

test('a form opened before the first sync still says that it showed what was made here', async () => {
  const [rig, a, b] = await twoPhones(START);
  await a.save('s', START);
  const shown = await a.view('s');
  const [made] = await a.outbox();
  await a.sync();
  await b.sync();
  await b.save('s', { wireworms: 9 });
  await b.sync();
  await a.sync();
  await a.records.save([{ type: 'trap_catch', id: 's', set: { wireworms: 7 }, shown }]);
  // Else it would look like a new record with most fields missing, to a server that a restore robbed of the first.
  expect(await a.outbox()).toMatchObject([{ base_rev: 0, after: [made?.op_id], set: { wireworms: 7 } }]);
  await a.sync();
  expect(rig.server.records.get('s')).toMatchObject({
    body: { wireworms: 9 },
    conflicts: [{ set: { wireworms: 7 } }],
  });
});

test('a form opened before the phone had met its server stands in the history that it met', async () => {
  const rig = new Rig();
  const a = await rig.phone('A');
  const b = await rig.phone('B');
  await a.save('r', START);
  const shown = await a.view('r');
  await a.sync();
  await b.sync();
  await b.save('r', { wireworms: 9 });
  await b.sync();
  await a.sync();
  await saveForm(a, { wireworms: 7 }, shown);
  expect(shown.base.epoch).toBe('');
  expect(await a.outbox()).toMatchObject([{ base_rev: 0, base_epoch: rig.server.epoch }]);
});

test('a newer form does not raise what an older one, saved before it, stands on', async () => {
  const [rig, a, b, older] = await openedBefore();
  const newer = await a.view('r');
  await saveForm(a, { wireworms: 7, note: 'wet' }, older);
  await saveForm(a, { note: 'dry' }, newer);
  expect(await a.outbox()).toMatchObject([{ base_rev: 1, set: { wireworms: 7, note: 'dry' } }]);
  const after = await onServer(rig, a, b);
  expect([after.body, after.kept]).toMatchObject([{ wireworms: 9 }, [{ wireworms: 7, note: 'dry' }]]);
});

test('a removal by a form that is taken back leaves nothing of what the form had shown', async () => {
  const [rig, a, b, shown] = await openedBefore();
  await a.records.save([], [{ id: 'r', shown }]);
  await a.save('r', { wireworms: 8 });
  expect(await a.outbox()).toMatchObject([{ kind: 'put', base_rev: 2, set: { wireworms: 8 } }]);
  expect(await onServer(rig, a, b)).toMatchObject({ body: { wireworms: 8 }, kept: [] });
});

test('taken back by saving another form that stood open, the edit stands on what that one showed', async () => {
  const [rig, a, b, shown] = await openedBefore();
  await a.records.save([], [{ id: 'r', shown }]);
  await saveForm(a, { wireworms: 8 }, shown);
  expect(await onServer(rig, a, b)).toMatchObject({ body: { wireworms: 9 }, kept: [{ wireworms: 8 }] });
});

test('what the form showed had to take another id: the act that has its id now was not seen', async () => {
  const rig = new Rig();
  const a = await rig.phone('A');
  await a.sync();
  await a.save('new', { wireworms: 5 });
  const clone = a.clone('C');
  await clone.save('new', { wireworms: 16 }); // under the same id
  await clone.sync();
  const shown = await a.view('new');
  await a.sync();
  await a.records.save([{ type: 'trap_catch', id: 'new', set: { wireworms: 34 }, shown }]);
  await a.sync();
  const [[mine], [last]] = rig.server.pushes.slice(-2) as [WireOp[], WireOp[]];
  expect(mine).toMatchObject({
    op_id: expect.not.stringMatching(String(shown.base.own)),
    set: { wireworms: 5 },
  });
  expect(last).toMatchObject({ after: [mine?.op_id], set: { wireworms: 34 } });
  expect(rig.server.records.get('new')?.body.wireworms).toBe(16);
});

// A finger may hold a bed while another phone's change comes in, and a step may wait long to be taken back.

import { expect, test } from 'vitest';
import type { SaveItem } from '../../../storage';
import { type TestPhone, twoPhones } from '../../../sync/rig';
import { carryOut, type Records } from './carry';
import { awayStep } from './steps';
import { reversed, type Step } from './undo';
import { type Order, orderOf, walkSteps } from './walk';

const HERE = { outline: [[0, 0]], label: 'North bed' };

const on = (phone: TestPhone, isNoted = false): Records => ({
  get: (_, id) => phone.records.get(id),
  save: (items, gone) => phone.records.save(items as readonly SaveItem[], gone),
  isNoted: async () => isNoted,
});

const moved = (to: number, from = 0): Step => ({
  what: 'moved North bed',
  changes: [
    { type: 'trap_catch', id: 'r', before: { outline: [[from, from]] }, after: { outline: [[to, to]] } },
  ],
});
const drawn: Step = {
  what: 'drew North bed',
  changes: [{ type: 'trap_catch', id: 'r', before: undefined, after: HERE }],
};

async function bSets(a: TestPhone, b: TestPhone, set: object): Promise<void> {
  await b.save('r', { ...set });
  await b.sync();
  await a.sync();
}

test('a bed that another phone moved while a finger held it stays where that phone put it', async () => {
  const [, a, b] = await twoPhones(HERE);
  await bSets(a, b, { outline: [[9, 9]] });
  expect(await carryOut(moved(4), false, on(a))).toBe('changed');
  expect(await a.outbox()).toEqual([]);
  expect((await a.view('r')).body.outline).toEqual([[9, 9]]);
});

test('a bed that only got a note meanwhile is moved', async () => {
  const [rig, a, b] = await twoPhones(HERE);
  await bSets(a, b, { note: 'wet' });
  expect(await carryOut(moved(4), false, on(a))).toEqual(new Map());
  await a.sync();
  expect(rig.server.records.get('r')?.body).toMatchObject({ outline: [[4, 4]], note: 'wet' });
});

test('what comes between the look and the writing is asked about', async () => {
  const [rig, a, b] = await twoPhones(HERE);
  const late: Records = {
    ...on(a),
    save: async (items, gone) => {
      await bSets(a, b, { outline: [[9, 9]] });
      await on(a).save(items, gone);
    },
  };
  await carryOut(moved(4), false, late);
  await a.sync();
  expect(rig.server.records.get('r')).toMatchObject({
    body: { outline: [[9, 9]] },
    conflicts: [{ set: { outline: [[4, 4]] } }],
  });
});

test('taking a new bed back does not take the note back that somebody has written on it since', async () => {
  const [rig, a, b] = await twoPhones(HERE);
  await bSets(a, b, { note: 'sandy' });
  expect(await carryOut(reversed(drawn), true, on(a))).toBe('changed');
  await a.sync();
  expect(rig.server.records.get('r')).toMatchObject({ deleted: false, body: { note: 'sandy' } });
});

test('nor a bed at which something was noted; else it goes', async () => {
  const [rig, a] = await twoPhones(HERE);
  expect(await carryOut(reversed(drawn), true, on(a, true))).toBe('changed');
  expect(await carryOut(reversed(drawn), true, on(a))).toEqual(new Map());
  await a.sync();
  expect(rig.server.records.get('r')?.deleted).toBe(true);
});

test('the same tap twice is done once', async () => {
  const [, a] = await twoPhones(HERE);
  await carryOut(moved(4), false, on(a));
  expect(await carryOut(moved(4), false, on(a))).toEqual(new Map());
  expect((await a.view('r')).body.outline).toEqual([[4, 4]]);
});

test('an order of the walk that another phone told since the first tap is replaced only by who taps Save again', async () => {
  const [, a, b] = await twoPhones({ walk_order: 2 });
  const board = async () => ({ id: 'r', walk_order: (await a.view('r')).body.walk_order as number });
  const stood = orderOf([await board()]);
  await bSets(a, b, { walk_order: 3 });
  const step = async (order: Order): Promise<Step> => ({
    what: 'order of the walk',
    changes: walkSteps([await board()], ['r'], order),
  });
  expect(await carryOut(await step(stood), false, on(a))).toBe('changed');
  expect((await board()).walk_order).toBe(3);
  expect(await carryOut(await step(orderOf([await board()])), false, on(a))).toEqual(new Map());
  expect((await board()).walk_order).toBe(1);
});

test('a bed that is taken away and comes back has its own fields and no marks of its row', () => {
  const body = { id: 'r', label: 'A', base: { rev: 1, epoch: 'e' }, pending: false, disputed: false };
  const [change] = awayStep({ type: 'place', body }, false, '2026-05-01').changes;
  expect(change?.before).toEqual({ label: 'A' });
});

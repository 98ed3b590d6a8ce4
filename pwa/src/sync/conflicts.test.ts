// Two people, one record. Whatever the order of edits, pulls, pushes and lost answers, both values stay
// reachable and nobody replaces what he has not seen.

import { describe, expect, test, vi } from 'vitest';
import { type Rig, type TestPhone, twoPhones } from './rig';
import { RULES, type Rules } from './rules';

type Ending = { server: unknown; siblings: unknown[]; shownA: unknown; shownB: unknown };

async function ending(rig: Rig, a: TestPhone, b: TestPhone, field = 'wireworms'): Promise<Ending> {
  for (const phone of [a, b, a, b]) await phone.sync();
  const record = rig.server.records.get('r');
  const sets = (record?.conflicts ?? []).map((conflict) => (conflict.set as Record<string, unknown>)[field]);
  return {
    server: record?.body[field],
    siblings: sets,
    shownA: (await a.view('r')).body[field],
    shownB: (await b.view('r')).body[field],
  };
}

const BOTH_KEPT: Ending = { server: 9, siblings: [7], shownA: 9, shownB: 9 };

/** B sets 9; A, who has not seen it, sets 7, then pulls before it pushes. */
async function laundered(rules: Rules): Promise<Ending> {
  const [rig, a, b] = await twoPhones({ wireworms: 5 }, rules);
  await b.save('r', { wireworms: 9 });
  await b.sync();
  await a.save('r', { wireworms: 7 });
  await a.pull();
  return await ending(rig, a, b);
}

/** The same, and A goes on typing after the pull: on his screen stands his own 6, not the 9. */
async function launderedAndTypedOn(rules: Rules): Promise<Ending> {
  const [rig, a, b] = await twoPhones({ wireworms: 5 }, rules);
  await b.save('r', { wireworms: 9 });
  await b.sync();
  await a.save('r', { wireworms: 6 });
  await a.pull();
  await a.save('r', { wireworms: 7 });
  return await ending(rig, a, b);
}

/** The same, but another edit of A was on its way first, and only its answer shows the 9 to A's phone. */
async function launderedByAnswer(rules: Rules): Promise<Ending> {
  const [rig, a, b] = await twoPhones({ wireworms: 5, note: '' }, rules);
  await a.save('r', { note: 'wet' });
  a.loseAnswers = 1;
  await a.pushOnce().catch(() => undefined);
  await b.save('r', { wireworms: 9 });
  await b.sync();
  await a.save('r', { wireworms: 6 });
  await a.pushOnce();
  await a.save('r', { wireworms: 7 });
  return await ending(rig, a, b);
}

/** Two of A's edits are queued when the 9 comes. */
async function launderedWithTwoQueued(rules: Rules): Promise<Ending> {
  const [rig, a, b] = await twoPhones({ wireworms: 5 }, rules);
  await b.save('r', { wireworms: 9 });
  await b.sync();
  await a.save('r', { wireworms: 6 });
  rig.server.instead = [() => Promise.reject(new TypeError('no network'))];
  await a.push().catch(() => undefined);
  await a.save('r', { wireworms: 7 });
  await a.pull();
  return await ending(rig, a, b);
}

describe('a laundered conflict', () => {
  test('pull between edit and push: the other value stays, mine is kept beside it', async () => {
    expect(await laundered(RULES)).toEqual(BOTH_KEPT);
  });

  test('typing on after the pull changes nothing of that', async () => {
    expect(await launderedAndTypedOn(RULES)).toEqual(BOTH_KEPT);
  });

  test('a note on its way first, its answer lost', async () => {
    expect(await launderedByAnswer(RULES)).toEqual(BOTH_KEPT);
  });

  test('two queued edits: both are kept beside it', async () => {
    expect(await launderedWithTwoQueued(RULES)).toEqual({ ...BOTH_KEPT, siblings: [6, 7] });
  });

  test('planted: a base that moves at every pull is caught', async () => {
    expect(await launderedAndTypedOn({ ...RULES, clashes: () => false })).not.toEqual(BOTH_KEPT);
  });

  test('planted: a base that moves at every answer is caught', async () => {
    expect(await launderedByAnswer({ ...RULES, answerMovesBase: () => true })).not.toEqual(BOTH_KEPT);
  });
});

test('lost answer, then a foreign edit, then the duplicate: the foreign edit stays, no phantom conflict', async () => {
  const [rig, a, b] = await twoPhones({ wireworms: 5 });
  await a.save('r', { wireworms: 6 });
  a.loseAnswers = 1;
  await a.push().catch(() => undefined);
  await b.sync();
  await b.save('r', { wireworms: 9 });
  await b.sync();
  expect(await ending(rig, a, b)).toEqual({ server: 9, siblings: [], shownA: 9, shownB: 9 });
});

test('edits of different fields merge silently, in any order', async () => {
  for (const order of ['ab', 'ba']) {
    const [rig, a, b] = await twoPhones({ wireworms: 5, note: '' });
    await a.save('r', { wireworms: 6 });
    await b.save('r', { note: 'wet' });
    for (const who of order) await (who === 'a' ? a : b).sync();
    const end = await ending(rig, a, b);
    expect(end).toEqual({ server: 6, siblings: [], shownA: 6, shownB: 6 });
    expect(rig.server.records.get('r')?.body).toEqual({ wireworms: 6, note: 'wet' });
  }
});

test('own edits in a row raise no conflict with themselves, lost answers or not', async () => {
  const [rig, a, b] = await twoPhones({ wireworms: 5 });
  for (const value of [6, 7, 8]) {
    await a.save('r', { wireworms: value });
    a.loseAnswers = 1;
    await a.push().catch(() => undefined);
  }
  expect(await ending(rig, a, b)).toEqual({ server: 8, siblings: [], shownA: 8, shownB: 8 });
});

describe('while an edit is under way', () => {
  test('a newer value of the same field is not shown over it, but the view says so', async () => {
    const [, a, b] = await twoPhones({ wireworms: 5, note: '' });
    await b.save('r', { wireworms: 9, note: 'wet' });
    await b.sync();
    await a.save('r', { wireworms: 7 });
    await a.pull();
    expect(await a.view('r')).toMatchObject({
      body: { wireworms: 7, note: 'wet' },
      changed_elsewhere: true,
      pending: true,
    });
  });

  test('a value typed over what the pull brought is no conflict: its person saw it', async () => {
    const [rig, a, b] = await twoPhones({ wireworms: 5, note: '' });
    await a.save('r', { note: 'wet' });
    await b.save('r', { wireworms: 9 });
    await b.sync();
    await a.pull();
    expect((await a.view('r')).body.wireworms).toBe(9);
    await a.save('r', { wireworms: 10 });
    expect(await a.outbox()).toHaveLength(1);
    expect(await ending(rig, a, b)).toEqual({ server: 10, siblings: [], shownA: 10, shownB: 10 });
  });
});

describe('settling a conflict', () => {
  async function disputed(): Promise<[Rig, TestPhone, TestPhone]> {
    const [rig, a, b] = await twoPhones({ wireworms: 5 });
    await b.save('r', { wireworms: 9 });
    await b.sync();
    await a.save('r', { wireworms: 7 });
    for (const phone of [a, b]) await phone.sync();
    return [rig, a, b];
  }

  test('both phones list it under "needs you", with both values', async () => {
    const [, a, b] = await disputed();
    for (const phone of [a, b]) {
      const [view, ...more] = await phone.records.needsYou();
      expect(more).toEqual([]);
      expect(view?.body.wireworms).toBe(9);
      expect(view?.conflicts).toMatchObject([{ why: 'overlap', set: { wireworms: 7 } }]);
    }
  });

  test('the choice closes it everywhere, at once on the phone where it is made', async () => {
    const [rig, a, b] = await disputed();
    const view = await b.view('r');
    await b.records.resolve(
      'r',
      view.conflicts.map((conflict) => conflict.id),
      { wireworms: 8 },
    );
    expect(await b.view('r')).toMatchObject({ body: { wireworms: 8 }, conflicts: [], pending: true });
    expect(await ending(rig, a, b)).toEqual({ server: 8, siblings: [], shownA: 8, shownB: 8 });
    expect(await a.records.needsYou()).toEqual([]);
  });
});

describe('deleted elsewhere', () => {
  test('my edit of it is no resurrection and no loss: badge, conflict, my choice', async () => {
    const [rig, a, b] = await twoPhones({ wireworms: 5 });
    await b.records.remove('r');
    await b.sync();
    await a.save('r', { wireworms: 7 });
    await a.pull();
    expect(await a.view('r')).toMatchObject({
      body: { wireworms: 7 },
      deleted: false,
      deleted_elsewhere: true,
    });
    for (const phone of [a, b]) await phone.sync();
    expect(rig.server.records.get('r')?.deleted).toBe(true);
    const [view] = await a.records.needsYou();
    expect(view).toMatchObject({ deleted: true, deleted_elsewhere: true });
    expect(view?.conflicts).toMatchObject([{ why: 'deleted', set: { wireworms: 7 } }]);
    await a.records.resolve('r', [view?.conflicts[0]?.id ?? '']);
    for (const phone of [a, b]) await phone.sync();
    expect(await a.records.needsYou()).toEqual([]);
    expect(rig.server.records.get('r')).toMatchObject({ deleted: true, conflicts: [] });
  });

  test('my deletion of what somebody edited does not win', async () => {
    const [rig, a, b] = await twoPhones({ wireworms: 5 });
    await b.save('r', { wireworms: 9 });
    await b.sync();
    await a.records.remove('r');
    for (const phone of [a, b]) await phone.sync();
    expect(rig.server.records.get('r')).toMatchObject({ deleted: false, body: { wireworms: 9 } });
    expect(await a.view('r')).toMatchObject({ deleted: false, conflicts: [{ why: 'delete-vs-edit' }] });
  });

  test('a deletion that has not left the phone is taken back by an edit', async () => {
    const [rig, a, b] = await twoPhones({ wireworms: 5 });
    await a.records.remove('r');
    expect(await a.records.list('trap_catch')).toEqual([]);
    await a.save('r', { wireworms: 6 });
    expect(await a.outbox()).toMatchObject([{ kind: 'put', set: { wireworms: 6 } }]);
    expect(await ending(rig, a, b)).toEqual({ server: 6, siblings: [], shownA: 6, shownB: 6 });
  });
});

describe('a cloned phone', () => {
  test('the same operation id with other bytes goes out again under a new id; both values are kept', async () => {
    const [rig, a] = await twoPhones({ wireworms: 5, note: '' });
    await a.save('r', { wireworms: 6 });
    const clone = a.clone('A2');
    await a.save('r', { wireworms: 7 });
    await clone.save('r', { note: 'wet' });
    const [mine] = await a.outbox();
    const [its] = await clone.outbox();
    expect(mine?.op_id).toBe(its?.op_id);
    await a.sync();
    await clone.sync();
    const record = rig.server.records.get('r');
    expect(record?.body.wireworms).toBe(7);
    expect(record?.conflicts).toMatchObject([{ set: { wireworms: 6, note: 'wet' } }]);
    expect(await clone.outbox()).toEqual([]);
  });

  test('what an own queued operation names as its past follows the new id', async () => {
    const [, a] = await twoPhones({ wireworms: 5 });
    await a.save('r', { wireworms: 6 });
    const clone = a.clone('A2');
    await a.save('r', { wireworms: 7 });
    await a.sync();
    const frozen = a.rig.server;
    frozen.instead = [() => Promise.reject(new TypeError('no network'))];
    await clone.push().catch(() => undefined);
    await clone.save('r', { note: 'later' });
    const before = await clone.outbox();
    expect(before[1]?.after).toEqual([before[0]?.op_id]);
    await clone.sync();
    expect(await clone.outbox()).toEqual([]);
    const sent = frozen.pushes.flat().filter((op) => op.set?.note === 'later');
    expect(sent[0]?.after).not.toContain(before[0]?.op_id);
  });
});

test('a value that becomes a record of its own is stored in the one act that settles its conflict', async () => {
  const [, a, b] = await twoPhones({ wireworms: 5 });
  await a.save('r', { wireworms: 9 });
  await b.save('r', { wireworms: 7 });
  await a.sync();
  await b.sync();
  const [conflict] = (await b.view('r')).conflicts;
  const writes = vi.spyOn(b.store, 'write');
  const also = [{ type: 'trap_catch' as const, id: 'r2', set: { wireworms: 7 } }];
  await b.records.resolve('r', [conflict?.id ?? ''], { note: 'two' }, also);
  expect(writes).toHaveBeenCalledTimes(1);
  expect((await b.outbox()).map((op) => [op.kind, op.id])).toEqual([
    ['put', 'r2'],
    ['resolve', 'r'],
  ]);
  await b.sync();
  await a.sync();
  expect(await a.view('r')).toMatchObject({ body: { wireworms: 9, note: 'two' }, conflicts: [] });
  expect((await a.view('r2')).body.wireworms).toBe(7);
});

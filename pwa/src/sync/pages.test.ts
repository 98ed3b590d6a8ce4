// What comes while other pages are stored comes as one; nothing is passed over for it.

import { expect, test } from 'vitest';
import type { SyncStanding } from '../storage/meta_rows';
import type { ServerCopy } from './merge';
import { type Got, Pages } from './pages';

const START: SyncStanding = { epoch: 'e', schema: 1, seen: 1, etag: '"1"' };

function copy(id: string, wireworms: number): ServerCopy {
  return { id, type: 'trap_catch', rev: wireworms, deleted: false, body: { wireworms } };
}

function page(cursor: string, more: boolean, records: ServerCopy[] = [copy(cursor, 1)], epoch = 'e'): Got {
  return { page: { epoch, schema: 1, records, cursor, more }, etag: undefined };
}

/** Pages of a server that takes a moment for each, and from where each was asked. */
function of(answers: (Got | Error)[]): { pages: Pages; asked: SyncStanding[] } {
  const asked: SyncStanding[] = [];
  const ask = async (from: SyncStanding): Promise<Got> => {
    const answer = answers[asked.length];
    asked.push(from);
    await moment();
    if (answer === undefined || answer instanceof Error) throw answer ?? new Error('asked too often');
    return answer;
  };
  return { pages: new Pages(ask, START), asked };
}

function moment(): Promise<void> {
  return new Promise((done) => setTimeout(done));
}

/** Long enough for all that is asked for ahead. */
async function soon(): Promise<void> {
  for (let i = 0; i < 20; i += 1) await moment();
}

function ids(got: Got): string[] {
  return got === 'nothing new' ? [] : got.page.records.map((one) => one.id);
}

test('each page is asked for from the end of the one before; two at most wait', async () => {
  const names = ['a', 'b', 'c', 'd', 'e'];
  const { pages, asked } = of(names.map((name) => page(name, name !== 'e')));
  expect(ids(await pages.next())).toEqual(['a']);
  await soon();
  expect(asked.map((from) => from.cursor)).toEqual([undefined, 'a', 'b']);
  expect(asked.map((from) => from.etag)).toEqual(['"1"', undefined, undefined]);
  expect(pages.at.cursor).toBe('a');
  expect(ids(await pages.next())).toEqual(['b', 'c']);
  expect(pages.at.cursor).toBe('c');
  await soon();
  const last = await pages.next();
  expect(last).toMatchObject({ page: { cursor: 'e', more: false } });
  expect(ids(last)).toEqual(['d', 'e']);
});

test('what came before a failure is given first', async () => {
  const { pages } = of([page('a', true), page('b', true), new Error('no network')]);
  await pages.next();
  await soon();
  expect(ids(await pages.next())).toEqual(['b']);
  await expect(pages.next()).rejects.toThrow('no network');
});

test('pages of two histories are never one', async () => {
  const { pages } = of([page('a', true), page('b', true), page('c', false, [copy('c', 1)], 'f')]);
  await pages.next();
  await soon();
  expect(ids(await pages.next())).toEqual(['b']);
  expect(await pages.next()).toMatchObject({ page: { epoch: 'f', cursor: 'c' } });
});

test('a record that moved up meanwhile stands there twice, its newest copy last', async () => {
  const { pages } = of([page('a', true), page('b', true, [copy('r', 1)]), page('c', false, [copy('r', 2)])]);
  await pages.next();
  await soon();
  expect(await pages.next()).toMatchObject({ page: { records: [{ rev: 1 }, { rev: 2 }] } });
});

test('nothing new is said as it is', async () => {
  expect(await of(['nothing new']).pages.next()).toBe('nothing new');
});

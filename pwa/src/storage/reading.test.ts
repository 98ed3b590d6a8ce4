// Several questions in one transaction are answered as each by itself.

import 'fake-indexeddb/auto';
import { afterEach, expect, test, vi } from 'vitest';
import { newId, oneByOne, remove, save, saveDraft, setMeta, together } from './index';
import type { Ask } from './reading';

afterEach(() => vi.restoreAllMocks());

const ROUND = newId();
const SEEN = newId();

async function fill(): Promise<void> {
  await save('plot', newId(), { name: 'Top field', time_zone: 'Europe/Berlin' });
  await save('round', ROUND, { kind: 'dawn', observed_at: '2026-05-03T05:20:00+02:00' });
  await save('slug_count', SEEN, { round_id: ROUND, count: 3, observed_at: '2026-05-03T05:21:00+02:00' });
  // 22:30 UTC is half past midnight of the next day in Berlin (CEST, UTC+2).
  await save('evening', newId(), { observed_at: '2026-05-02T22:30:00Z' });
  await save('evening', newId(), { observed_at: '2026-05-02T20:30:00Z' });
  const gone = newId();
  await save('place', gone, { label: 'Heap' });
  await remove(gone);
  await setMeta('observer', 'Ada');
  await saveDraft('join', { code: 'AB' });
}

async function askAll(ask: Ask) {
  const day = { from: '2026-05-03', to: '2026-05-03' };
  return await Promise.all([
    ask.list('plot'),
    ask.list('place'),
    ask.list('evening', day),
    ask.list('evening'),
    ask.countsOfRound(ROUND),
    ask.get('slug_count', SEEN),
    ask.get('round', SEEN),
    ask.meta('observer'),
    ask.draft('join'),
    ask.list('evening', day),
  ]);
}

test('one transaction answers what each question by itself does', async () => {
  await fill();
  const alone = await askAll(oneByOne);
  const transactions = vi.spyOn(IDBDatabase.prototype, 'transaction');
  const answers = await together(askAll);
  expect(transactions).toHaveBeenCalledTimes(1);
  expect(answers).toEqual(alone);
  const [plots, places, evenings, all, counts, seen, no_round, observer, draft] = answers;
  expect([plots.length, places.length, evenings.length, all.length, counts.length]).toEqual([1, 0, 1, 2, 1]);
  expect([seen?.body.count, no_round, observer, draft]).toEqual([3, undefined, 'Ada', { code: 'AB' }]);
});

test('rows, the outbox and the plot are read once, however many ask', async () => {
  const requests = vi.spyOn(IDBIndex.prototype, 'getAll');
  const whole = vi.spyOn(IDBObjectStore.prototype, 'getAll');
  const day = { from: '2026-05-03', to: '2026-05-03' };
  await together((ask) =>
    Promise.all([
      ask.list('evening', day),
      ask.list('evening', day),
      ask.list('plot'),
      ask.list('round', day),
    ]),
  );
  expect(requests).toHaveBeenCalledTimes(3); // evenings, rounds, the plot
  expect(whole).toHaveBeenCalledTimes(1); // what waits to be sent
});

test('one record asked for by itself reads only its own part of what waits to be sent', async () => {
  const whole = vi.spyOn(IDBObjectStore.prototype, 'getAll');
  expect((await oneByOne.get('slug_count', SEEN))?.pending).toBe(true);
  expect(whole).not.toHaveBeenCalled();
});

import { expect, it } from 'vitest';
import { MemoryStore } from './memory_store';
import { Records } from './records';
import type { Op } from './rows';
import { withKeys } from './shelf';

const AT = '2026-05-03T05:30:00+01:00';

/** A note as the server has it, saved again with what it already says. */
async function savedAgain(clock_suspect: boolean): Promise<Op[]> {
  const store = new MemoryStore();
  const row = withKeys({
    ...{ id: 'n', type: 'note' as const, rev: 1, epoch: 'e', deleted: false, conflicts: [], seen: 1 },
    body: { text: 'wet', observed_at: AT },
    ...(clock_suspect ? { clock_suspect } : {}),
  });
  await store.write(['records'], async (tx) => tx.put('records', row));
  const records = new Records(store, undefined, () => undefined);
  await records.save([{ type: 'note', id: 'n', set: { text: 'wet', observed_at: AT } }]);
  return await store.read(['outbox'], (tx) => tx.opsOf('n'));
}

it('a time that a wrong clock gave is said again when a person says that it is right', async () => {
  expect((await savedAgain(true)).map(({ set }) => set)).toEqual([{ observed_at: AT }]);
  expect(await savedAgain(false)).toEqual([]);
});

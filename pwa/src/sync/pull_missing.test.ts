// The code of the pull cannot be had (its file went with an update that another tab has taken): what was typed stays
// queued, the sync says that it failed, and nothing is taken for done.

import { expect, test, vi } from 'vitest';
import { Rig } from './rig';

vi.mock('./pull', () => {
  throw new TypeError('Failed to fetch dynamically imported module');
});

test('a phone that has never synced keeps its queue, and its standing', async () => {
  const rig = new Rig();
  const a = await rig.phone('A');
  await a.save('x', { wireworms: 1 });
  await expect(a.engine.cycle(false)).rejects.toThrow();
  const ops = await a.base.read(['outbox'], (tx) => tx.all('outbox'));
  expect(ops.map(({ id, set }) => [id, set.wireworms])).toEqual([['x', 1]]);
  expect(await a.base.read(['meta'], (tx) => tx.get('meta', 'standing'))).toBeUndefined();
  expect(await a.base.read(['meta'], (tx) => tx.get('meta', 'last_sync_at'))).toBeUndefined();
});

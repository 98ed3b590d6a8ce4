// The code for a new history cannot be had (a first visit on a bad line): other refusals are still told as what they are.

import { expect, test, vi } from 'vitest';
import { Rig } from './rig';
import { problem } from './server_double';

vi.mock('./new_history', () => {
  throw new TypeError('Failed to fetch dynamically imported module');
});

test('a phone that was revoked is told so', async () => {
  const rig = new Rig();
  const a = await rig.phone('A');
  await a.base.write(['meta'], async (tx) =>
    tx.put('meta', {
      key: 'standing',
      value: { epoch: 'epoch-1', schema: 1, seen: 1, cursor: 'epoch-1@0@0' },
    }),
  );
  await a.save('x', { wireworms: 1 });
  rig.server.instead.push(() => problem(401, 'unauthorized'));
  await expect(a.push()).rejects.toMatchObject({ status: 401 });
  rig.server.instead.push(() => problem(401, 'unauthorized'));
  await expect(a.pull()).rejects.toMatchObject({ status: 401 });
});

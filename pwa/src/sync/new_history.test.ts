// Beginning anew comes to an end, and only begins for a reason.

import { expect, test } from 'vitest';
import { putStanding, standingIn } from '../storage/meta_rows';
import { enterEpoch } from './new_history';
import { twoPhones } from './rig';
import { problem } from './server_double';

test('a tab whose answer of a restored server is slow finds that the other has pulled all of it, and ends', async () => {
  const [rig, a] = await twoPhones({ wireworms: 5 });
  await a.base.write(['meta'], async (tx) => {
    const { epoch, schema, seen } = await standingIn(tx);
    putStanding(tx, { epoch, schema, seen: seen + 1, full: 'expired' });
  });
  rig.server.restored(rig.server.snapshot());
  const { fetch } = rig.server;
  let asked = 0;
  rig.server.fetch = async (input, init) => {
    const answer = await fetch(input, init);
    asked += 1;
    if (asked > 20) throw new Error('asked for ever');
    if (asked > 1) return answer;
    await enterEpoch(a.engine.wires, rig.server.epoch);
    await a.pull();
    return answer;
  };
  await a.pull();
  expect((await a.view('r')).body.wireworms).toBe(5);
});

test('a push that something answers with 410 does not begin the pull anew for ever', async () => {
  const [rig, a] = await twoPhones({ wireworms: 5 });
  await a.save('x', { wireworms: 1 });
  const { fetch } = rig.server;
  let pushes = 0;
  rig.server.fetch = async (input, init) => {
    if (!input.endsWith('/push')) return await fetch(input, init);
    pushes += 1;
    if (pushes > 50) throw new TypeError('that is enough');
    return problem(410, 'gone');
  };
  await a.sync().catch(() => undefined);
  expect(pushes).toBe(1);
});

// When the phone syncs, that only one tab does, and what its person is told.

import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { announce } from '../storage/changes';
import { outcomeOf, QUIET_MS } from './outcome';
import { type Rig, type TestPhone, twoPhones } from './rig';
import { NoAnswer, NotHome, Refused } from './server';
import { problem } from './server_double';
import { syncState } from './state';
import { Drainer } from './triggers';
import { backoff } from './wires';

/** Nothing here takes long, but on a loaded machine everything may. */
const LONG = { timeout: 30_000 };

/** Web Locks as the specification has them for `ifAvailable`: the second asker gets null at once. */
function lockManager() {
  const held = new Set<string>();
  return {
    async request(name: string, _options: object, work: (lock: object | null) => Promise<void>) {
      if (held.has(name)) return await work(null);
      held.add(name);
      try {
        await work({ name });
      } finally {
        held.delete(name);
      }
    },
  };
}

beforeEach(() => {
  vi.stubGlobal('navigator', { onLine: true, locks: lockManager() });
});
afterEach(() => {
  vi.unstubAllGlobals();
  vi.useRealTimers();
});

function pushes(rig: Rig): number {
  return rig.server.asked.filter((line) => line.endsWith('/push')).length;
}

describe('two tabs', () => {
  test('only one drains; each record goes out once', async () => {
    const [rig, a] = await twoPhones({ wireworms: 5 });
    for (let i = 0; i < 20; i += 1) await a.save(`r${i}`, { wireworms: i });
    const before = pushes(rig);
    const tabs = [new Drainer(a.engine), new Drainer(a.engine)];
    await Promise.all(tabs.map((tab) => tab.now()));
    expect(pushes(rig) - before).toBe(1);
    expect(rig.server.records.size).toBe(21);
    for (const tab of tabs) tab.stop();
  });

  test('two calls in one tab are one sync', async () => {
    const [rig, a] = await twoPhones({ wireworms: 5 });
    await a.save('r', { wireworms: 6 });
    const hellos = () => rig.server.asked.filter((line) => line.endsWith('/hello')).length;
    const before = hellos();
    const tab = new Drainer(a.engine);
    await Promise.all([tab.now(), tab.now()]);
    expect(hellos() - before).toBe(1);
    tab.stop();
  });

  test('a sign that comes during a sync is answered by one more', async () => {
    const [rig, a] = await twoPhones({ wireworms: 5 });
    const hellos = () => rig.server.asked.filter((line) => line.endsWith('/hello')).length;
    const before = hellos();
    const tab = new Drainer(a.engine);
    await Promise.all([tab.now(), tab.wake(), tab.wake()]);
    expect(hellos() - before).toBe(2);
    tab.stop();
  });
});

describe('what its person is told', () => {
  async function told(answer: () => Response | Promise<Response>): Promise<string> {
    const [rig, a] = await twoPhones({ wireworms: 5 });
    rig.server.instead = [answer];
    const tab = new Drainer(a.engine);
    await tab.now();
    tab.stop();
    return syncState.value.phase;
  }

  test('after a good sync: all is there, and since when', async () => {
    const [rig, a] = await twoPhones({ wireworms: 5 });
    const tab = new Drainer(a.engine);
    await tab.now();
    tab.stop();
    expect(syncState.value.phase).toBe('idle');
    expect(syncState.value.last_sync_at).toBe(new Date(rig.now).toISOString());
  });

  test('no answer is "not home" while there is a network, "offline" without', async () => {
    const nothing = () => Promise.reject(new TypeError('failed to fetch'));
    expect(await told(nothing)).toBe('not_home');
    vi.stubGlobal('navigator', { onLine: false, locks: lockManager() });
    expect(await told(nothing)).toBe('offline');
  });

  test('a revoked phone is asked to pair again; nothing of it is lost', async () => {
    const [rig, a] = await twoPhones({ wireworms: 5 });
    await a.save('r', { wireworms: 6 });
    rig.server.instead = [undefined, () => problem(401, 'pair-again')];
    const tab = new Drainer(a.engine);
    await tab.now();
    tab.stop();
    expect(syncState.value.phase).toBe('pair_again');
    expect(await a.outbox()).toHaveLength(1);
  });

  test.each([
    [new NotHome('x'), 'not_home'],
    [new NoAnswer('x'), 'not_home'],
    [new Refused(401, { type: 'x', title: 'x' }, undefined), 'pair_again'],
    [new Refused(409, { type: '/problems/schema', title: 'x' }, undefined), 'update_needed'],
    [new Refused(507, { type: 'x', title: 'x' }, undefined), 'trouble'],
    [new Refused(503, { type: 'x', title: 'x' }, undefined), 'trouble'],
    [new Error('quota'), 'trouble'],
  ])('%s', (end, phase) => {
    expect(outcomeOf(end, 1, true, () => 0.5).phase).toBe(phase);
  });
});

describe('when it tries again', () => {
  test('full jitter: up to 2 s · 2^n, never above five minutes', () => {
    expect(backoff(0, () => 1)).toBe(2_000);
    expect(backoff(3, () => 1)).toBe(16_000);
    expect(backoff(30, () => 1)).toBe(300_000);
    expect(backoff(5, () => 0)).toBe(0);
  });

  test('the server’s Retry-After wins; after success it is quiet', () => {
    const busy = new Refused(503, { type: 'x', title: 'x' }, 120_000);
    expect(outcomeOf(busy, 1, true, () => 0.5).again_ms).toBe(120_000);
    expect(outcomeOf('done', 0, true, () => 0.5).again_ms).toBe(QUIET_MS);
  });

  test('a save is sent a moment later, by itself', async () => {
    const [rig, a] = await twoPhones({ wireworms: 5 });
    const tab = listening(a);
    await vi.waitFor(() => expect(syncState.value.phase).toBe('idle'), LONG);
    await a.save('r', { wireworms: 6 });
    announce(['outbox'], ['r']);
    await vi.waitFor(() => expect(rig.server.records.get('r')?.body.wireworms).toBe(6), LONG);
    tab.stop();
  });

  test('coming to the front or a new network starts a sync at once', async () => {
    const [rig, a] = await twoPhones({ wireworms: 5 });
    const page = new FakePage();
    const tab = new Drainer(a.engine);
    tab.listen(page as unknown as Window);
    await vi.waitFor(() => expect(syncState.value.phase).toBe('idle'), LONG);
    for (const event of ['online', 'visible'] as const) {
      await a.save('r', { wireworms: event === 'online' ? 7 : 8 });
      if (event === 'online') page.dispatchEvent(new Event('online'));
      else page.document.dispatchEvent(new Event('visibilitychange'));
      const wanted = event === 'online' ? 7 : 8;
      await vi.waitFor(() => expect(rig.server.records.get('r')?.body.wireworms).toBe(wanted), LONG);
      await vi.waitFor(() => expect(syncState.value.phase).toBe('idle'), LONG);
    }
    tab.stop();
  });
});

class FakePage extends EventTarget {
  document = Object.assign(new EventTarget(), { visibilityState: 'visible' });
}

function listening(phone: TestPhone): Drainer {
  const tab = new Drainer(phone.engine);
  tab.listen(new FakePage() as unknown as Window);
  return tab;
}

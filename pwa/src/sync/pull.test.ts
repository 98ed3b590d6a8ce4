// A page and its cursor are one; nothing from a stranger is believed.

import { describe, expect, test } from 'vitest';
import { putStanding, standingIn } from '../storage/meta_rows';
import { type KeepPage, keepPage, pullAll } from './pull';
import { Rig, twoPhones } from './rig';
import { NoAnswer, NotHome, Server } from './server';
import { json, problem } from './server_double';

const html =
  (status = 200) =>
  () =>
    new Response('<html>Welcome to the hotel</html>', { status, headers: { 'Content-Type': 'text/html' } });
const redirect = () => Promise.reject(new TypeError('redirect mode is set to error'));

describe('pages', () => {
  test('a crash between two pages loses none and doubles none', async () => {
    const [rig, a] = await twoPhones({ wireworms: 5 });
    for (let i = 0; i < 5; i += 1) await a.save(`r${i}`, { wireworms: i });
    await a.sync();
    const c = await rig.phone('C');
    const paired = await c.engine.paired();
    if (!paired) throw new Error('not paired');
    const kept: number[] = [];
    const crashing: KeepPage = async (...page) => {
      await keepPage(...page);
      kept.push(page[1].records.length);
      if (kept.length === 2) throw new Error('killed');
    };
    await expect(pullAll(c.engine.wires, paired, 1, crashing)).rejects.toThrow('killed');
    expect(kept).toEqual([1, 2]); // what came while the first was stored is stored with one stroke
    expect(await c.store.read(['records'], (tx) => tx.count('records'))).toBe(3);
    await c.pull();
    expect(await c.records.list('trap_catch')).toHaveLength(6);
  });

  test('planted: a cursor stored before its page loses the page at a crash', async () => {
    const [rig] = await twoPhones({ wireworms: 5 });
    const c = await rig.phone('C');
    const paired = await c.engine.paired();
    if (!paired) throw new Error('not paired');
    const cursorFirst: KeepPage = async (wires, page) => {
      await wires.store.write(['meta'], async (tx) => {
        putStanding(tx, { ...(await standingIn(tx)), cursor: page.cursor });
      });
      throw new Error('killed');
    };
    await expect(pullAll(c.engine.wires, paired, 1, cursorFirst)).rejects.toThrow('killed');
    await c.pull();
    expect(await c.records.list('trap_catch')).not.toHaveLength(1);
  });

  test('a truncated page moves nothing', async () => {
    const [rig, , b] = await twoPhones({ wireworms: 5 });
    const before = await b.store.read(['meta'], standingIn);
    rig.server.instead = [
      () =>
        new Response('{"epoch":"epoch-1","records":[{"id"', {
          headers: { 'Content-Type': 'application/json' },
        }),
    ];
    await expect(b.pull()).rejects.toBeInstanceOf(NoAnswer);
    expect(await b.store.read(['meta'], standingIn)).toEqual(before);
  });

  test('a page that another tab has overtaken is not stored over the newer state', async () => {
    const [, a, b] = await twoPhones({ wireworms: 5 });
    const stale = await b.store.read(['meta'], standingIn);
    await a.save('r', { wireworms: 6 });
    await a.sync();
    await b.pull();
    const old = { id: 'r', type: 'trap_catch' as const, rev: 1, deleted: false, body: { wireworms: 5 } };
    const page = { epoch: stale.epoch, schema: 1, records: [old], cursor: 'old', more: false };
    await keepPage(b.engine.wires, page, stale);
    expect((await b.view('r')).body.wireworms).toBe(6);
    expect((await b.store.read(['meta'], standingIn)).cursor).not.toBe('old');
  });

  test('a revision never goes down within one history', async () => {
    const [rig, a] = await twoPhones({ wireworms: 5 });
    await a.save('r', { wireworms: 6 });
    await a.sync();
    const standing = await a.store.read(['meta'], standingIn);
    const old = { id: 'r', type: 'trap_catch' as const, rev: 1, deleted: false, body: { wireworms: 5 } };
    const page = { epoch: rig.server.epoch, schema: 1, records: [old], cursor: 'x', more: false };
    await keepPage(a.engine.wires, page, standing);
    expect(await a.view('r')).toMatchObject({ rev: 2, body: { wireworms: 6 } });
  });

  test('nothing new is asked for with the ETag of exactly that pull', async () => {
    const [rig, , b] = await twoPhones({ wireworms: 5 });
    await b.pull();
    const { cursor, epoch } = await b.store.read(['meta'], standingIn);
    const empty = { epoch, schema: 1, records: [], cursor, more: false };
    const tagged = () =>
      new Response(JSON.stringify(empty), { headers: { 'Content-Type': 'application/json', ETag: '"7"' } });
    rig.server.instead = [tagged];
    await b.pull();
    expect((await b.store.read(['meta'], standingIn)).etag).toBe('"7"');
    rig.server.instead = [() => new Response(null, { status: 304 })];
    await b.pull();
    expect((await b.store.read(['meta'], standingIn)).cursor).toBe(cursor);
  });

  test('an unknown type from a newer server is stored as it is', async () => {
    const [rig, , b] = await twoPhones({ wireworms: 5 });
    rig.server.seq += 1;
    const rec = { id: 'n', type: 'moon_phase', rev: 1, seq: rig.server.seq, deleted: false, restored_rev: 0 };
    rig.server.records.set('n', { ...rec, body: { full: true }, conflicts: [] });
    await b.pull();
    expect(await b.view('n')).toMatchObject({ type: 'moon_phase', body: { full: true } });
  });
});

describe('a strange wifi', () => {
  test.each([
    ['a portal page for hello', [html()]],
    ['a redirect for hello', [redirect]],
    ['another house for hello', [() => json({ app: 'underboard', server_id: 'server-2', protocol: 1 })]],
    ['JSON of something else for hello', [() => json({ ok: true })]],
    ['a portal page for the push', [undefined, html()]],
    ['JSON of something else for the push', [undefined, () => json({ epoch: 'epoch-1', ok: true })]],
    ['results of another history for the push', [undefined, () => json({ epoch: 'epoch-9', results: [] })]],
    ['a portal page for the pull', [undefined, undefined, html()]],
    ['JSON of something else for the pull', [undefined, undefined, () => json({ ok: true })]],
  ] as [string, (() => Response | Promise<Response>)[]][])('%s marks nothing sent', async (name, instead) => {
    const [rig, a] = await twoPhones({ wireworms: 5 });
    await a.save('r', { wireworms: 6 });
    const before = await a.outbox();
    const view = await a.view('r');
    rig.server.instead = instead;
    const failure = await a.sync().catch((error: unknown) => error);
    expect(failure instanceof NotHome || failure instanceof NoAnswer).toBe(true);
    expect((await a.view('r')).body).toEqual(view.body);
    if (!name.includes('pull')) expect(await a.outbox()).toEqual(before);
    await a.sync();
    expect(rig.server.records.get('r')?.body.wireworms).toBe(6);
    expect(await a.outbox()).toEqual([]);
  });

  test('every request refuses redirects and caches, and names the app', async () => {
    const seen: RequestInit[] = [];
    const server = new Server(async (_path, init) => {
      seen.push(init);
      return json({ app: 'underboard', server_id: 's', protocol: 1 });
    });
    await server.hello();
    await server.ask('/x', { method: 'POST', json: '{}' });
    for (const init of seen) {
      expect(init).toMatchObject({ redirect: 'error', cache: 'no-store', credentials: 'same-origin' });
      expect(init.headers).toMatchObject({ 'X-App': '1' });
    }
  });
});

describe('the server as a server', () => {
  test('Retry-After is heard in seconds and as a date (RFC 9110, 10.2.3)', async () => {
    const asking = (value: string) =>
      new Server(async () => problem(429, 'slow', {}, { 'Retry-After': value })).ask('/x').catch((e) => e);
    expect((await asking('120')).retryAfterMs).toBe(120_000);
    const date = new Date(Date.now() + 3_600_000).toUTCString();
    expect((await asking(date)).retryAfterMs).toBeGreaterThan(3_000_000);
  });

  test('large bodies go out gzipped and read back the same', async () => {
    let got = '';
    const server = new Server(async (_path, init) => {
      const plain = new Blob([init.body as ArrayBuffer])
        .stream()
        .pipeThrough(new DecompressionStream('gzip'));
      got = await new Response(plain).text();
      expect(init.headers).toMatchObject({ 'Content-Encoding': 'gzip' });
      return json({});
    });
    const text = JSON.stringify({ ops: 'x'.repeat(5000) });
    await server.ask('/x', { method: 'POST', json: text });
    expect(got).toBe(text);
  });

  test('a server that needs a newer page is told apart; nothing is sent to it', async () => {
    const rig = new Rig();
    const a = await rig.phone('A');
    await a.save('r', { wireworms: 1 });
    const newer = {
      app: 'underboard',
      server_id: rig.server.serverId,
      protocol: 1,
      schema: { min: 99, max: 99 },
    };
    rig.server.instead = [() => json(newer)];
    expect(await a.engine.cycle()).toBe('update_needed');
    expect(await a.outbox()).toHaveLength(1);
    expect(rig.server.pushes).toEqual([]);
  });
});

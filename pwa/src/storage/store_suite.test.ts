// What every adapter of the storage port must do. Expected behaviour: W3C "Indexed Database API 3.0",
// sections 2.7 (transactions are atomic, writers take turns) and 2.11 (keys sort).

import 'fake-indexeddb/auto';
import { beforeEach, describe, expect, test } from 'vitest';
import { closeDatabase, DB_NAME } from './database';
import { IdbStore } from './idb_store';
import { MemoryStore } from './memory_store';
import type { Store } from './port';
import type { NewOp, Row } from './rows';
import { timeOf, withKeys } from './shelf';

const adapters: [string, () => Promise<Store>][] = [
  [
    'IndexedDB',
    async () => {
      await closeDatabase();
      await new Promise((done) => {
        indexedDB.deleteDatabase(DB_NAME).onsuccess = done;
      });
      return new IdbStore();
    },
  ],
  ['memory', async () => new MemoryStore()],
];

/** A row as the sync would store it, observed at that local time. */
function row(id: string, at: string, more: Partial<Row> = {}): Row {
  const body = { ...(at ? { observed_at: at } : {}), ...more.body };
  const bare = {
    id,
    type: 'note' as const,
    rev: 1,
    epoch: 'e',
    deleted: false,
    body: {},
    conflicts: [],
    seen: 1,
  };
  return withKeys({ ...bare, ...more, body });
}
function op(id: string, opId: string): NewOp {
  const bare = { kind: 'put' as const, base_rev: 0, base_epoch: '', after: [], set: {}, schema: 0 };
  return { ...bare, id, op_id: opId, retries: 0, next_try: 0 };
}

describe.each(adapters)('a store in %s', (_name, make) => {
  let store: Store;
  beforeEach(async () => {
    store = await make();
  });

  test('a transaction that throws leaves nothing behind', async () => {
    const failing = store.write(['records', 'outbox'], async (tx) => {
      tx.put('records', row('a', ''));
      tx.queue(op('a', 'op1'));
      throw new Error('stop');
    });
    await expect(failing).rejects.toThrow('stop');
    expect(await store.read(['records'], (tx) => tx.count('records'))).toBe(0);
    expect(await store.read(['outbox'], (tx) => tx.count('outbox'))).toBe(0);
  });

  test('operations are numbered upwards and never get an old number again', async () => {
    await store.write(['outbox'], async (tx) => tx.queue(op('a', 'op1')));
    const [first] = await store.read(['outbox'], (tx) => tx.all('outbox'));
    await store.write(['outbox'], async (tx) => tx.drop('outbox', first?.n ?? 0));
    await store.write(['outbox'], async (tx) => tx.queue(op('a', 'op2')));
    const [second] = await store.read(['outbox'], (tx) => tx.all('outbox'));
    expect(second?.n).toBeGreaterThan(first?.n ?? 0);
  });

  test('an operation put back under its old number stands where it stood', async () => {
    await store.write(['outbox'], async (tx) => {
      for (const id of ['x', 'y', 'z']) tx.queue(op('a', id));
    });
    const [x] = await store.read(['outbox'], (tx) => tx.all('outbox'));
    if (!x) throw new Error('not queued');
    await store.write(['outbox'], async (tx) => tx.drop('outbox', x.n));
    await store.write(['outbox'], async (tx) => tx.put('outbox', x));
    const order = await store.read(['outbox'], (tx) => tx.opsOf('a'));
    expect(order.map((each) => each.op_id)).toEqual(['x', 'y', 'z']);
  });

  test('rows of a type come by the time of their observation, within the range asked for', async () => {
    await store.write(['records'], async (tx) => {
      tx.put('records', row('c', '2026-05-03T05:00:00'));
      tx.put('records', row('a', '2026-05-01T05:00:00'));
      tx.put('records', row('b', '2026-05-02T05:00:00'));
      tx.put('records', row('other', '2026-05-02T05:00:00', { type: 'place' }));
    });
    const all = await store.read(['records'], (tx) => tx.rowsOf('note'));
    expect(all.map((each) => each.id)).toEqual(['a', 'b', 'c']);
    const some = await store.read(['records'], (tx) => tx.rowsOf('note', '2026-05-02', '2026-05-02~'));
    expect(some.map((each) => each.id)).toEqual(['b']);
  });

  test('a bare tombstone is in no list', async () => {
    await store.write(['records'], async (tx) => tx.put('records', row('gone', '', { deleted: true })));
    expect(await store.read(['records'], (tx) => tx.rowsOf('note'))).toEqual([]);
    expect(await store.read(['records'], (tx) => tx.get('records', 'gone'))).toMatchObject({ deleted: true });
  });

  test('counts are found by their round, rows by an open conflict', async () => {
    await store.write(['records'], async (tx) => {
      tx.put('records', row('s1', '', { type: 'slug_count', body: { round_id: 'r1' } }));
      tx.put('records', row('s2', '', { type: 'slug_count', body: { round_id: 'r2' }, open: 1 }));
    });
    const counts = await store.read(['records'], (tx) => tx.rowsOfRound('r1'));
    expect(counts.map((each) => each.id)).toEqual(['s1']);
    const open = await store.read(['records'], (tx) => tx.openRows());
    expect(open.map((each) => each.id)).toEqual(['s2']);
  });

  test.each([3, 30])('%i rows by their ids, in the order asked, with gaps where there is none', async (n) => {
    const ids = Array.from({ length: n }, (_, i) => `id-${String(i * 2).padStart(4, '0')}`);
    await store.write(['records'], async (tx) => {
      for (const id of ids) tx.put('records', row(id, ''));
      tx.put('records', row('id-0001', ''));
    });
    const asked = ['id-0003', ...[...ids].reverse()];
    const found = await store.read(['records'], (tx) => tx.rows(asked));
    expect(found.map((each) => each?.id)).toEqual([undefined, ...[...ids].reverse()]);
  });

  test('rows far apart with many between are found too', async () => {
    const all = Array.from({ length: 400 }, (_, i) => `id-${String(i).padStart(4, '0')}`);
    await store.write(['records'], async (tx) => {
      for (const id of all) tx.put('records', row(id, ''));
    });
    const asked = all.filter((_, i) => i % 16 === 0);
    const found = await store.read(['records'], (tx) => tx.rows(asked));
    expect(found.map((each) => each?.id)).toEqual(asked);
  });

  describe('counts made when they were observed are found without an index', () => {
    // Both were made at 2026-05-01T00:00:00.001Z.
    const near = '019de0d5-c801-7d8d-8a68-000000000001';
    const round = '019de0d5-c801-7d8d-8a68-00000000000f';
    const count = (id: string, at: string, more: Partial<Row> = {}) =>
      row(id, at, { type: 'slug_count', ...more, body: { round_id: round, ...more.body } });

    test('the time in an id is read as in RFC 9562, appendix A.6', () => {
      expect(timeOf('017f22e2-79b0-7cc3-98c4-dc0c0c07398f')).toBe(Date.parse('2022-02-22T14:22:22-05:00'));
      expect(timeOf('2ed6657d-e927-468b-95e1-2665a8aea6a2')).toBeUndefined();
    });

    test('they have no keys; late ones, strange ids and other types have', () => {
      expect(count(near, '2026-05-01T00:00:00+02:00')).not.toHaveProperty('at');
      expect(count(near, '2026-05-01T00:00:00+02:00')).not.toHaveProperty('round_id');
      expect(count(near, '2026-05-09T05:00:00+02:00')).toMatchObject({ at: '2026-05-09T05:00:00' });
      expect(count('plain', '2026-05-01T00:00:00+02:00')).toMatchObject({ round_id: round });
      expect(row(near, '2026-05-01T00:00:00+02:00')).toMatchObject({ at: '2026-05-01T00:00:00' });
    });

    test('lists by day and by round hold both kinds, in order of time', async () => {
      await store.write(['records'], async (tx) => {
        tx.put('records', count(near, '2026-05-01T05:00:00+02:00'));
        tx.put('records', count('strange', '2026-05-01T04:00:00+02:00'));
        tx.put('records', count('019de0d5-c801-7d8d-8a68-000000000002', '2026-06-01T04:00:00+02:00'));
        tx.put('records', count('019de0d5-c801-7d8d-8a68-000000000003', '', { deleted: true, body: {} }));
        tx.put(
          'records',
          row('019de0d5-c801-7d8d-8a68-000000000004', '2026-05-01T05:00:00', { type: 'note' }),
        );
      });
      const ids = (rows: Row[]) => rows.map((each) => each.id.slice(-4));
      const all = await store.read(['records'], (tx) => tx.rowsOf('slug_count'));
      expect(ids(all)).toEqual(['ange', '0001', '0002']);
      const day = await store.read(['records'], (tx) => tx.rowsOf('slug_count', '2026-05-01', '2026-05-01~'));
      expect(ids(day)).toEqual(['ange', '0001']);
      const ofRound = await store.read(['records'], (tx) => tx.rowsOfRound(round));
      expect(ids(ofRound).sort()).toEqual(['0001', '0002', 'ange']);
    });
  });

  test('a range of keys is dropped at once, its ends included', async () => {
    await store.write(['archive'], async (tx) => {
      for (const key of ['2026-01', '2026-02', '2026-03']) tx.put('archive', { key, ops: [] });
    });
    await store.write(['archive'], async (tx) => tx.dropRange('archive', '', '2026-02'));
    const left = await store.read(['archive'], (tx) => tx.all('archive'));
    expect(left.map((each) => each.key)).toEqual(['2026-03']);
  });

  test('photos that wait come newest first; sent ones do not', async () => {
    const photo = (sha256: string, addedAt: number, waiting: boolean) => ({
      sha256,
      bytes: new ArrayBuffer(1),
      mime: 'image/jpeg',
      taken_at: '',
      added_at: addedAt,
      state: waiting ? ('waiting' as const) : ('sent' as const),
      retries: 0,
      next_try: 0,
      ...(waiting ? { waiting: addedAt } : {}),
    });
    await store.write(['photos'], async (tx) => {
      tx.put('photos', photo('old', 1, true));
      tx.put('photos', photo('sent', 2, false));
      tx.put('photos', photo('new', 3, true));
    });
    expect(await store.read(['photos'], (tx) => tx.waitingPhotos())).toEqual(['new', 'old']);
    await store.write(['photos'], async (tx) => tx.put('photos', photo('later', 4, false)));
    expect(await store.read(['photos'], (tx) => tx.photosIn('sent'))).toEqual(['sent', 'later']);
  });

  test('of which photos there are small pictures is told without reading them', async () => {
    await store.write(['thumbs'], async (tx) => {
      for (const sha256 of ['b', 'a']) tx.put('thumbs', { sha256, bytes: new ArrayBuffer(1) });
    });
    expect(await store.read(['thumbs'], (tx) => tx.thumbs())).toEqual(['a', 'b']);
  });

  test('what is stored is a copy: changing the object later changes nothing', async () => {
    const value = { key: 'k', value: { n: 1 } };
    await store.write(['meta'], async (tx) => tx.put('meta', value));
    value.value.n = 2;
    expect(await store.read(['meta'], (tx) => tx.get('meta', 'k'))).toEqual({ key: 'k', value: { n: 1 } });
  });

  test('writers take turns: two increments at once count two', async () => {
    const add = () =>
      store.write(['meta'], async (tx) => {
        const n = ((await tx.get('meta', 'n'))?.value as number | undefined) ?? 0;
        tx.put('meta', { key: 'n', value: n + 1 });
      });
    await Promise.all([add(), add()]);
    expect((await store.read(['meta'], (tx) => tx.get('meta', 'n')))?.value).toBe(2);
  });
});

import 'fake-indexeddb/auto';
import { describe, expect, it } from 'vitest';
import { store } from '../../storage/phone';
import { inverse, offered, saveTogether } from './undo';

describe('one undo for all that was saved together', () => {
  it('removes what was new and puts every old value back', () => {
    const items = [
      { type: 'treatment', id: 't1', set: { kind: 'mulch' } },
      { type: 'culture', id: 'c1', set: { used_at: '2026-05-03', note: 'thin' } },
    ];
    const before = new Map([
      ['t1', undefined],
      ['c1', { label: 'Bucket', note: 'thick' }],
    ]);
    expect(inverse(items, before)).toEqual({
      gone: ['t1'],
      puts: [{ type: 'culture', id: 'c1', set: { used_at: null, note: 'thick' } }],
    });
  });
  it('names a new record once, however often it was written', () => {
    const items = [
      { type: 'note', id: 'n', set: { text: 'a' } },
      { type: 'note', id: 'n', set: { place_id: 'p' } },
    ];
    expect(inverse(items, new Map())).toEqual({ gone: ['n'], puts: [] });
  });
});

it('takes a new record back as it was saved: what somebody has added since is asked about', async () => {
  const id = '01890000-0000-7000-8000-00000000000a';
  await saveTogether([{ type: 'note', id, set: { text: 'slime' } }], 'saved');
  // It was sent, another phone wrote to it, and that came here.
  await store.write(['records', 'outbox'], async (tx) => {
    for (const op of await tx.opsOf(id)) tx.drop('outbox', op.n);
    const row = await tx.get('records', id);
    if (row) tx.put('records', { ...row, rev: 2, own: [], body: { text: 'slime, two beds' } });
  });
  await offered.value?.run();
  const ops = await store.read(['outbox'], (tx) => tx.opsOf(id));
  expect(ops).toMatchObject([{ kind: 'del', base_rev: 0 }]);
});

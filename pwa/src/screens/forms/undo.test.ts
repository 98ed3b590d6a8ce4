import { describe, expect, it } from 'vitest';
import { inverse } from './undo';

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

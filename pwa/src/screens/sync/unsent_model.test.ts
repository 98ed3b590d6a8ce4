import { expect, it } from 'vitest';
import type { FileOp } from '../../sync/unsent';
import { linesOf } from './unsent_model';

let n = 0;
function op(id: string, set: Record<string, unknown>, more: Partial<FileOp> = {}): FileOp {
  n += 1;
  return { op_id: `o${n}`, kind: 'put', id, base_rev: 0, set, schema: 1, ...more };
}
const seen = (observer: string, observed_at: string) => ({ observer, observed_at });

it('counts records by kind, day at the plot and observer, each record once', () => {
  const ops = [
    op('a', seen('Bo', '2026-05-10T05:00:00Z'), { type: 'slug_count' }),
    op('a', { count: 4 }),
    op('b', seen('Bo', '2026-05-10T05:01:00Z'), { type: 'slug_count' }),
    // Half past eleven at night in Greenwich is the next day in London's summer.
    op('c', seen('Ada', '2026-05-10T23:30:00Z'), { type: 'slug_count' }),
    op('d', { note: 'x' }, { base_rev: 3 }),
    op('e', {}, { base_rev: 3, kind: 'del' }),
  ];
  expect(linesOf(ops, 'Europe/London')).toEqual([
    { what: 'slug_count', day: '2026-05-11', who: 'Ada', n: 1 },
    { what: 'slug_count', day: '2026-05-10', who: 'Bo', n: 2 },
    { what: 'change', day: '', who: '', n: 1 },
    { what: 'gone', day: '', who: '', n: 1 },
  ]);
});

it('takes whatever an honest file may hold', () => {
  expect(linesOf([op('a', { observed_at: 'never', observer: 7 }, { type: 'newer_kind' })], 'UTC')).toEqual([
    { what: 'newer_kind', day: '', who: '', n: 1 },
  ]);
  expect(linesOf([], 'UTC')).toEqual([]);
});

import { describe, expect, it } from 'vitest';
import type { Change, Past } from '../diary/past';
import { sideFacts } from './saw';

// Made at 2026-05-10T05:42:07.360Z: 0x019e10683d00 ms (RFC 9562, 5.7: the first 48 bits).
const BO = '019e1068-3d00-7000-8000-000000000001';
const AT = new Date('2026-05-10T05:42:07.360Z');

const change = (rev: number, part: Partial<Change>): Change => ({
  rev,
  op_id: `00000000-0000-4000-8000-00000000000${rev}`,
  what: 'changed',
  device_id: 'a',
  device: 'Ada’s phone',
  received_at: '2026-05-10T06:00:00Z',
  fields: [],
  ...part,
});

const past: Past = {
  record_id: 'r',
  next_before: null,
  changes: [
    change(4, { what: 'kept', op_id: BO, device: 'Bo’s phone', fields: [{ name: 'count', from: 9, to: 7 }] }),
    change(3, { fields: [{ name: 'count', from: 6, to: 9 }] }),
    change(2, { fields: [{ name: 'count', from: 5, to: 6 }] }),
    change(1, { what: 'made', fields: [{ name: 'count', from: null, to: 5 }] }),
  ],
};
const bo = (base_rev: number) => ({ id: BO, device: 'Bo’s phone', base_rev });

describe('what each had seen', () => {
  it('is, for the value that stands, what it replaced', () => {
    expect(sideFacts(past, 'count', undefined)).toEqual({
      device: 'Ada’s phone',
      at: new Date('2026-05-10T06:00:00Z'),
      saw: { value: 6 },
    });
  });

  it('is, for the other, the value at the revision it was typed over, however much came between', () => {
    expect(sideFacts(past, 'count', bo(1))).toEqual({ device: 'Bo’s phone', at: AT, saw: { value: 5 } });
    expect(sideFacts(past, 'count', bo(2)).saw).toEqual({ value: 6 });
    expect(sideFacts(past, 'note', bo(2)).saw).toEqual({ value: undefined });
  });

  it('is not claimed where it cannot be told', () => {
    expect(sideFacts(undefined, 'count', bo(1))).toEqual({ device: 'Bo’s phone', at: AT });
    expect(sideFacts(undefined, 'count', undefined)).toEqual({});
    // A longer past of which only the newest page has come; a base of before a restore.
    expect(
      sideFacts({ ...past, next_before: 1, changes: past.changes.slice(0, 2) }, 'count', bo(1)).saw,
    ).toBeUndefined();
    expect(sideFacts(past, 'count', bo(9)).saw).toBeUndefined();
  });
});

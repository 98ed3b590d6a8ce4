import { describe, expect, it } from 'vitest';
import type { DiaryView } from './model';
import { waits } from './waiting';

const treated = (id: string, day: string, days: number | undefined, place_ids: string[]): DiaryView => ({
  id,
  type: 'treatment',
  body: { observed_at: `${day}T18:00:00+01:00`, harvest_interval_days: days, place_ids },
});
const until = (list: DiaryView[], today: string) =>
  waits(list, 'Europe/London', today).map((wait) => [wait.place_id, wait.until]);

describe('the harvest interval', () => {
  it('ends on the day it says, and the longest one of a place counts', () => {
    const list = [
      treated('a', '2026-05-01', 7, ['p1', 'p2']),
      treated('b', '2026-05-03', 14, ['p1']),
      treated('c', '2026-05-04', undefined, ['p3']),
    ];
    expect(until(list, '2026-05-05')).toEqual([
      ['p2', '2026-05-08'],
      ['p1', '2026-05-17'],
    ]);
    expect(until(list, '2026-05-08')).toEqual([['p1', '2026-05-17']]);
    expect(until(list, '2026-05-17')).toEqual([]);
  });
  it('of a deleted treatment holds nobody up', () => {
    expect(until([{ ...treated('a', '2026-05-01', 7, ['p1']), deleted: true }], '2026-05-02')).toEqual([]);
  });
});

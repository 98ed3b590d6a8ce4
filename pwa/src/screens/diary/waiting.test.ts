import { describe, expect, it } from 'vitest';
import type { DiaryView } from './model';
import { scorings, waits, waitsByPlace } from './waiting';

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
  it('is counted for each product by itself, and the bed waits for the last', () => {
    const with_ = (id: string, day: string, days: number, product: string) => {
      const view = treated(id, day, days, ['p1']);
      return { ...view, body: { ...view.body, kind: 'pellets', product } };
    };
    const list = [
      with_('a', '2026-05-01', 7, 'Ferric'),
      with_('b', '2026-05-03', 7, ' ferric'),
      with_('c', '2026-05-02', 14, 'Copper'),
    ];
    const still = waits(list, 'Europe/London', '2026-05-05');
    expect(still.map(({ until: day, treatment }) => [day, treatment.id])).toEqual([
      ['2026-05-10', 'b'],
      ['2026-05-16', 'c'],
    ]);
    expect(waitsByPlace(still)).toMatchObject([
      { place_id: 'p1', until: '2026-05-16', products: [{ until: '2026-05-16' }, { until: '2026-05-10' }] },
    ]);
    expect(waits(list, 'Europe/London', '2026-05-10').map(({ treatment }) => treatment.id)).toEqual(['c']);
  });
  it('of a deleted treatment holds nobody up', () => {
    expect(until([{ ...treated('a', '2026-05-01', 7, ['p1']), deleted: true }], '2026-05-02')).toEqual([]);
  });
});

describe('a drench', () => {
  const drench = (id: string, day: string, kind = 'nematodes'): DiaryView => ({
    id,
    type: 'treatment',
    body: { kind, observed_at: `${day}T18:00:00+01:00`, place_ids: ['p1'] },
  });
  it('can be scored from day 7 to day 42, and is named until then', () => {
    const list = [
      drench('late', '2026-05-20', 'brew'),
      drench('old', '2026-04-01'),
      drench('now', '2026-05-01'),
    ];
    expect(
      scorings(list, 'Europe/London', '2026-05-21').map(({ treatment: { id }, from, to }) => [id, from, to]),
    ).toEqual([
      ['now', '2026-05-08', '2026-06-12'],
      ['late', '2026-05-27', '2026-07-01'],
    ]);
    expect(scorings(list, 'Europe/London', '2026-07-02')).toEqual([]);
    expect(scorings([drench('mulched', '2026-05-20', 'mulch')], 'Europe/London', '2026-05-21')).toEqual([]);
  });
});

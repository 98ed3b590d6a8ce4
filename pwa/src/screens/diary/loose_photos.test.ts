import { expect, test } from 'vitest';
import { looseByDay, withLoose } from './loose_photos';
import type { DiaryView } from './model';

const ZONE = 'Europe/London';
const views: DiaryView[] = [
  { id: 'note', type: 'note', body: {} },
  { id: 'crop', type: 'crop', body: { place_id: 'bed-4' } },
];
const photo = (sha256: string, taken_at: string, parent_id?: string) => ({
  body: { sha256, taken_at, parent_id },
});

test('photos of a place, a crop or nothing stand on their own day; those of an entry stand with it', () => {
  const photos = [
    photo('a', '2026-05-01T00:30:00+01:00', 'bed-3'),
    photo('b', '2026-05-01T12:00:00+01:00', 'crop'),
    photo('c', '2026-05-01T12:00:00+01:00'),
    photo('d', '2026-05-01T12:00:00+01:00', 'note'),
    photo('e', '2026-03-01T12:00:00+00:00', 'bed-3'),
    photo('f', 'no time'),
    photo('g', '2026-05-01T18:00:00+01:00', 'a record that was removed'),
  ];
  expect([...looseByDay(photos, views, ZONE, new Set(['bed-3', 'bed-4']))]).toEqual([
    ['2026-05-01', { shas: ['a', 'b', 'c', 'g'], place_ids: ['bed-3', 'bed-4'], elsewhere: true }],
    ['2026-03-01', { shas: ['e'], place_ids: ['bed-3'] }],
  ]);
});

test('a day with nothing but photos stands in its order', () => {
  const days = ['2026-05-03', '2026-05-01'].map((day) => ({ day, entries: [] }));
  const of = { shas: ['a'], place_ids: [] };
  const loose = new Map([
    ['2026-05-02', of],
    ['2026-05-01', of],
  ]);
  expect(withLoose(days, loose).map(({ day, loose: photos }) => [day, photos?.shas.length ?? 0])).toEqual([
    ['2026-05-03', 0],
    ['2026-05-02', 1],
    ['2026-05-01', 1],
  ]);
});

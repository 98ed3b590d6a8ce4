import { describe, expect, test } from 'vitest';
import {
  byMonth,
  byPlace,
  captionItem,
  captionShown,
  daysApart,
  inPlace,
  keptByRecords,
  type PhotoView,
  photoItems,
  removalOf,
  type Shot,
  shotsOf,
  takenAt,
  widestPair,
  withTaken,
} from './model';

const ZONE = 'Europe/London';
const A = 'a'.repeat(64);
const B = 'b'.repeat(64);
const C = 'c'.repeat(64);
const STATIONS = new Map([['board-1', 'bed-3']]);

const photo = (id: string, sha256: string, set: Record<string, unknown> = {}): PhotoView => ({
  id,
  type: 'photo',
  body: { sha256, bytes: 9, observed_at: '2026-05-01T05:10:00+01:00', ...set },
});
const bed: PhotoView = { id: 'bed-3', type: 'place', body: { label: 'Bed 3' } };
const count: PhotoView = {
  id: 'count-1',
  type: 'slug_count',
  body: {
    station_id: 'board-1',
    observed_at: '2026-05-02T05:10:00+01:00',
    observer: 'Ada',
    photos: [{ sha256: A, bytes: 5 }],
  },
};
const shot = (shots: readonly Shot[], sha: string): Shot => {
  const found = shots.find(({ sha256 }) => sha256 === sha);
  if (!found) throw new Error('not among them');
  return found;
};

describe('what a photo is of', () => {
  test('a photo of a count lies in the bed of its board', () => {
    const [only] = shotsOf([count, bed], STATIONS);
    expect(only).toMatchObject({
      sha256: A,
      place_ids: ['bed-3'],
      observer: 'Ada',
      listed: true,
      caption: '',
    });
  });

  test('the record that holds its caption is not a second photo', () => {
    const shots = shotsOf([count, bed, photo('p1', A, { parent_id: 'count-1', caption: 'slime' })], STATIONS);
    expect(shots).toHaveLength(1);
    expect(shots[0]).toMatchObject({ caption: 'slime', listed: true, record_id: 'p1', place_ids: ['bed-3'] });
  });

  test('one of a record that was removed says so, stands apart, and can be removed', () => {
    const shots = shotsOf([bed, photo('p1', A, { parent_id: 'gone' }), photo('p2', B)], STATIONS);
    expect([A, B].map((sha) => shot(shots, sha).orphan)).toEqual([true, false]);
    expect(byPlace(shots, [{ id: 'bed-3' }]).map(({ key, shots: of }) => [key, of.length])).toEqual([
      ['', 1],
      ['gone', 1],
    ]);
    expect(removalOf(shot(shots, A), shots)).toEqual({ items: [], gone: ['p1'], forget: true });
  });

  test('a photo that a record only lists has a record of its own before that one is removed', () => {
    const shots = shotsOf([count, bed], STATIONS);
    const made = {
      type: 'photo',
      id: 'new',
      set: {
        sha256: A,
        bytes: 5,
        parent_id: 'count-1',
        taken_at: '2026-05-02T05:10:00+01:00',
        observed_at: '2026-05-02T05:10:00+01:00',
        observer: 'Ada',
      },
    };
    expect(keptByRecords([count], shots, () => 'new')).toEqual([made]);
    const told = shotsOf([count, bed, photo('p1', A, { parent_id: 'count-1' })], STATIONS);
    expect(keptByRecords([count], told, () => 'new')).toEqual([]);
  });

  test('a crop’s event lies where its crop stands, a treatment in all its beds, a bare photo nowhere', () => {
    const views: PhotoView[] = [
      { id: 'crop-1', type: 'crop', body: { place_id: 'bed-4' } },
      { id: 'event-1', type: 'crop_event', body: { crop_id: 'crop-1' } },
      { id: 'drench', type: 'treatment', body: { place_ids: ['bed-3', 'bed-4'] } },
      photo('p1', A, { parent_id: 'event-1' }),
      photo('p2', B, { parent_id: 'drench' }),
      photo('p3', C),
    ];
    const shots = shotsOf(views, STATIONS);
    expect([A, B, C].map((sha) => shot(shots, sha).place_ids)).toEqual([['bed-4'], ['bed-3', 'bed-4'], []]);
  });

  test('one whose parent this phone does not know is shown all the same', () => {
    expect(shotsOf([photo('p1', A, { parent_id: 'unknown' })], STATIONS)).toMatchObject([
      { sha256: A, place_ids: [] },
    ]);
  });
});

describe('looked through', () => {
  const shots = shotsOf(
    [
      bed,
      photo('p1', A, { parent_id: 'bed-3', taken_at: '2026-03-01T23:30:00+00:00' }),
      photo('p2', B, { parent_id: 'bed-3', taken_at: '2026-05-01T00:30:00+01:00' }),
      photo('p3', C, { taken_at: '2026-05-01T12:00:00+01:00' }),
    ],
    STATIONS,
  );

  test('by the months of the plot’s own days, newest first', () => {
    const days = byMonth(shots, ZONE).map(({ key, shots: of }) => [key, of.map(({ sha256 }) => sha256)]);
    expect(days).toEqual([
      ['2026-05', [C, B]],
      ['2026-03', [A]],
    ]);
  });

  test('by place, and those of none at the end', () => {
    const places = byPlace(shots, [{ id: 'bed-9' }, { id: 'bed-3' }]);
    expect(places.map(({ key, shots: of }) => [key, of.length])).toEqual([
      ['bed-3', 2],
      ['', 1],
    ]);
  });

  test('before and after are the first and the last of a place; the days between are whole local days', () => {
    const pair = widestPair(inPlace(shots, 'bed-3'));
    expect([pair?.before.sha256, pair?.after.sha256]).toEqual([A, B]);
    // 30 days left of March and 30 of April, and the change of clocks between.
    expect(pair && daysApart(pair.before, pair.after, ZONE)).toBe(61);
    expect(widestPair(inPlace(shots, 'bed-9'))).toBeUndefined();
  });
});

describe('writing', () => {
  let n = 0;
  const id = () => `new-${++n}`;

  test('pictures just taken become records of their own, with the caption they share', () => {
    const taken = [{ sha256: A, bytes: 5, taken_at: '2026-05-01T05:10:00+01:00' }];
    const [item] = photoItems(taken, { parent_id: 'bed-3', caption: ' slime ', observer: 'Ada' }, id);
    expect(item?.set).toEqual({
      sha256: A,
      bytes: 5,
      taken_at: '2026-05-01T05:10:00+01:00',
      observed_at: '2026-05-01T05:10:00+01:00',
      observer: 'Ada',
      parent_id: 'bed-3',
      caption: 'slime',
    });
    expect(photoItems(taken, { caption: '', observer: 'Ada' }, id)[0]?.set).not.toHaveProperty('caption');
  });

  test('the same picture chosen twice is one', () => {
    const taken = { sha256: A, bytes: 5, taken_at: '' };
    expect(withTaken([taken], { ...taken })).toHaveLength(1);
  });

  test('a caption changes the photo’s record; a photo of a board is given one', () => {
    const shots = shotsOf([bed, count, photo('p1', B, { parent_id: 'bed-3', caption: 'old' })], STATIONS);
    expect(captionItem(shot(shots, B), 'new', 'Bo', id)).toEqual({
      type: 'photo',
      id: 'p1',
      set: { caption: 'new' },
    });
    expect(captionItem(shot(shots, B), '  ', 'Bo', id).set).toEqual({ caption: null });
    const given = captionItem(shot(shots, A), 'slime', 'Bo', id);
    expect(given.set).toMatchObject({ sha256: A, parent_id: 'count-1', caption: 'slime', bytes: 5 });
    expect(shotsOf([count, { ...given, body: given.set }], STATIONS)).toHaveLength(1);
  });

  test('a caption knows what stood there when its typing began', () => {
    const base = { rev: 3, epoch: 'e' };
    const own = { ...photo('p1', B, { parent_id: 'bed-3', caption: 'old' }), base };
    const shots = shotsOf([bed, count, own], STATIONS);
    expect(captionShown(shot(shots, B))).toEqual({ id: 'p1', base, body: { caption: 'old' } });
    expect(captionShown(shot(shots, A))).toEqual({ base: { rev: 0, epoch: '' }, body: { caption: null } });
  });

  test('of two records of one picture, one without words hides none that has some', () => {
    const views = [
      photo('p1', A, { parent_id: 'count-1', caption: 'slime' }),
      photo('p2', A, { parent_id: 'count-1' }),
    ];
    for (const order of [views, [...views].reverse()])
      expect(shotsOf([count, ...order], STATIONS)).toMatchObject([{ caption: 'slime', record_id: 'p1' }]);
  });

  test('taking one away takes its record, its line in the count, and its bytes if nothing else shows it', () => {
    const views = [
      bed,
      count,
      photo('p1', A, { parent_id: 'count-1' }),
      photo('p2', A, { parent_id: 'bed-3' }),
    ];
    const shots = shotsOf(views, STATIONS);
    const [ofCount, ofBed] = [shots.find((s) => s.listed), shots.find((s) => !s.listed)];
    if (!ofCount || !ofBed) throw new Error('two shots');
    expect(removalOf(ofCount, shots)).toEqual({
      items: [{ type: 'slug_count', id: 'count-1', set: { photos: [] } }],
      gone: ['p1'],
      forget: false,
    });
    expect(removalOf(ofBed, [ofBed])).toEqual({ items: [], gone: ['p2'], forget: true });
  });
});

describe('when a picture was taken', () => {
  const now = new Date('2026-05-02T10:00:00+01:00');

  test('is what the camera says, on the plot’s clock unless it wrote its own offset', () => {
    const wall = '2026-05-01T05:10:42';
    expect(takenAt({ wall }, 0, now, ZONE)).toBe('2026-05-01T05:10:00+01:00');
    expect(takenAt({ wall, offset: '+02:00' }, 0, now, ZONE)).toBe('2026-05-01T05:10:42+02:00');
  });

  test('else the file’s own time, else now; a clock far ahead is not believed', () => {
    const filed = Date.parse('2026-04-01T12:00:00Z');
    expect(takenAt(undefined, filed, now, ZONE)).toBe('2026-04-01T13:00:00+01:00');
    expect(takenAt(undefined, 0, now, ZONE)).toBe('2026-05-02T10:00:00+01:00');
    expect(takenAt({ wall: '2031-01-01T00:00:00' }, 0, now, ZONE)).toBe('2026-05-02T10:00:00+01:00');
  });
});

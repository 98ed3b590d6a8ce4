import 'fake-indexeddb/auto';
import { beforeEach, describe, expect, it } from 'vitest';
import type { SlugCount } from '../../generated/api';
import { get, list, newId, remove, save, saveDraft, setMeta } from '../../storage';
import { store } from '../../storage/phone';
import {
  beforeRound,
  boardsOn,
  countsOf,
  finishSet,
  isReached,
  openRound,
  startRound,
  TapWriter,
} from './model';
import { standKey } from './walk';

const ZONE = 'Europe/London';
const ADA = { observer: 'Ada', device_id: undefined };
const PHOTO = { sha256: 'a'.repeat(64), bytes: 9 };

let round = '';
let board = '';
let writer: TapWriter;

beforeEach(async () => {
  round = await startRound('Ada', ZONE);
  board = newId();
  writer = new TapWriter(round, ADA, ZONE);
});

const bodies = async (): Promise<SlugCount[]> => (await countsOf(round)).map(({ body }) => body);

describe('taps', () => {
  it('are all counted, however fast they come, in one record', async () => {
    await Promise.all(Array.from({ length: 20 }, () => writer.write(board, { kind: 'plus' })));
    const found = await bodies();
    expect(found).toHaveLength(1);
    expect(found[0]).toMatchObject({
      round_id: round,
      station_id: board,
      observer: 'Ada',
      state: 'counted',
      count: 20,
    });
    expect(found[0]?.observed_at).toMatch(/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d$/);
  });

  it('are stored when their promise is', async () => {
    const done = await writer.write(board, { kind: 'plus' });
    expect((await get('slug_count', done?.record_id ?? ''))?.body.count).toBe(1);
  });

  it('go on from what an earlier visit to the round left', async () => {
    await writer.write(board, { kind: 'plus' });
    await new TapWriter(round, ADA, ZONE).write(board, { kind: 'plus' });
    expect(await bodies()).toMatchObject([{ count: 2 }]);
  });

  it("leave another person's count of the board as it is", async () => {
    const theirs = newId();
    await save('slug_count', theirs, {
      round_id: round,
      station_id: board,
      observer: 'Bo',
      state: 'counted',
      count: 7,
      observed_at: '2026-04-14T06:00:00+01:00',
    });
    await writer.write(board, { kind: 'none' });
    expect((await get('slug_count', theirs))?.body).toMatchObject({ observer: 'Bo', count: 7 });
    expect((await bodies()).map(({ observer, count }) => [observer, count]).sort()).toEqual([
      ['Ada', 0],
      ['Bo', 7],
    ]);
  });

  it('take photos that were there before them into the first record', async () => {
    await writer.write(board, { kind: 'plus' }, [PHOTO]);
    expect(await bodies()).toMatchObject([{ count: 1, photos: [PHOTO] }]);
  });
});

describe('opening a round', () => {
  it('finds in one reading what the single questions find', async () => {
    const place = newId();
    const [gone, plot] = [newId(), newId()];
    await save('plot', plot, { name: 'Strip', time_zone: ZONE });
    await save('place', place, { label: 'Far bed' });
    await save('station', board, { kind: 'slug_board', label: 'Board 1', place_id: place, walk_order: 1 });
    await save('station', gone, { kind: 'slug_board', label: 'Board 0', retired_on: '2020-01-01' });
    await setMeta('observer', 'Ada');
    await writer.write(board, { kind: 'plus' });
    await saveDraft(standKey(round), { open: board, undo: [] });
    const opened = await openRound(round);
    expect(opened.round).toEqual(await get('round', round));
    expect(opened.boards).toContainEqual({
      id: board,
      label: 'Board 1',
      place_id: place,
      place: 'Far bed',
      walk_order: 1,
    });
    expect(opened.boards.map(({ id }) => id)).not.toContain(gone);
    expect(opened.counts.value).toEqual(await countsOf(round));
    expect(opened.counts.value).toHaveLength(1);
    expect(opened.me).toEqual(ADA);
    expect(opened.facts).toMatchObject({ time_zone: ZONE, observer: 'Ada' });
    expect(opened.stand).toEqual({ open: board, undo: [] });
    expect((await openRound(newId())).round).toBeUndefined();
    expect((await openRound(board)).round).toBeUndefined();
    for (const id of [plot, place, board, gone]) await remove(id);
  });

  // The hours of Auckland (13 ahead in January) and Honolulu (10 behind) by the IANA time zone database.
  it.each([
    ['2026-01-10', '2026-01-09T10:59:00Z', 'Pacific/Auckland', false],
    ['2026-01-10', '2026-01-09T11:01:00Z', 'Pacific/Auckland', true],
    ['2026-01-10', '2026-01-10T09:59:00Z', 'Pacific/Honolulu', false],
    ['2026-01-10', '2026-01-10T10:01:00Z', 'Pacific/Honolulu', true],
    ['2026-01-10', '2026-01-11T00:00:00Z', 'Pacific/Honolulu', true],
    ['2026-01-12', '2026-01-10T23:00:00Z', 'Pacific/Auckland', false],
  ])('a board retired on %s has gone at %s in %s: %s', (day, at, zone, gone) => {
    expect(isReached(day, new Date(at), zone)).toBe(gone);
  });
});

describe('undo', () => {
  it('takes taps back one by one, down to no record at all', async () => {
    const first = await writer.write(board, { kind: 'plus' });
    const second = await writer.write(board, { kind: 'plus' });
    const third = await writer.write(board, { kind: 'not_turned', reason: 'Frozen down' });
    expect(await bodies()).toMatchObject([{ state: 'not_turned', reason: 'Frozen down', count: null }]);
    if (!first || !second || !third) throw new Error('a tap wrote nothing');
    await writer.undo(third);
    expect(await bodies()).toMatchObject([{ state: 'counted', count: 2, reason: null }]);
    await writer.undo(second);
    expect(await bodies()).toMatchObject([{ state: 'counted', count: 1 }]);
    await writer.undo(first);
    expect(await bodies()).toEqual([]);
  });

  it('does not take back what another phone has written to the count since', async () => {
    const done = await writer.write(board, { kind: 'plus' });
    const id = done?.record_id ?? '';
    // It was sent, another phone made it 8, and that came here.
    await store.write(['records', 'outbox'], async (tx) => {
      for (const op of await tx.opsOf(id)) tx.drop('outbox', op.n);
      const row = await tx.get('records', id);
      if (row) tx.put('records', { ...row, rev: 2, own: [], body: { ...done?.shown?.body, count: 8 } });
    });
    if (done) await writer.undo(done);
    const ops = await store.read(['outbox'], (tx) => tx.opsOf(id));
    expect(ops).toMatchObject([{ kind: 'del', base_rev: 0 }]);
  });

  it('leaves room for counting again', async () => {
    const first = await writer.write(board, { kind: 'none' });
    if (first) await writer.undo(first);
    await writer.write(board, { kind: 'plus' });
    expect(await bodies()).toMatchObject([{ state: 'counted', count: 1 }]);
  });
});

it('boards lie in walking order of their own plot, the retired ones taken up', async () => {
  const place = newId();
  await save('place', place, { kind: 'bed', label: 'North bed' });
  const lying = newId();
  await save('station', lying, { kind: 'slug_board', place_id: place, label: 'B1', walk_order: 4 });
  const gone = newId();
  await save('station', gone, { kind: 'slug_board', label: 'B2', retired_on: '2026-04-01' });
  await save('station', newId(), { kind: 'thermometer', label: 'T1' });
  expect(await boardsOn('2026-04-14')).toEqual([
    { id: lying, label: 'B1', place_id: place, place: 'North bed', walk_order: 4 },
  ]);
  expect((await boardsOn('2026-03-31')).map(({ id }) => id)).toContain(gone);
});

it('the usual is learnt from valid rounds before this one, double counts left out', async () => {
  const counted = async (day: string, valid: boolean, numbers: number[], twice = false): Promise<void> => {
    const id = newId();
    const at = `${day}T06:30:00+01:00`;
    await save('round', id, { kind: 'dawn', observed_at: at, valid });
    for (const [n, count] of numbers.entries()) {
      const set = { round_id: id, station_id: `${id}-${n}`, state: 'counted' as const, observed_at: at };
      await save('slug_count', newId(), { ...set, count, observer: 'Ada' });
      if (twice) await save('slug_count', newId(), { ...set, count: count + 50, observer: 'Bo' });
    }
  };
  await counted('2026-05-01', true, [2, 4]);
  await counted('2026-05-02', true, [1, 1]);
  await counted('2026-05-03', false, [90, 90]);
  await counted('2026-05-04', true, [5, 5]);
  await counted('2026-05-05', true, [40], true);
  const here = newId();
  await save('round', here, { kind: 'dawn', observed_at: '2026-05-06T06:30:00+01:00' });
  const view = (await list('round')).find(({ id }) => id === here);
  if (!view) throw new Error('the round is not there');
  // Means 3, 1 and 5: the disturbed round and the one of double counts say nothing.
  expect((await beforeRound(view, ZONE)).usual).toMatchObject({ mean: 3, n_rounds: 3 });
});

it('finishing keeps the first time of finishing and says why a round does not count', () => {
  const told = { surface: undefined, night_low: '', disturbed: true };
  expect(finishSet(told, 'disturbed', 4.5, 'degC', 'now', 'before')).toEqual({
    finished_at: 'before',
    disturbed: true,
    valid: false,
    not_valid_reason: 'disturbed',
    night_low: { value: 4.5, unit: 'degC' },
  });
  expect(
    finishSet({ ...told, surface: 'wet', disturbed: false }, undefined, undefined, 'degC', 'now', undefined),
  ).toEqual({ finished_at: 'now', disturbed: false, valid: true, not_valid_reason: null, surface: 'wet' });
});

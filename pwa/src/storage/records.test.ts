// What screens get from `save`, `list`, `get` and the drafts.

import 'fake-indexeddb/auto';
import { beforeEach, describe, expect, test } from 'vitest';
import { changes } from './changes';
import { closeDatabase, DB_NAME } from './database';
import { dayIn, dayShift, inSteps } from './days';
import { newId } from './ids';
import { dropDraft, get, list, listBy, loadDraft, remove, save, saveDraft, saveMany } from './index';
import { store } from './phone';

beforeEach(async () => {
  await closeDatabase();
  await new Promise((done) => {
    indexedDB.deleteDatabase(DB_NAME).onsuccess = done;
  });
});

describe('ids', () => {
  test('are UUIDs of version 7 and variant 10 (RFC 9562, 5.7), with the time in front', () => {
    const before = Date.now();
    const id = newId();
    expect(id).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
    const ms = Number.parseInt(id.replaceAll('-', '').slice(0, 12), 16);
    expect(ms).toBeGreaterThanOrEqual(before);
    expect(ms).toBeLessThanOrEqual(Date.now() + 5);
  });

  test('ten thousand in a row are different and in order', () => {
    const ids = Array.from({ length: 10_000 }, newId);
    expect(new Set(ids).size).toBe(10_000);
    expect([...ids].sort()).toEqual(ids);
  });
});

describe('days', () => {
  test('an observation belongs to its local day in the plot’s time zone', () => {
    // 23:40 UTC is 00:40 of the next day in Berlin (CET, UTC+1) and the same day in London.
    expect(dayIn('2026-11-25T23:40:00Z', 'Europe/Berlin')).toBe('2026-11-26');
    expect(dayIn('2026-11-25T23:40:00Z', 'Europe/London')).toBe('2026-11-25');
    expect(dayIn('2026-11-25T23:40:00+01:00', undefined)).toBe('2026-11-25');
  });

  const stepsOf = async (days: number, step: number, found: number) => {
    const steps: object[] = [];
    await inSteps('2026-02-26', days, step, async (stretch) => {
      steps.push(stretch);
      return found;
    });
    return steps;
  };

  test('steps cover every day once, and have no end', async () => {
    expect(await stepsOf(5, 2, 1_000)).toEqual([
      { from: '2026-02-26', to: '2026-02-27' },
      { from: '2026-02-28', to: '2026-03-01' },
      { from: '2026-03-02' },
    ]);
    expect(await stepsOf(4, 2, 1_000)).toEqual([
      { from: '2026-02-26', to: '2026-02-27' },
      { from: '2026-02-28' },
    ]);
  });

  test('steps grow where there is little to read', async () => {
    expect(await stepsOf(62, 6, 0)).toEqual([
      { from: '2026-02-26', to: '2026-03-03' },
      { from: '2026-03-04', to: '2026-03-15' },
      { from: '2026-03-16', to: '2026-04-08' },
      { from: '2026-04-09' },
    ]);
  });

  test('shifting a date crosses months and leap days', () => {
    expect(dayShift('2028-02-28', 1)).toBe('2028-02-29');
    expect(dayShift('2026-03-01', -1)).toBe('2026-02-28');
  });
});

describe('records', () => {
  test('an unsent record is listed at once, marked pending', async () => {
    await save('note', 'n', { text: 'slime', observed_at: '2026-05-01T05:00:00+01:00' });
    expect(await get('note', 'n')).toMatchObject({ rev: 0, pending: true, body: { text: 'slime' } });
    expect(await list('note')).toHaveLength(1);
  });

  test('fields this version does not know are kept', async () => {
    await save('note', 'n', { text: 'x', moon: { phase: 0.5 } });
    await save('note', 'n', { text: 'y' });
    expect((await get('note', 'n'))?.body).toEqual({ text: 'y', moon: { phase: 0.5 } });
  });

  test('get of another type, and list after remove, find nothing', async () => {
    await save('note', 'n', { text: 'x' });
    expect(await get('place', 'n')).toBeUndefined();
    await remove('n');
    expect(await list('note')).toEqual([]);
  });

  test('a range of days takes the plot’s zone into account', async () => {
    await save('plot', 'p', { name: 'Top field', time_zone: 'Europe/Berlin' });
    await saveMany([
      { type: 'note', id: 'late', set: { text: 'logger', observed_at: '2026-11-25T23:40:00Z' } },
      { type: 'note', id: 'noon', set: { text: 'noon', observed_at: '2026-11-25T12:00:00+01:00' } },
    ]);
    const day = (date: string) => list('note', { from: date, to: date });
    expect((await day('2026-11-25')).map((view) => view.id)).toEqual(['noon']);
    expect((await day('2026-11-26')).map((view) => view.id)).toEqual(['late']);
  });

  test('counts of a round, also when the count was moved to it later', async () => {
    await save('slug_count', 's1', { round_id: 'r1', count: 3 });
    await save('slug_count', 's2', { round_id: 'r2', count: 4 });
    await save('slug_count', 's2', { round_id: 'r1' });
    expect((await listBy('slug_count', 'round_id', 'r1')).map((view) => view.id).sort()).toEqual([
      's1',
      's2',
    ]);
    expect(await listBy('slug_count', 'round_id', 'r2')).toEqual([]);
  });

  test('two acts on one record in one go are one operation, the later value wins', async () => {
    await saveMany([
      { type: 'note', id: 'n', set: { text: 'first', place_id: 'p' } },
      { type: 'note', id: 'n', set: { text: 'second' } },
    ]);
    expect((await get('note', 'n'))?.body).toEqual({ text: 'second', place_id: 'p' });
    expect(await store.read(['outbox'], (tx) => tx.all('outbox'))).toMatchObject([
      { set: { text: 'second', place_id: 'p' } },
    ]);
  });

  test('what is written and what is removed with one stroke is one change', async () => {
    await saveMany([
      { type: 'note', id: 'a', set: { text: 'a' } },
      { type: 'note', id: 'b', set: { text: 'b' } },
    ]);
    const told: number[] = [];
    const stop = changes.subscribe((change) => void told.push(change.ids.size));
    await saveMany([{ type: 'note', id: 'c', set: { text: 'c' } }], ['a', 'b']);
    stop();
    expect(told).toEqual([3]);
    expect((await list('note')).map((view) => view.id)).toEqual(['c']);
  });

  test('a caller that changes its object after saving changes nothing', async () => {
    const set = { text: 'before' };
    await save('note', 'n', set);
    set.text = 'after';
    expect((await get('note', 'n'))?.body.text).toBe('before');
  });
});

describe('drafts', () => {
  test('outlive the page: a new connection finds them', async () => {
    await saveDraft('round:1', { board: 'B07', count: 3 });
    await closeDatabase();
    expect(await loadDraft('round:1')).toEqual({ board: 'B07', count: 3 });
    await dropDraft('round:1');
    expect(await loadDraft('round:1')).toBeUndefined();
  });
});

describe('changes', () => {
  test('are told with type and id, here and to other tabs', async () => {
    const here: string[] = [];
    const stop = changes.subscribe((change) => void here.push(...change.types, ...change.ids));
    const other = new BroadcastChannel('underboard-changes');
    const heard = new Promise<{ types: string[]; ids: string[] }>((done) => {
      other.onmessage = (event) => done(event.data);
    });
    await save('note', 'n', { text: 'x' });
    expect(here).toEqual(['note', 'outbox', 'n']);
    expect(await heard).toMatchObject({ types: ['note', 'outbox'], ids: ['n'] });
    other.close();
    stop();
  });
});

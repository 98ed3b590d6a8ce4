// Rows in packs look to everybody as if each had been put by itself. The reference is the port over plain maps, which
// has no packs: whatever is done to both, both answer the same.

import 'fake-indexeddb/auto';
import { beforeEach, expect, test, vi } from 'vitest';
import { closeDatabase, DB_NAME, withDb } from './database';
import { diceOf } from './dice';
import { IdbStore } from './idb_store';
import { MemoryStore } from './memory_store';
import { type Pack, packsOf } from './packs';
import type { Store, Tx } from './port';
import { answered } from './requests';
import type { Row } from './rows';
import { timeOf, whenOf, withKeys } from './shelf';

const MAY = Date.parse('2026-05-01T05:00:00Z');
const DAY = 86_400_000;
const STORIES = 20;
const STEPS = 25;

/** A UUIDv7 of that moment. */
function idOf(ms: number, n: number): string {
  const hex = ms.toString(16).padStart(12, '0');
  return `${hex.slice(0, 8)}-${hex.slice(8)}-7000-8000-${String(n).padStart(12, '0')}`;
}

function row(id: string, more: Partial<Row> = {}): Row {
  const at = new Date(timeOf(id) ?? MAY).toISOString().slice(0, 19);
  const body = { observed_at: `${at}Z`, ...more.body };
  const bare: Row = {
    id,
    type: 'slug_count',
    rev: 1,
    epoch: 'e',
    deleted: false,
    body,
    conflicts: [],
    seen: 1,
  };
  return withKeys({ ...bare, ...more, body });
}

const packsHere = (): Promise<Pack[]> =>
  withDb((db) => answered<Pack[]>(db.transaction('packs').objectStore('packs').getAll()));

let idb: Store;
beforeEach(async () => {
  await closeDatabase();
  await answered(indexedDB.deleteDatabase(DB_NAME));
  idb = new IdbStore();
});

test('a first pull of 1,000 counts of a month is few values, of three days and 128 rows at most', async () => {
  const rows = Array.from({ length: 1_000 }, (_, i) =>
    row(idOf(MAY + Math.floor((i * 30 * DAY) / 1_000), i)),
  );
  await idb.write(['records'], (tx) => tx.lay(rows));
  const packs = await packsHere();
  expect(packs).toHaveLength(10);
  expect(packs.flatMap((pack) => pack.rows)).toEqual(rows);
  for (const { key, rows: held } of packs) {
    expect(key.slice(0, 2)).toEqual([held[0]?.id, held.at(-1)?.id]);
    expect(held.length).toBeLessThanOrEqual(128);
    expect((timeOf(key[1]) ?? 0) - (timeOf(key[0]) ?? 0)).toBeLessThanOrEqual(3 * DAY);
  }
});

test('1,000 counts of one moment are cut by their number', () => {
  const packs = packsOf(Array.from({ length: 1_000 }, (_, i) => row(idOf(MAY, i))));
  expect(packs.map((pack) => pack.rows.length)).toEqual([...Array.from({ length: 7 }, () => 128), 104]);
});

test('what an index must find, or what stands by itself already, is put by itself', async () => {
  const known = row(idOf(MAY, 1));
  await idb.write(['records'], async (tx) => tx.put('records', known));
  const others = [
    row(idOf(MAY, 2), { type: 'note' }),
    row(idOf(MAY, 3), { body: { observed_at: '2026-04-01T05:00:00Z' } }),
    row(idOf(MAY, 4), { conflicts: [{ id: 'o', why: 'overlap', set: {} }], open: 1 }),
    row('2ed6657d-e927-468b-95e1-2665a8aea6a2'),
    { ...known, rev: 2 },
  ];
  await idb.write(['records'], (tx) => tx.lay(others));
  expect(await packsHere()).toEqual([]);
  expect(await idb.read(['records'], (tx) => tx.get('records', known.id))).toMatchObject({ rev: 2 });
});

test('readings with ids that tell no time do not ask what is there already', async () => {
  const asked = vi.spyOn(IDBObjectStore.prototype, 'getAllKeys');
  const strange = Array.from({ length: 20 }, (_, i) =>
    row(`2ed6657d-e927-568b-95e1-${String(i).padStart(12, '0')}`, { type: 'temperature' }),
  );
  await idb.write(['records'], (tx) => tx.lay(strange));
  expect(asked).not.toHaveBeenCalled();
  // One that can lie in a pack asks for its own stretch, not for all that came with it.
  await idb.write(['records'], (tx) => tx.lay([...strange, row(idOf(MAY, 1))]));
  expect(
    asked.mock.calls.map(([range]) => [(range as IDBKeyRange).lower, (range as IDBKeyRange).upper]),
  ).toEqual([[idOf(MAY, 1), idOf(MAY, 1)]]);
  asked.mockRestore();
});

test('a row that is taken out of its pack leaves the others there; an empty pack goes', async () => {
  const rows = [1, 2].map((n) => row(idOf(MAY, n)));
  await idb.write(['records'], (tx) => tx.lay(rows));
  await idb.write(['records'], async (tx) => tx.drop('records', rows[0]?.id ?? ''));
  expect((await packsHere()).map((pack) => pack.rows)).toEqual([[rows[1]]]);
  await idb.write(['records'], async (tx) => tx.drop('records', rows[1]?.id ?? ''));
  expect(await packsHere()).toEqual([]);
});

test('rows that were put anew give back their room in the packs', async () => {
  const rows = [1, 2, 3].map((n) => row(idOf(MAY, n)));
  await idb.write(['records'], (tx) => tx.lay(rows));
  const anew = rows.slice(0, 2).map((each) => ({ ...each, rev: 2 }));
  await idb.write(['records'], async (tx) => {
    for (const each of anew) tx.put('records', each);
  });
  await idb.write(['records'], (tx) => tx.shed());
  expect((await packsHere()).map((pack) => pack.rows)).toEqual([[rows[2]]]);
  expect(await idb.read(['records'], (tx) => tx.all('records'))).toEqual([...anew, rows[2]]);
});

/** Random acts on both stores: few ids, so that they meet; crowded moments and lonely days; every kind of row. */
class Story {
  readonly memory = new MemoryStore();
  readonly next: () => number;
  readonly ids: string[];
  rev = 1;

  constructor(seed: number) {
    this.next = diceOf(seed);
    const crowded = Array.from({ length: 150 }, (_, i) => idOf(MAY + (i % 3), i));
    const lonely = Array.from({ length: 60 }, (_, i) => idOf(MAY - 30 * DAY + i * DAY, i));
    this.ids = [...crowded, ...lonely, 'plain', '2ed6657d-e927-468b-95e1-2665a8aea6a2', 'zzz'];
  }

  int(n: number): number {
    return Math.floor(this.next() * n);
  }
  some(n: number): string[] {
    const from = this.int(this.ids.length);
    const near = Array.from(
      { length: 1 + this.int(n) },
      (_, i) => this.ids[(from + i) % this.ids.length] ?? '',
    );
    return this.next() < 0.5 ? near : near.map(() => this.ids[this.int(this.ids.length)] ?? '');
  }
  row(id: string): Row {
    this.rev += 1;
    const type = (['slug_count', 'slug_count', 'temperature', 'note'] as const)[this.int(4)] ?? 'note';
    const late = this.next() < 0.1 ? { observed_at: '2026-03-01T04:00:00Z' } : {};
    const body = { round_id: this.ids[this.int(4)], n: this.rev, ...late };
    return row(id, {
      type,
      rev: this.rev,
      body,
      deleted: this.next() < 0.1,
      ...(this.next() < 0.05 ? { open: 1 as const } : {}),
    });
  }

  act(): (tx: Tx) => Promise<void> {
    const dice = this.next();
    const ids = this.some(dice < 0.5 ? 200 : 12);
    const rows = ids.map((id) => this.row(id));
    const fails = this.next() < 0.1;
    return async (tx) => {
      if (dice < 0.5) await tx.lay(rows);
      else if (dice < 0.55) await tx.shed();
      else if (dice < 0.75) for (const each of rows) tx.put('records', each);
      else for (const id of ids) tx.drop('records', id);
      // What was dropped must be gone within the transaction, too, and may come again.
      if (dice > 0.85 && dice < 0.95) {
        const [one, every] = await Promise.all([tx.rows(ids), tx.all('records')]);
        expect(one).toEqual(ids.map(() => undefined));
        expect(every.filter(({ id }) => ids.includes(id))).toEqual([]);
      }
      if (dice > 0.97) for (const each of rows) tx.put('records', each);
      else if (dice > 0.92) await tx.lay(rows);
      if (fails) throw new Error('stop');
    };
  }

  /** The same answers in the same order, where the port promises one. */
  async answers(store: Store, asked: string[], day: string): Promise<unknown> {
    const sorted = (rows: Row[]) => rows.map((each) => JSON.stringify(each)).sort();
    return await store.read(['records'], async (tx) => {
      const lists = [];
      for (const type of ['slug_count', 'temperature', 'note'])
        for (const [from, to] of [[], [day], [day, `${day}~`]]) {
          const rows = await tx.rowsOf(type, from, to);
          expect(rows.map(whenOf)).toEqual(rows.map(whenOf).sort());
          lists.push(sorted(rows));
        }
      for (const round of this.ids.slice(0, 4)) lists.push(sorted(await tx.rowsOfRound(round)));
      const one = await tx.get('records', asked[0] ?? '');
      return [
        lists,
        one,
        await tx.rows(asked),
        await tx.all('records'),
        await tx.count('records'),
        await tx.openRows(),
      ];
    });
  }
}

test(`${STORIES} random stories: with packs and without, everybody is told the same`, async () => {
  let packed = 0;
  for (let seed = 0; seed < STORIES; seed += 1) {
    const story = new Story(seed);
    await idb.write(['records'], async (tx) => {
      for (const each of await tx.all('records')) tx.drop('records', each.id);
    });
    expect(await packsHere()).toEqual([]);
    for (let step = 0; step < STEPS; step += 1) {
      const act = story.act();
      const ended = await Promise.allSettled(
        [idb, story.memory].map((store) => store.write(['records'], act)),
      );
      expect(ended[0], `story ${seed}, step ${step}`).toEqual(ended[1]);
      const asked = story.some(200);
      const day = new Date(MAY + (story.int(9) - 4) * DAY).toISOString().slice(0, 10);
      const [ours, theirs] = await Promise.all(
        [idb, story.memory].map((store) => story.answers(store, asked, day)),
      );
      expect(ours, `story ${seed}, step ${step}`).toEqual(theirs);
    }
    packed += (await packsHere()).length;
  }
  expect(packed).toBeGreaterThan(STORIES); // or it has shown nothing
});

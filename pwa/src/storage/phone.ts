// The storage of this phone, as the screens call it.

import type { RecordOf, RecordType } from '../generated/api';
import { Landing } from '../sync/landing';
import { withDb } from './database';
import { IdbStore } from './idb_store';
import { metaIn } from './meta_rows';
import type { Ask, DateRange, Reading } from './reading';
import { type Gone, Records, type SaveItem } from './records';
import type { Fields, View } from './rows';
import { Noting } from './touched';

export const store = new Landing(new Noting(new IdbStore()));
export const records = new Records(store);

/** Resolves once the disk has it; rejects, with nothing stored and `saveTrouble` set, if it cannot. */
export async function save<T extends RecordType>(
  type: T,
  id: string,
  set: Partial<RecordOf[T]> & Fields,
): Promise<void> {
  await records.save([{ type, id, set }]);
}

/** All of them or none; the records in `gone` are removed with the same stroke. */
export async function saveMany(items: readonly SaveItem[], gone?: readonly Gone[]): Promise<void> {
  await records.save(items, gone);
}

export async function remove(id: string): Promise<void> {
  await records.remove(id);
}

/** Close the named conflicts of a record, with the values its person chose (none: as it stands). */
export async function resolve(...said: Parameters<Records['resolve']>): Promise<void> {
  await records.resolve(...said);
}

export async function get<T extends RecordType>(type: T, id: string): Promise<View<T> | undefined> {
  const view = await records.get(id);
  return view && view.type === type ? (view as View<T>) : undefined;
}

export async function list<T extends RecordType>(type: T, range?: DateRange): Promise<View<T>[]> {
  return (await records.list(type, range)) as View<T>[];
}

export async function listBy(
  _type: 'slug_count',
  _field: 'round_id',
  value: string,
): Promise<View<'slug_count'>[]> {
  return await records.countsOfRound(value);
}

/** Several questions in one transaction; see `Reading` for what may not be awaited in between. */
export async function together<T>(ask: (reading: Reading) => Promise<T>): Promise<T> {
  return await records.together(ask);
}

/** Open the database before the first question is asked; who asks then is told what is wrong, if anything is. */
export function openStorage(): void {
  withDb(async () => undefined).catch(() => undefined);
}

export async function needsYou(): Promise<View[]> {
  return await records.needsYou();
}

export async function discard(id: string): Promise<void> {
  await records.discard(id);
}

export async function meta<T>(key: string): Promise<T | undefined> {
  return await store.read(['meta'], (tx) => metaIn<T>(tx, key));
}

export async function setMeta(key: string, value: unknown): Promise<void> {
  await store.write(['meta'], async (tx) => tx.put('meta', { key, value }));
}

// Half-filled forms: kept at every change, so that a reload, a lock or a crash loses nothing typed.

export async function saveDraft(key: string, value: unknown): Promise<void> {
  await store.write(['drafts'], async (tx) => tx.put('drafts', { key, value }));
}

export async function loadDraft<T>(key: string): Promise<T | undefined> {
  return await store.read(['drafts'], async (tx) => (await tx.get('drafts', key))?.value as T | undefined);
}

export async function dropDraft(key: string): Promise<void> {
  await store.write(['drafts'], async (tx) => tx.drop('drafts', key));
}

/** Each question in a transaction of its own. */
export const oneByOne: Ask = {
  list,
  get,
  countsOfRound: (roundId) => records.countsOfRound(roundId),
  meta,
  draft: loadDraft,
};

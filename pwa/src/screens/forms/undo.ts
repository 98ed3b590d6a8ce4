/** One step back from what a form saved together. */
import { signal } from '@preact/signals';
import type { RecordType } from '../../generated/api';
import { type Gone, get, type Shown, saveMany } from '../../storage';
import { asItem } from './write';

export interface Offer {
  words: string;
  run: () => Promise<unknown>;
}

/** What can be taken back now: the last thing that was saved or removed on this screen. */
export const offered = signal<Offer | undefined>(undefined);

export interface Put {
  type: string;
  id: string;
  set: Record<string, unknown>;
  /** What the form showed of the record. */
  shown?: Shown | undefined;
}
export interface Back {
  puts: Put[];
  /** Records that were new: taking them back removes them. */
  gone: string[];
}

/** What undoes `items`, given each record as it was before (undefined: there was none). Pure. */
export function inverse(
  items: readonly Put[],
  before: ReadonlyMap<string, Record<string, unknown> | undefined>,
): Back {
  const back: Back = { puts: [], gone: [] };
  for (const { type, id, set } of items) {
    const was = before.get(id);
    if (was === undefined) {
      if (!back.gone.includes(id)) back.gone.push(id);
      continue;
    }
    const old = Object.fromEntries(Object.keys(set).map((field) => [field, was[field] ?? null]));
    back.puts.push({ type, id, set: old });
  }
  return back;
}

/** Save everything in one transaction and offer one undo for all of it. */
export async function saveTogether(items: readonly Put[], words: string): Promise<void> {
  const before = new Map<string, Record<string, unknown> | undefined>();
  for (const { type, id } of items) {
    const view = before.has(id) ? undefined : await get(type as RecordType, id);
    if (!before.has(id)) before.set(id, view && !view.deleted ? view.body : undefined);
  }
  await saveMany(asItems(items));
  const back = inverse(items, before);
  // Taken back is what was saved here; a value that came since is not known to whoever presses.
  for (const put of back.puts) put.shown = await get(put.type as RecordType, put.id);
  const gone = await Promise.all(back.gone.map((id) => asSaved(id, items)));
  offered.value = { words, run: () => saveMany(asItems(back.puts), gone) };
}

/** A new record as it was saved: what somebody adds to it before it is taken back is not removed unasked. */
async function asSaved(id: string, items: readonly Put[]): Promise<Gone> {
  const type = items.find((item) => item.id === id)?.type;
  const shown = await get(type as RecordType, id);
  return shown ? { id, shown } : id;
}

function asItems(puts: readonly Put[]) {
  return puts.map(({ type, id, set, shown }) => asItem(type as RecordType, id, set, shown));
}

/** Putting a removed record back, with what belonged to it. */
import { uuid5 } from '../../domain/uuid5';
import type { RecordType } from '../../generated/api';
import { get, list, listBy, saveMany } from '../../storage';
import { asItem } from '../forms/write';

export interface Removed {
  id: string;
  type: string;
  body: Record<string, unknown>;
  device?: string | null;
  received_at?: string;
  /** Not sent yet: the server still has it. */
  here?: boolean;
}
type Item = { type: string; id: string; set: Record<string, unknown> };
type Referring = { id: string; type: string; body: Record<string, unknown> };

/** Which field of which records says that they belong to a record of a type. */
export const BELONGS: Readonly<Record<string, readonly [type: string, field: string][]>> = {
  round: [['slug_count', 'round_id']],
  crop: [
    ['crop_event', 'crop_id'],
    ['damage', 'crop_id'],
  ],
  culture: [['treatment', 'culture_id']],
};
/** Anything may have photos of its own. */
const PHOTOS: readonly [type: string, field: string][] = [['photo', 'parent_id']];
/** Of these, what goes and comes back with it: it says nothing without it. */
const PARTS: ReadonlySet<string> = new Set(['slug_count', 'crop_event']);

/** The id that a removed record comes back under: the same on every phone, so that two people make one record. */
export function returnedId(id: string): string {
  return uuid5(id, 'returned');
}

/**
 * What puts records back. A deletion is for good under its own id, so each comes back as a new record; whatever
 * referred to the old one, and everything that comes back with it, refers to the new one. Pure.
 */
export function returnItems(removed: readonly Removed[], referring: readonly Referring[]): Item[] {
  const ids = new Map(removed.map(({ id }) => [id, returnedId(id)]));
  const swapped = (body: Record<string, unknown>) =>
    Object.fromEntries(
      Object.entries(body).map(([name, value]) => [
        name,
        (typeof value === 'string' && name.endsWith('_id') && ids.get(value)) || value,
      ]),
    );
  const back = removed.map(({ id, type, body }) => ({
    type,
    id: returnedId(id),
    set: { ...swapped(body), returned_from: id },
  }));
  const moved = referring.map(({ id, type, body }) => {
    const now = swapped(body);
    const set = Object.fromEntries(Object.entries(now).filter(([name, value]) => value !== body[name]));
    return { type, id, set };
  });
  return [...back, ...moved.filter(({ set }) => Object.keys(set).length > 0)];
}

export interface Group {
  whole: Removed;
  /** What was removed with it and belongs to it. */
  parts: Removed[];
}

/** Removed records, each round with its counts and each crop with its steps, in the order they came. Pure. */
export function removedGroups(records: readonly Removed[]): Group[] {
  const groups = new Map(records.map((one) => [one.id, { whole: one, parts: [] as Removed[] }]));
  for (const one of records) {
    const owner = ownerOf(one);
    const group = owner === undefined ? undefined : groups.get(owner);
    if (!group || !PARTS.has(one.type)) continue;
    group.parts.push(one);
    groups.delete(one.id);
  }
  return [...groups.values()];
}

function ownerOf({ type, body }: Removed): string | undefined {
  for (const [name] of Object.entries(BELONGS)) {
    const field = BELONGS[name]?.find(([of]) => of === type)?.[1];
    const id = field && body[field];
    if (typeof id === 'string') return id;
  }
  return undefined;
}

/** What goes with a record when it is removed: counts of a round, steps of a crop. */
export async function partsOf(type: string, id: string): Promise<Referring[]> {
  return (await referringTo(type, id)).filter((one) => PARTS.has(one.type));
}

async function referringTo(type: string, id: string): Promise<Referring[]> {
  const found = await Promise.all(
    [...(BELONGS[type] ?? []), ...PHOTOS].map(async ([of, field]) => {
      if (of === 'slug_count') return await listBy('slug_count', 'round_id', id);
      return (await list(of as RecordType)).filter((view) => view.body[field] === id);
    }),
  );
  return found.flat() as Referring[];
}

/** A removal that has not left this phone is taken back; any other comes back as a new record. */
export async function putBack(records: readonly Removed[]): Promise<void> {
  await write(records.filter((one) => one.here).map(({ id, type }) => ({ id, type, set: {} })));
  const gone: Removed[] = [];
  for (const one of records) {
    const view = await get(one.type as RecordType, one.id);
    if (!view || view.deleted) gone.push(one);
  }
  const [whole] = gone;
  if (whole) await write(returnItems(gone, await referringTo(whole.type, whole.id)));
}

async function write(items: readonly Item[]): Promise<void> {
  if (items.length === 0) return;
  await saveMany(items.map(({ type, id, set }) => asItem(type as RecordType, id, set)));
}

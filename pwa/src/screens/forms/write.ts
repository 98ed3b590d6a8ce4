import type { RecordType } from '../../generated/api';
import { newId, type SaveItem, type Shown, saveMany, tellNotSaved } from '../../storage';

type Set = Record<string, unknown>;

/**
 * Storage types each record's fields one by one; forms build them from texts. The server's own checks, and
 * ours in each model, decide what is right: here only the shapes meet.
 */
export function asItem(type: RecordType, id: string, set: Set, shown?: Shown): SaveItem {
  return { type, id, set, shown } as unknown as SaveItem;
}

export async function saveNew(type: RecordType, set: Set): Promise<string> {
  const id = newId();
  await saveMany([asItem(type, id, set)]);
  return id;
}

/** `shown`: the record as the form showed it, so that nothing that came since is overwritten unseen. */
export async function saveChange(type: RecordType, id: string, set: Set, shown?: Shown): Promise<void> {
  if (Object.keys(set).length > 0) await saveMany([asItem(type, id, set, shown)]);
}

/** Runs a saving act; false when the phone could not keep it (the banner says why, the form stays). */
export async function kept(act: () => Promise<unknown>): Promise<boolean> {
  try {
    await act();
    return true;
  } catch {
    tellNotSaved();
    return false;
  }
}

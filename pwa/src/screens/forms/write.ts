import type { RecordType } from '../../generated/api';
import { newId, type SaveItem, save, saveMany, tellNotSaved } from '../../storage';

type Set = Record<string, unknown>;

/**
 * Storage types each record's fields one by one; forms build them from texts. The server's own checks, and
 * ours in each model, decide what is right: here only the shapes meet.
 */
export function asItem(type: RecordType, id: string, set: Set): SaveItem {
  return { type, id, set } as unknown as SaveItem;
}

export async function saveNew(type: RecordType, set: Set): Promise<string> {
  const id = newId();
  await saveMany([asItem(type, id, set)]);
  return id;
}

export async function saveChange(type: RecordType, id: string, set: Set): Promise<void> {
  if (Object.keys(set).length > 0) await save(type, id, set as never);
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

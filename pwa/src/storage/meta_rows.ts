// Small facts about this phone inside a transaction: where sync stands, whom it is paired with.

import type { Tx } from './port';

export async function metaIn<T>(tx: Tx, key: string): Promise<T | undefined> {
  return (await tx.get('meta', key))?.value as T | undefined;
}

/** Where this phone stands in the server's history. */
export type SyncStanding = {
  /** '' before the first sync. */
  epoch: string;
  schema: number;
  cursor?: string;
  /** Belongs to the pull with exactly this cursor. */
  etag?: string;
  /** Number of the current or last full pull. */
  seen: number;
  /** Why a full pull is under way; absent once it is through. */
  full?: 'first' | 'restored' | 'expired';
};

export const BEFORE_FIRST_SYNC: SyncStanding = { epoch: '', schema: 0, seen: 1, full: 'first' };

export async function standingIn(tx: Tx): Promise<SyncStanding> {
  return (await metaIn<SyncStanding>(tx, 'standing')) ?? BEFORE_FIRST_SYNC;
}

export function putStanding(tx: Tx, value: SyncStanding): void {
  tx.put('meta', { key: 'standing', value });
}

/** Whom this phone belongs to. */
export type Paired = {
  plot_id: string;
  device_id: string;
  server_id: string;
  role?: string;
  plot_name?: string;
  device_name?: string;
};

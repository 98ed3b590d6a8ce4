// Small facts about this phone inside a transaction: where sync stands, whom it is paired with.

import type { Tx } from './port';

export async function metaIn<T>(tx: Tx, key: string): Promise<T | undefined> {
  return (await tx.get('meta', key))?.value as T | undefined;
}

// What makes room on a full phone. Fetched when one is full, from the program's own store if there is no network.

import { nameOf } from './database';
import type { Store } from './port';
import type { StoreName } from './rows';

/** Key in `meta` of a row that only takes up room, kept beside photos and given up for a record. */
export const ROOM_FOR_TEXT = 'room_for_text';
/** The browser gives room back a moment after what filled it has gone. */
const WAITS = [100, 400, 1_500];

/** Let go of originals that the server has too, oldest first, at most `most`. Answers how many went. */
export async function dropSent(store: Store, most = Infinity): Promise<number> {
  return await store.write(['photos'], async (tx) => {
    const gone = (await tx.photosIn('sent')).slice(0, most);
    for (const sha256 of gone) tx.drop('photos', sha256);
    return gone.length;
  });
}

/** For a write into `stores`: originals that are safe go, and for a record also the room that photos left. */
export async function makeRoom(store: Store, stores: readonly StoreName[]): Promise<boolean> {
  const left = !stores.includes('photos') && (await giveUpRoom(store));
  return (await dropSent(store)) > 0 || left;
}

function giveUpRoom(store: Store): Promise<boolean> {
  return store.write(['meta'], async (tx) => {
    const there = (await tx.get('meta', ROOM_FOR_TEXT)) !== undefined;
    if (there) tx.drop('meta', ROOM_FOR_TEXT);
    return there;
  });
}

export async function soonAgain<T>(once: () => Promise<T>): Promise<T> {
  for (const wait of WAITS) {
    try {
      return await once();
    } catch (error) {
      if (nameOf(error) !== 'QuotaExceededError') throw error;
      await new Promise((done) => setTimeout(done, wait));
    }
  }
  return await once();
}

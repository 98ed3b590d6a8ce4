// The three numbers that are always shown: only on this phone, needs you, photos waiting.

import { changes } from '../storage/changes';
import { records, store } from '../storage/phone';
import { setSync } from './state';
import { STUCK_AFTER } from './view';

const AT_MOST_EVERY_MS = 200;

export async function refreshCounts(): Promise<void> {
  const { ops, photos } = await store.read(['outbox', 'photos'], async (tx) => ({
    ops: await tx.all('outbox'),
    photos: await tx.waitingPhotos(),
  }));
  const needs = await records.needsYou();
  setSync({
    only_here: new Set(ops.map((op) => op.id)).size,
    stuck: new Set(ops.filter((op) => op.retries >= STUCK_AFTER).map((op) => op.id)).size,
    needs_you: needs.length,
    photos_waiting: photos.length,
  });
}

/** Keep them fresh; many changes in a row cost one count. */
export function watchCounts(): void {
  let due: ReturnType<typeof setTimeout> | undefined;
  const refresh = () => {
    due = undefined;
    refreshCounts().catch(() => undefined);
  };
  changes.subscribe(() => {
    if (due === undefined) due = setTimeout(refresh, AT_MOST_EVERY_MS);
  });
  refresh();
}

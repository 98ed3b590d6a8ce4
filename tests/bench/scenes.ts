// Small syncs on a plot of many records: what the bench page does with the client's real storage and sync.
import { records, store } from '../../pwa/src/storage/phone';
import { syncNow } from '../../pwa/src/sync';

async function counts(): Promise<{ id: string; count: number; conflicts: number }[]> {
  const views = await records.list('slug_count');
  const rows = views.map((view) => ({ id: view.id, count: view.body.count ?? -1, conflicts: view.conflicts.length }));
  return rows.sort((one, other) => (one.id < other.id ? -1 : 1));
}

let known: string[] = [];

async function idsOf(from: number, n: number): Promise<string[]> {
  if (known.length === 0) known = (await counts()).map((row) => row.id);
  return known.slice(from, from + n);
}

export const scenes = {
  /** Milliseconds of a whole sync, push and pull, until nothing is left to send. */
  async sync(): Promise<number> {
    const began = performance.now();
    do await syncNow();
    while ((await store.read(['outbox'], (tx) => tx.count('outbox'))) > 0);
    return performance.now() - began;
  },
  /** Give `n` records another count, on this phone alone. */
  async edit(from: number, n: number, count: number): Promise<void> {
    const ids = await idsOf(from, n);
    await records.save(ids.map((id) => ({ type: 'slug_count' as const, id, set: { count } })));
  },
  async remove(from: number, n: number): Promise<void> {
    await records.save([], await idsOf(from, n));
  },
  /** How many records, how many of them in conflict, and the SHA-256 over id and count of each in order of id. */
  async state(): Promise<{ count: number; conflicts: number; hash: string }> {
    const rows = await counts();
    const text = new TextEncoder().encode(rows.map((row) => `${row.id}:${row.count}\n`).join(''));
    const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', text));
    const hash = Array.from(digest, (byte) => byte.toString(16).padStart(2, '0')).join('');
    return { count: rows.length, conflicts: rows.filter((row) => row.conflicts > 0).length, hash };
  },
};

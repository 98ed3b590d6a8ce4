// Front door of the sync: the page syncs, the service worker never does.

import { announce, changes } from '../storage/changes';
import { dropHandleWhenHidden } from '../storage/database';
import { newId } from '../storage/ids';
import { meta, setMeta, store } from '../storage/phone';
import { refreshCounts, watchCounts } from './counts';
import { Engine } from './engine';
import type { DeviceInfo, Me, Pairing, PairResult } from './pairing';
import type { Original } from './photos_down';
import { RULES } from './rules';
import { NotHome, Server } from './server';
import { setSync, syncState } from './state';
import { Drainer } from './triggers';
import { LARGE } from './wires';

export { codeFromFragment } from './linked_code';
export type { DeviceInfo, Me, PairResult } from './pairing';
export { type SyncPhase, type SyncState, storageWasCleared, syncState } from './state';

const server = new Server((input, init) => globalThis.fetch(input, init));
const engine = new Engine({
  store,
  rules: RULES,
  server,
  now: () => Date.now(),
  random: Math.random,
  newId,
  tell: announce,
  large: LARGE,
});
const drainer = new Drainer(engine, photosAllowed, refreshCounts);
let recovered: Promise<void> = Promise.resolve();

export function syncNow(): Promise<void> {
  return drainer.wake();
}

/** Call once when the page starts. */
export function startSync(): void {
  dropHandleWhenHidden(document);
  watchCounts();
  askToPersist();
  recovered = recover(); // at once: whoever pairs a moment later has to find it
  void (async () => {
    const last = await meta<string>('last_sync_at');
    if (last) setSync({ last_sync_at: last });
    await recovered;
    drainer.listen(window);
    keepNoticesInStep();
    // With no network the first sync had no use for it; an update taken in another tab would take it away.
    await drainer.now();
    await import('./pull').catch(() => undefined);
  })();
}

/** Its code is fetched by a phone that pairs, or that finds no pairing with itself; and what it will pull with comes along. */
async function pairing(): Promise<Pairing> {
  const [{ Pairing }] = await Promise.all([import('./pairing'), import('./pull')]);
  return new Pairing(store, server, globalThis.localStorage);
}

async function recover(): Promise<void> {
  if (await engine.paired()) return;
  // Its code cannot be had: a first visit on a bad line. The first-run screen asks.
  await pairing()
    .then((found) => found.recover())
    .catch(() => undefined);
}

export async function pair(code: string, deviceName: string): Promise<PairResult> {
  // Or it would find a phone that is just being paired, and say that its storage had been cleared.
  await recovered;
  const result = await (await pairing()).pair(code, deviceName);
  if (result.ok) void syncNow();
  return result;
}

export async function me(): Promise<Me> {
  return await (await pairing()).me();
}

export async function devices(): Promise<DeviceInfo[]> {
  return await (await pairing()).devices();
}

export async function revokeDevice(id: string): Promise<void> {
  await (await pairing()).revoke(id);
}

/** How a rule would have done over the plot's records; the server reckons it. Throws when it cannot be asked. */
export async function replayOf(plotId: string, rule: string): Promise<unknown> {
  const path = `/api/v1/plots/${encodeURIComponent(plotId)}/findings/warnings?rule=${encodeURIComponent(rule)}`;
  const { body } = await server.ask<{ n?: unknown }>(path);
  if (typeof body.n !== 'number') throw new NotHome(); // a stranger's JSON
  return body;
}

/** The original of a photo that is not on this phone (any more). */
export async function originalOf(sha256: string): Promise<Original> {
  const paired = await engine.paired();
  if (!paired) return 'away';
  return await (await import('./photos_down')).fetchOriginal(engine.wires, paired, sha256);
}

/** Small pictures of the photos that are being looked through, as far as this phone lacks them. */
export async function fetchThumbsOf(shas: readonly string[]): Promise<void> {
  const paired = await engine.paired();
  if (!paired || shas.length === 0) return;
  await (await import('./photos_down')).fetchThumbs(engine.wires, paired, shas);
}

export async function exportUnsent(): Promise<Blob> {
  const file = await import('./unsent_write');
  return await file.exportUnsent(store, Date.now());
}

/** Records of this phone that a restored server no longer has; 0 as a rule. */
export async function missingOnServer(): Promise<number> {
  const again = await import('./unsent_again');
  return await again.missingOnServer(engine.wires);
}

export async function sendAllAgain(): Promise<void> {
  const again = await import('./unsent_again');
  await again.sendAgain(engine.wires);
  await syncNow();
}

/** Photos cost money on a mobile plan: by default they wait for wifi where the browser can tell. */
async function photosAllowed(): Promise<boolean> {
  const connection = (navigator as { connection?: { type?: string } }).connection;
  return connection?.type !== 'cellular' || (await meta<boolean>('photos_on_mobile')) === true;
}

/** After each sync: where notices go may have changed. Only on phones that take some. */
function keepNoticesInStep(): void {
  if (!('Notification' in globalThis)) return;
  let last: string | undefined;
  syncState.subscribe(({ last_sync_at }) => {
    if (last_sync_at === last || Notification.permission !== 'granted') return;
    last = last_sync_at;
    // Not reached, or the push service not: the next sync tries again.
    import('./notices').then(({ notices }) => notices.mend(Notification.permission)).catch(() => undefined);
  });
}

/** Ask the browser not to clear our storage, once there is something in it. Many say no: the screen shows it. */
function askToPersist(): void {
  const stop = changes.subscribe(() => {
    if (syncState.value.only_here === 0) return;
    stop();
    navigator.storage?.persist?.().then(
      (granted) => setMeta('persisted', granted),
      () => undefined,
    );
  });
}

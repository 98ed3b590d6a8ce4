import { signal } from '@preact/signals';

/**
 * Offering a newer shell, never forcing it: the new worker waits until the person says so, then takes
 * over and the page reloads once. Records live in IndexedDB and are not touched by any of this.
 */
export const updateReady = signal(false);

const CHECK_EVERY_MS = 15 * 60_000;
const RELOADED_FOR = 'underboard.reloaded_for';

let registration: ServiceWorkerRegistration | undefined;
let asked = false;
let lastCheck = 0;

export async function startUpdates(): Promise<void> {
  if (!('serviceWorker' in navigator) || import.meta.env.DEV) return;
  navigator.serviceWorker.addEventListener('controllerchange', () => {
    if (asked) reloadOnce('takeover');
  });
  try {
    registration = await navigator.serviceWorker.register(scriptAddress('/sw.js'), {
      scope: '/',
      updateViaCache: 'none',
    });
  } catch {
    return; // works on without offline start; Sync says what is missing
  }
  watch(registration);
  void checkForUpdate();
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') void checkForUpdate();
  });
}

/** Ask the server for a newer worker, at most every quarter of an hour. Called on visible and after a sync. */
export async function checkForUpdate(): Promise<void> {
  const now = Date.now();
  if (!registration || now - lastCheck < CHECK_EVERY_MS) return;
  lastCheck = now;
  try {
    await registration.update();
    await leaveStaleShell(registration);
  } catch {
    // offline, or another network: the shell we have is good
  }
}

export function acceptUpdate(): void {
  const waiting = registration?.waiting;
  if (!waiting) {
    reloadOnce('no-worker-waiting');
    return;
  }
  asked = true;
  waiting.postMessage({ type: 'SKIP_WAITING' });
}

export function postponeUpdate(): void {
  updateReady.value = false;
}

function watch(found: ServiceWorkerRegistration): void {
  const offer = (): void => {
    // Without a controller this is the very first install: there is no older shell to replace.
    if (found.waiting && navigator.serviceWorker.controller) updateReady.value = true;
  };
  offer();
  found.addEventListener('updatefound', () => {
    found.installing?.addEventListener('statechange', offer);
  });
}

/**
 * The last resort: we were reloaded for a takeover and the server still has another build, with no new
 * worker in sight. Drop the worker and its caches (never the records) and fetch the page afresh, once.
 */
async function leaveStaleShell(found: ServiceWorkerRegistration): Promise<void> {
  if (found.installing || found.waiting || sessionStorage.getItem(RELOADED_FOR) === null) return;
  const response = await fetch('/version.json', { cache: 'no-store', redirect: 'error' });
  if (!response.ok || !response.headers.get('content-type')?.includes('json')) return;
  const served = (await response.json()) as { build?: string };
  if (!served.build || served.build === __BUILD_ID__) return;
  if (!mayReload(`stale:${served.build}`)) return;
  await found.unregister();
  for (const name of await caches.keys()) await caches.delete(name);
  location.replace('/');
}

function reloadOnce(why: string): void {
  if (mayReload(`${why}:${__BUILD_ID__}`)) location.reload();
}

/** True once for a reason: a worker that keeps taking over cannot keep reloading the page. */
function mayReload(reason: string): boolean {
  if (sessionStorage.getItem(RELOADED_FOR) === reason) return false;
  sessionStorage.setItem(RELOADED_FOR, reason);
  return true;
}

type VouchingPolicies = {
  createPolicy(
    name: string,
    rules: { createScriptURL: (url: string) => string },
  ): { createScriptURL: (url: string) => string };
};

/** The policy "require-trusted-types-for 'script'" wants even our own fixed address to be vouched for. */
function scriptAddress(address: '/sw.js'): string {
  const policies = (globalThis as { trustedTypes?: VouchingPolicies }).trustedTypes;
  return (
    policies?.createPolicy('underboard', { createScriptURL: (url) => url }).createScriptURL(address) ??
    address
  );
}

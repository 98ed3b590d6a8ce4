/// <reference lib="webworker" />
import { cleanupOutdatedCaches, createHandlerBoundToURL, precacheAndRoute } from 'workbox-precaching';
import { NavigationRoute, registerRoute } from 'workbox-routing';

declare const self: ServiceWorkerGlobalScope;

// The whole shell, fetched as one: if one file fails the install fails and the old shell stays in use.
precacheAndRoute(self.__WB_MANIFEST);
cleanupOutdatedCaches();

// Every address of the app opens the shell. /api is never answered here: records go by the page's own sync.
registerRoute(
  new NavigationRoute(createHandlerBoundToURL('/index.html'), {
    denylist: [/^\/(api|healthz|metrics|calendar|stop)(\/|$)/],
  }),
);

// A newer worker waits until the person taps Update.
self.addEventListener('message', (event) => {
  if ((event.data as { type?: string } | null)?.type === 'SKIP_WAITING') void self.skipWaiting();
});

// The words of notices. The worker runs with no page and imports nothing of ours, so they stand here. They say
// nothing about the plot: a notice is read on a locked screen, and its sender's network has seen it.
const WORDS = {
  trial: { title: 'Underboard', body: 'A trial: notices arrive on this phone.' },
  one: { title: 'A warning on your plot', body: 'Tap to see what, where and when.' },
  many: (n: number) => ({ title: `${n} warnings on your plot`, body: 'Tap to see what, where and when.' }),
  unknown: { title: 'Warnings on your plot', body: 'Tap to see what, where and when.' },
} as const;

interface Told {
  /** How many warnings; unknown when the push came without a body. */
  n: number | undefined;
  tag: string;
}

/** What the server said, as far as it makes sense: a notice has to be shown whatever came. */
function told(data: PushMessageData | null): Told {
  try {
    const { n, tag } = (data?.json() ?? {}) as { n?: unknown; tag?: unknown };
    return {
      n: typeof n === 'number' && Number.isInteger(n) && n >= 0 ? n : undefined,
      tag: typeof tag === 'string' && tag !== '' ? tag.slice(0, 64) : 'warnings',
    };
  } catch {
    return { n: undefined, tag: 'warnings' };
  }
}

function words(n: number | undefined): { title: string; body: string } {
  if (n === undefined) return WORDS.unknown;
  if (n === 0) return WORDS.trial;
  return n === 1 ? WORDS.one : WORDS.many(n);
}

// One visible notice a message; a repeat of the same message has the same tag and takes its place in silence.
self.addEventListener('push', (event) => {
  const { n, tag } = told(event.data);
  const { title, body } = words(n);
  event.waitUntil(
    self.registration.showNotification(title, { body, tag, lang: 'en', icon: '/icon-192.png', data: '/' }),
  );
});

self.addEventListener('notificationclick', (event) => {
  event.notification.close();
  event.waitUntil(openNow());
});

/** Bring Now to the front: in a window that is open, or in a new one. */
async function openNow(): Promise<void> {
  const open = await self.clients.matchAll({ type: 'window' });
  const there = open.find((client) => new URL(client.url).pathname === '/') ?? open[0];
  if (!there) {
    await self.clients.openWindow('/');
    return;
  }
  const now = new URL(there.url).pathname === '/' ? there : await there.navigate('/');
  await (now ?? there).focus();
}

// The browser has renewed the subscription, or ended it: say so at home if home can be reached. If not, the page
// does it after its next sync.
self.addEventListener('pushsubscriptionchange', (event) => {
  event.waitUntil(renew(event as PushSubscriptionChangeEvent));
});

async function renew(event: PushSubscriptionChangeEvent): Promise<void> {
  const key = event.oldSubscription?.options.applicationServerKey;
  const fresh =
    event.newSubscription ??
    (key
      ? await self.registration.pushManager.subscribe({ userVisibleOnly: true, applicationServerKey: key })
      : null);
  if (!fresh) return;
  const { endpoint, keys } = fresh.toJSON();
  await fetch('/api/v1/channels/push', {
    method: 'PUT',
    headers: { 'Content-Type': 'application/json', 'X-App': '1' },
    body: JSON.stringify({ endpoint, p256dh: keys?.p256dh, auth: keys?.auth }),
  });
}

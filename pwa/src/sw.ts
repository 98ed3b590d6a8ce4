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
    denylist: [/^\/(api|healthz|metrics|calendar|stop|install-ca|help)(\/|$)/],
  }),
);

// A page of the help that was read at home is read again where there is no signal.
registerRoute(
  ({ url, sameOrigin }) => sameOrigin && url.pathname.startsWith('/help/'),
  async ({ request }) => {
    const kept = await caches.open('help');
    try {
      const fresh = await fetch(request);
      if (fresh.ok) await kept.put(request, fresh.clone()).catch(() => undefined); // a full phone: not kept
      return fresh;
    } catch {
      return (await kept.match(request, { ignoreSearch: true })) ?? Response.error();
    }
  },
);

// A newer worker waits until the person taps Update.
self.addEventListener('message', (event) => {
  if ((event.data as { type?: string } | null)?.type === 'SKIP_WAITING') void self.skipWaiting();
});

// The words of notices. The worker runs with no page and imports nothing of ours, so they stand here. They say
// nothing about the plot: a notice is read on a locked screen, and its sender's network has seen it.
const WORDS = {
  en: {
    trial: { title: 'Underboard', body: 'A trial: notices arrive on this phone.' },
    title: (n: number | undefined) =>
      n === undefined
        ? 'Warnings on your plot'
        : n === 1
          ? 'A warning on your plot'
          : `${n} warnings on your plot`,
    body: 'Tap to see what, where and when.',
  },
  de: {
    trial: { title: 'Underboard', body: 'Eine Probe: Mitteilungen kommen auf diesem Handy an.' },
    title: (n: number | undefined) =>
      n === undefined
        ? 'Warnungen für deine Parzelle'
        : n === 1
          ? 'Eine Warnung für deine Parzelle'
          : `${n} Warnungen für deine Parzelle`,
    body: 'Tippe, um zu sehen, was, wo und wann.',
  },
} as const;

/** What the person chose on this phone (text/language.ts leaves a copy), else as the phone is set. */
async function language(): Promise<keyof typeof WORDS> {
  const chosen = await caches.match('/language').then(
    (copy) => copy?.text(),
    () => undefined,
  );
  return (chosen ?? self.navigator.language).startsWith('de') ? 'de' : 'en';
}

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

function words(n: number | undefined, lang: keyof typeof WORDS): { title: string; body: string } {
  const { trial, title, body } = WORDS[lang];
  return n === 0 ? trial : { title: title(n), body };
}

async function show({ n, tag }: Told): Promise<void> {
  const lang = await language();
  const { title, body } = words(n, lang);
  await self.registration.showNotification(title, { body, tag, lang, icon: '/icon-192.png', data: '/' });
}

// One visible notice a message; a repeat of the same message has the same tag and takes its place in silence.
self.addEventListener('push', (event) => event.waitUntil(show(told(event.data))));

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

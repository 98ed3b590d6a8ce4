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
    denylist: [/^\/(api|healthz|metrics)(\/|$)/],
  }),
);

// A newer worker waits until the person taps Update.
self.addEventListener('message', (event) => {
  if ((event.data as { type?: string } | null)?.type === 'SKIP_WAITING') void self.skipWaiting();
});

/** Keeps the client on the device, so that it opens without signal. Nothing of the office is kept here. */
/// <reference lib="webworker" />
import { clientsClaim } from "workbox-core";
import { cleanupOutdatedCaches, createHandlerBoundToURL, precacheAndRoute } from "workbox-precaching";
import { NavigationRoute, registerRoute } from "workbox-routing";

declare const self: ServiceWorkerGlobalScope & { __WB_MANIFEST: Array<{ url: string; revision: string | null }> };

// The office gives the page at its plain address alone.
precacheAndRoute(self.__WB_MANIFEST.map((one) => (one.url === "index.html" ? { ...one, url: "/" } : one)));
cleanupOutdatedCaches();
// Pages of links and the customer's page are the office's to answer.
registerRoute(new NavigationRoute(createHandlerBoundToURL("/"), { allowlist: [/^\/(\?.*)?$/] }));
clientsClaim();

// A new release waits until the person says so: nothing changes under a walk.
self.addEventListener("message", (event) => {
  if (event.data === "take over") void self.skipWaiting();
});

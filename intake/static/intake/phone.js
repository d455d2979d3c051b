// The service worker, the pages it keeps on this device, and taking all of it away again.

import * as store from "./store.js";

const PAGES = "farpaddock-pages";

// Start the worker; return whether there is one. Without one (an old browser, a private window, plain HTTP) the form
// works as before, but for steps that cannot be opened without a connection.
export async function start(address) {
  try {
    await navigator.serviceWorker.register(address, { updateViaCache: "none" });
    return true;
  } catch {
    return false;
  }
}

// Have these pages fetched and kept.
export async function keep(paths) {
  if (await navigator.serviceWorker?.getRegistration()) {
    const { active } = await navigator.serviceWorker.ready;
    active.postMessage({ keep: paths });
  }
}

export async function keeps(address) {
  try {
    const cache = await caches.open(PAGES);
    return Boolean(await cache.match(new URL(address, location.href).pathname, { ignoreVary: true }));
  } catch {
    return false;
  }
}

// Forget a request, or one of its rounds: `of` is "<reference>/" or "<reference>/<round>/". What is being fetched just
// now is forgotten by the worker when it has come.
export async function forget(of) {
  store.forget(of);
  const [reference, round] = of.split("/");
  const start = `/requests/${reference}/${round ? `round/${round}/` : ""}`;
  try {
    const cache = await caches.open(PAGES);
    for (const kept of await cache.keys()) {
      if (new URL(kept.url).pathname.startsWith(start)) {
        await cache.delete(kept);
      }
    }
    const worker = await navigator.serviceWorker.getRegistration();
    worker?.active?.postMessage({ forget: start });
  } catch {
    // No worker, so no pages.
  }
}

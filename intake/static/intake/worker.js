// The service worker: lets the form's steps and the guides be opened without a connection.
//
// Served from the root by intake.views.live.worker, which puts the first line before this: KEPT, with the version of the
// static files and the addresses of those a step's page needs. Kept on the device are these files, the pages of a form's
// steps as its own script asks for them, and the guides they link to. Never kept: the desk, the API, photos, messages,
// status pages, anything posted. Pages come from the network whenever it answers in time.
"use strict";

const ASSETS = `farpaddock-assets-${KEPT.version}`;
const PAGES = "farpaddock-pages";
const STATIC = KEPT.assets[0].slice(0, KEPT.assets[0].indexOf("intake/"));
const STEP = /^\/requests\/[^/]+\/round\/\d+\/(?!photos\/)[\w-]+\/$/;
const GUIDE = /^\/guide\/(?:[\w-]+\/)?$/;
const LOOSE = { ignoreVary: true };
const PATIENCE = 5000;

const pathOf = (address) => new URL(address, location.href).pathname;
let work = Promise.resolve();

// One thing after another: what is to be forgotten is forgotten after what was being fetched has come.
function afterwards(next) {
  work = work.then(next, next);
  return work;
}

// --- keeping ----------------------------------------------------------------------------------------------------------

async function put(path, answer) {
  const headers = new Headers(answer.headers);
  for (const name of ["Content-Encoding", "Content-Length", "Set-Cookie"]) {
    headers.delete(name);
  }
  headers.set("X-Kept", new Date().toISOString());
  const text = await answer.text();
  const cache = await caches.open(PAGES);
  await cache.put(path, new Response(text, { status: 200, headers }));
  return text;
}

async function drop(path) {
  const cache = await caches.open(PAGES);
  await cache.delete(path, LOOSE);
}

// Fetch a page and keep it; one that may not be seen any more is dropped. Returns its text, "" for none.
async function fetchAndKeep(path) {
  const answer = await fetch(path, { credentials: "same-origin", redirect: "manual" });
  if (answer.status === 200) {
    return put(path, answer);
  }
  if (answer.status === 404 || answer.type === "opaqueredirect") {
    await drop(path);
  }
  return "";
}

async function keep(paths) {
  const cache = await caches.open(PAGES);
  const guides = new Set();
  for (const path of paths.filter((path) => STEP.test(path))) {
    const text = await fetchAndKeep(path);
    for (const [, guide] of text.matchAll(/href="(\/guide\/[\w-]+\/)"/g)) {
      guides.add(guide);
    }
  }
  for (const guide of guides) {
    if (!(await cache.match(guide, LOOSE))) {
      await fetchAndKeep(guide);
    }
  }
  await dropOldAssets();
}

// Files of an earlier version go once every kept page has been fetched anew, and so names the files of this one.
async function dropOldAssets() {
  const old = (await caches.keys()).filter((name) => name.startsWith("farpaddock-assets-") && name !== ASSETS);
  if (!old.length) {
    return;
  }
  const cache = await caches.open(PAGES);
  for (const kept of await cache.keys()) {
    await fetchAndKeep(pathOf(kept.url));
  }
  await Promise.all(old.map((name) => caches.delete(name)));
}

async function forget(start) {
  const cache = await caches.open(PAGES);
  for (const kept of await cache.keys()) {
    if (pathOf(kept.url).startsWith(start)) {
      await cache.delete(kept);
    }
  }
}

// --- answering --------------------------------------------------------------------------------------------------------

// A kept page says of itself that it is one, and since when.
async function marked(kept) {
  const text = await kept.text();
  const at = kept.headers.get("X-Kept");
  return new Response(text.replace("<html", `<html data-kept="${at}"`), { status: 200, headers: kept.headers });
}

function within(patience, promise) {
  const late = new Promise((_, reject) => setTimeout(reject, patience, new Error("no answer in time")));
  return Promise.race([promise, late]);
}

async function page(event, path) {
  const cache = await caches.open(PAGES);
  const kept = await cache.match(path, LOOSE);
  try {
    const asked = fetch(event.request);
    const answer = await (kept ? within(PATIENCE, asked) : asked);
    if (kept && answer.status >= 502 && answer.status <= 504) {
      return marked(kept);
    }
    if (answer.status === 200 && (STEP.test(path) || kept)) {
      const copy = answer.clone();
      event.waitUntil(afterwards(() => put(path, copy)));
    } else if (kept && (answer.status === 404 || answer.type === "opaqueredirect")) {
      event.waitUntil(afterwards(() => drop(path)));
    }
    return answer;
  } catch (error) {
    if (kept) {
      return marked(kept);
    }
    throw error;
  }
}

async function asset(request) {
  return (await caches.match(request, LOOSE)) || fetch(request);
}

self.addEventListener("install", (event) => {
  const all = caches.open(ASSETS).then((cache) => cache.addAll(KEPT.assets));
  event.waitUntil(all.then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(self.clients.claim());
  // Without a connection the old files stay, and are tried again when pages are next kept.
  afterwards(() => dropOldAssets()).catch(() => {});
});

self.addEventListener("message", (event) => {
  const { keep: paths, forget: start } = event.data;
  event.waitUntil(afterwards(() => (paths ? keep(paths) : forget(start))).catch(() => {}));
});

self.addEventListener("fetch", (event) => {
  const { origin, pathname } = new URL(event.request.url);
  if (event.request.method !== "GET" || origin !== location.origin) {
    return;
  }
  if (pathname.startsWith(STATIC)) {
    event.respondWith(asset(event.request));
  } else if (event.request.mode === "navigate" && (STEP.test(pathname) || GUIDE.test(pathname))) {
    event.respondWith(page(event, pathname));
  }
});

// The service worker: keeps one whole version of the page and answers from it, with or without a network.
//
// The build fills in the version and the list of files. A version is fetched whole or not at all, waits until a person
// starts it, and removes only older versions of this very page: neighbours on the same host have caches too.
"use strict";

const VERSION = "__VERSION__";
const FILES = __FILES__;

const SCOPE = registration.scope;
// A path has no space, so that `/a/` is not mistaken for the beginning of `/a/b/`.
const OURS = `layshaft ${new URL(SCOPE).pathname} `;
const CACHE = OURS + VERSION;

/** Fetches every file, past the browser's own cache, unless all are here. */
async function fill() {
  const cache = await caches.open(CACHE);
  // All are put at once, so counting them is enough.
  if ((await cache.keys()).length === FILES.length) return;
  try {
    await cache.addAll(FILES.map((file) => new Request(new URL(file, SCOPE), { cache: "reload" })));
    await unpackProgram(cache);
  } catch (error) {
    if (!(await cache.keys()).length) await caches.delete(CACHE);
    throw error;
  }
}

/** Keeps the program as it runs, so that it is unpacked once and not at every visit; `unpacked` is put behind this file. */
async function unpackProgram(cache) {
  const file = FILES.find((file) => file.endsWith(".lzma"));
  if (!file) return;
  const address = new URL(file, SCOPE);
  try {
    await cache.put(address, unpacked(await cache.match(address)));
  } catch {
    // The page unpacks it itself, and says so if that cannot be done.
  }
}

/** Tells open pages that a version waits, if it is not the first. */
async function announce() {
  if (!registration.active) return;
  for (const page of await clients.matchAll({ type: "window", includeUncontrolled: true })) {
    if (page.url.startsWith(SCOPE)) page.postMessage("new version");
  }
}

async function clearOlder() {
  const older = (await caches.keys()).filter((name) => name.startsWith(OURS) && name !== CACHE);
  await Promise.all(older.map((name) => caches.delete(name)));
  await clients.claim();
}

async function answer(request, file) {
  const cache = await caches.open(CACHE);
  return (await cache.match(file, { ignoreVary: true })) || fetch(request);
}

addEventListener("install", (event) => event.waitUntil(fill().then(announce)));
addEventListener("activate", (event) => event.waitUntil(clearOlder()));

addEventListener("message", (event) => {
  if (event.data === "take over") skipWaiting();
  if (event.data === "complete?") {
    // What the browser dropped is fetched again; a page is told only when all is here.
    event.waitUntil(fill().then(() => event.source.postMessage("complete"), () => {}));
  }
});

addEventListener("fetch", (event) => {
  const { request } = event;
  const address = request.url.split(/[?#]/)[0];
  if (request.method !== "GET" || !address.startsWith(SCOPE)) return;
  const path = address.slice(SCOPE.length) || "./";
  if (request.mode === "navigate") {
    // Below the same path other pages may live: only ours are answered.
    if (path === "./" || path === "index.html") event.respondWith(answer(request, SCOPE));
  } else if (FILES.includes(decodeURI(path))) {
    event.respondWith(answer(request, address));
  }
});

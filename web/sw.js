// The service worker: keeps one whole version of the page and answers from it, with or without a network.
//
// The build fills in the version and the files with their digests. A version is fetched whole or not at all, waits until a
// person starts it, and removes only older versions of this very page: neighbours on the same host have caches too.
"use strict";

const VERSION = "__VERSION__";
const FILES = new Map(__FILES__);

const SCOPE = registration.scope;
// A path has no space, so that `/a/` is not mistaken for the beginning of `/a/b/`.
const OURS = `layshaft ${new URL(SCOPE).pathname} `;
const CACHE = OURS + VERSION;

/** Gets every file that is not here; nothing is kept unless all came. */
async function fill() {
  const cache = await caches.open(CACHE);
  const here = (await cache.keys()).map(({ url }) => url);
  try {
    const files = [...FILES].map(([file, integrity]) => [new URL(file, SCOPE).href, integrity]);
    const missing = files.filter(([address]) => !here.includes(address));
    const came = await Promise.all(missing.map(async ([address, integrity]) => [address, await whole(address, integrity)]));
    await Promise.all(came.map(([address, answer]) => cache.put(address, answer)));
  } catch (error) {
    if (!(await cache.keys()).length) await caches.delete(CACHE);
    throw error;
  }
}

/** A file as it was built, whatever lies between: half a file and a sign-in page have other digests. */
async function whole(address, integrity) {
  const get = (cache) => fetch(address, { cache, integrity });
  // The page has just fetched most of them, so the browser's own copies come first.
  const answer = await get("force-cache").catch(() => get("reload"));
  if (!answer.ok) throw new Error(`${address}: ${answer.status}`);
  const headers = { "content-type": answer.headers.get("content-type") };
  // Put together anew, since a redirected answer is refused for a navigation.
  const kept = new Response(await answer.arrayBuffer(), { headers });
  return address.endsWith(".lzma") ? ready(kept) : kept;
}

/** The program as it runs, so that it is unpacked once and not at every visit; `unpacked` is put behind this file. */
async function ready(packed) {
  const copy = packed.clone();
  try {
    const { body, headers } = unpacked(packed);
    return new Response(await new Response(body).arrayBuffer(), { headers });
  } catch {
    // The page unpacks it itself, and says so if that cannot be done.
    return copy;
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

const answer = async (request, file) =>
  (await caches.match(file, { cacheName: CACHE, ignoreVary: true })) || fetch(request);

addEventListener("install", (event) => event.waitUntil(fill().then(announce)));
addEventListener("activate", (event) => event.waitUntil(clearOlder()));

addEventListener("message", (event) => {
  if (event.data === "take over") skipWaiting();
  if (event.data === "complete?") {
    // What the browser or a neighbour dropped is fetched again before anything is promised.
    event.waitUntil(fill().then(() => event.source.postMessage("complete"), () => event.source.postMessage("incomplete")));
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
  } else if (FILES.has(path)) {
    event.respondWith(answer(request, address));
  }
});

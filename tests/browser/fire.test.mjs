// The page kept for offline use before bad hosts, broken networks, full storage and neighbours on the same host.
import assert from "node:assert/strict";
import { readdirSync } from "node:fs";
import { test } from "node:test";
import { open, ready } from "./harness.mjs";
import { DIST, half, host, lost, portal, redirect } from "./host.mjs";
import { BELT, answer, notice, press, type } from "./steps.mjs";
import { cacheNames, lookForUpdate, version, versionShown, worksOffline } from "./versions.mjs";

const FILES = readdirSync(DIST).filter((name) => name !== "sw.js" && !name.startsWith("."));
const named = (end) => FILES.find((name) => name.endsWith(end));
const PROGRAM = named("_bg.lzma") ?? named("_bg.wasm");
const [START, LOOK, ICON] = [FILES.find((name) => name.startsWith("start-")), named(".css"), "icon-512.png"];

/** Whatever the browser writes: these tests are about what fails. */
const ANY = /./;

/** Opens a sheet of a host; the host is stopped behind the page. */
async function at(t, site, options = {}) {
  const opened = await open(t, { site, path: "#travel", expected: ANY, profile: { reducedMotion: "reduce" }, ...options });
  t.after(site.stop);
  return opened;
}

/** Loads the page with nothing behind it, twice, and works with it. */
async function worksAlone({ page, site }, path = "") {
  await worksOffline(page);
  await site.stop();
  await page.goto(`${site.url}${path}#travel`);
  await page.reload();
  await ready(page);
  await type(page, BELT);
  await answer(page, "turn_travel", "40.0000");
}

/** Every file that is kept, by its name, as a digest; the program is kept as it runs. */
const keptFiles = (page) =>
  page.evaluate(async () => {
    const [name] = (await caches.keys()).filter((name) => name.startsWith("layshaft /"));
    const cache = await caches.open(name);
    const files = {};
    for (const request of await cache.keys()) {
      const bytes = await (await cache.match(request)).arrayBuffer();
      const digest = [...new Uint8Array(await crypto.subtle.digest("SHA-256", bytes))];
      files[request.url.split("/").at(-1) || "./"] = digest.map((byte) => byte.toString(16).padStart(2, "0")).join("");
    }
    return files;
  });

// A file that the page itself needs first, and one that only the offline copy has.
for (const [what, break_] of Object.entries({ "is lost midway": lost, "comes as half a file": half })) {
  for (const file of [PROGRAM, START, LOOK, ICON, "./"]) {
    // Of a page that is lost midway the browser itself says so, and goes on waiting.
    if (file === "./" && break_ === lost) continue;
    test(`${file} ${what} once: the page works or says what to do, and heals`, async (t) => {
      const site = await host({ fault: (asked) => asked.name === file && !asked.before && break_(asked) });
      const opened = await at(t, site, { usable: false });
      const { page } = opened;
      const fault = page.locator(".fault button", { hasText: "Reload" });
      if (file === PROGRAM || file === START) await fault.click();
      // Half a page has no script that could help it: the browser's own button does.
      else if (file === "./") await page.reload();
      await ready(page);
      await worksAlone(opened);
    });
  }

  test(`${PROGRAM} ${what} each time: that is said, and nothing is kept of it`, async (t) => {
    const site = await host({ fault: (asked) => asked.name === PROGRAM && break_(asked) });
    const { page } = await at(t, site, { usable: false });
    const fault = page.locator(".fault");
    await fault.waitFor();
    assert.match(await fault.innerText(), /could not start[^]*still in this browser/);
    await page.waitForTimeout(500);
    assert.deepEqual(await cacheNames(page), []);
    site.fault = null;
    await fault.locator("button", { hasText: "Reload" }).click();
    await ready(page);
    await worksOffline(page);
  });

  test(`a version whose ${ICON} ${what} each time is not offered, and the next one is`, async (t) => {
    const site = await host();
    const { page } = await at(t, site);
    await worksOffline(page);
    const before = await keptFiles(page);
    site.dist = await version(t, "two", { changed: { [ICON]: "another icon" } });
    site.fault = (asked) => asked.name === ICON && break_(asked);
    await lookForUpdate(page);
    await page.waitForTimeout(1000);
    assert.equal(await page.locator(".notice").count(), 0);
    assert.deepEqual(await keptFiles(page), before);
    site.dist = await version(t, "three");
    site.fault = null;
    await lookForUpdate(page);
    await notice(page, "A new version of this page is ready.");
    await Promise.all([page.waitForEvent("load"), press(page, "Start the new version")]);
    await ready(page);
    assert.equal(await versionShown(page), "three");
    assert.deepEqual(await cacheNames(page), ["layshaft / three"]);
  });
}

test("a network that answers everything with its sign-in page gets nothing into what is kept", async (t) => {
  const site = await host();
  const opened = await at(t, site);
  const { page } = opened;
  await worksOffline(page);
  const before = await keptFiles(page);
  const kept = await cacheNames(page);
  // All of it, while the page is open, at the next visit, and with a file dropped by the browser in both its places.
  site.fault = portal;
  await lookForUpdate(page);
  await page.evaluate(async () => {
    const cache = await caches.open((await caches.keys())[0]);
    await cache.delete(new URL("icon-512.png", location));
  });
  await opened.devtools.send("Network.clearBrowserCache");
  await page.reload();
  await ready(page);
  await page.locator("#offline", { hasText: "Needs a network" }).waitFor();
  const { [ICON]: _, ...rest } = before;
  assert.deepEqual(await keptFiles(page), rest);
  // A new version's worker that came through before the sign-in page closed the way.
  site.dist = await version(t, "two");
  site.fault = (asked) => asked.name !== "sw.js" && portal(asked);
  await lookForUpdate(page);
  await page.waitForTimeout(500);
  assert.equal(await page.locator(".notice").count(), 0);
  assert.deepEqual(await cacheNames(page), kept);
  // Signed in.
  site.fault = null;
  await lookForUpdate(page);
  await notice(page, "A new version of this page is ready.");
  await Promise.all([page.waitForEvent("load"), press(page, "Start the new version")]);
  await ready(page);
  await worksAlone(opened);
});

test("a first visit through a sign-in page keeps nothing, and the next one is ours", async (t) => {
  const site = await host({ fault: portal });
  const opened = await at(t, site, { usable: false });
  assert.equal(await opened.page.content().then((text) => text.includes("Sign in to this network")), true);
  site.fault = null;
  await opened.page.reload();
  await ready(opened.page);
  await worksAlone(opened);
});

for (const base of ["/", "/a/b/"]) {
  test(`a host that redirects index.html to ${base} or back`, async (t) => {
    for (const [from, to] of [["index.html", base], ["./", `${base}index.html`]]) {
      const site = await host({ base, fault: (asked) => asked.name === from && redirect(asked, to) });
      const opened = await at(t, site);
      await worksAlone(opened);
      await opened.page.goto(`${site.url}index.html#travel`);
      await ready(opened.page);
      await answer(opened.page, "turn_travel", "40.0000");
    }
  });
}

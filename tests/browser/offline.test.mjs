// Without a network, and from one version to the next: the server is really stopped, and really sends something else.
import assert from "node:assert/strict";
import { readdir } from "node:fs/promises";
import { test } from "node:test";
import { open, ready, serve } from "./harness.mjs";
import { DIST } from "./host.mjs";
import { BELT, answer, notice, press, save, sheet, type } from "./steps.mjs";
import { cacheNames, lookForUpdate, version, versionShown, worksOffline } from "./versions.mjs";

/** What a browser writes to its console when the server is gone: about the worker's own look for a newer version. */
const GONE = /net::ERR_|Failed to (fetch|update)|fetching the script/;

/** Replaces the server by one that sends another folder from the same address. */
async function deploy(t, site, dist, base = "/") {
  await site.stop();
  const next = await serve({ dist, base, port: site.port });
  t.after(next.stop);
  return next;
}

for (const base of ["/", "/a/b/"]) {
  test(`below ${base} everything works with the server gone`, async (t) => {
    const { page, site } = await sheet(t, "travel", BELT, { base, expected: GONE });
    await save(page, "Heron 160", "X axis");
    await worksOffline(page);
    await site.stop();
    await page.reload();
    await ready(page);
    await answer(page, "turn_travel", "40.0000");
    await type(page, { teeth: "16" });
    await answer(page, "turn_travel", "32.0000");
    await worksOffline(page);
    // A new tab, by the address alone, with or without the page's file name; and every file that the page has.
    for (const path of ["", "index.html", "#travel?v=1&pitch=2&teeth=20"]) {
      await page.goto(site.url + path);
      await ready(page);
    }
    const missing = await page.evaluate(async () => {
      const addresses = [...document.querySelectorAll("[src], link[href]")].map((element) => element.src || element.href);
      const answers = await Promise.all(addresses.map((address) => fetch(address).then((answer) => answer.ok, () => false)));
      return addresses.filter((_, index) => !answers[index]);
    });
    assert.deepEqual(missing, []);
  });
}

test("all that is installed is what the page has, and no file travels twice", async (t) => {
  const { page, site } = await open(t);
  await worksOffline(page);
  const files = (await readdir(DIST)).filter((name) => name !== "sw.js" && !name.startsWith("."));
  const kept = await page.evaluate(async () => {
    const [name] = await caches.keys();
    const requests = await (await caches.open(name)).keys();
    return requests.map(({ url }) => new URL(url).pathname.slice(1) || "index.html");
  });
  assert.deepEqual(kept.sort(), files.sort());
  // The tab's own icon is fetched by the browser when it likes.
  const paths = site.requests.map(({ path }) => path).filter((path) => path !== "/icon.svg");
  assert.deepEqual(paths, [...new Set(paths)]);
});

test("it is not said before it is true", async (t) => {
  const spoilt = await version(t, "spoilt", { spoil: "gone.js" });
  const { page } = await open(t, { dist: spoilt, expected: /404|gone\.js/ });
  await page.waitForTimeout(1500);
  assert.equal(await page.locator("[data-offline=yes]").count(), 0);
  assert.deepEqual(await cacheNames(page), [], "nothing is left of what was not whole");
});

test("a new version is offered, never forced, and starts with all that was typed", async (t) => {
  const { page, site } = await sheet(t, "travel", BELT);
  await worksOffline(page);
  await deploy(t, site, await version(t, "two"));
  await page.evaluate(() => (window.same = true));
  assert.equal(await lookForUpdate(page), "looked");
  await notice(page, "A new version of this page is ready.");
  await type(page, { teeth: "16" });
  await answer(page, "turn_travel", "32.0000");
  await page.waitForTimeout(1000);
  assert.equal(await page.evaluate(() => window.same), true);
  // Even a reload stays with the old version, whole.
  await page.reload();
  await ready(page);
  assert.equal(await versionShown(page), "built");
  await notice(page, "A new version of this page is ready.");
  // Typed a moment before.
  await type(page, { teeth: "17" });
  await Promise.all([page.waitForEvent("load"), press(page, "Start the new version")]);
  await ready(page);
  assert.equal(await versionShown(page), "two");
  assert.equal(await page.locator("#f-teeth").inputValue(), "17");
  await worksOffline(page);
  assert.deepEqual(await cacheNames(page), ["layshaft / two"]);
});

test("the other tab is told, and goes on", async (t) => {
  const one = await sheet(t, "travel", BELT);
  await worksOffline(one.page);
  const two = await open(t, { site: one.site, context: one.context, path: "#microstep" });
  await deploy(t, one.site, await version(t, "two"));
  await lookForUpdate(one.page);
  await two.page.evaluate(() => (window.same = true));
  await notice(one.page, "A new version of this page is ready.");
  await Promise.all([one.page.waitForEvent("load"), press(one.page, "Start the new version")]);
  await ready(one.page);
  await notice(two.page, "A new version of this page runs in another tab.");
  await type(two.page, { hold_torque: "0.4" });
  await answer(two.page, "error_band", "10.00");
  assert.equal(await two.page.evaluate(() => window.same), true);
  await Promise.all([two.page.waitForEvent("load"), press(two.page, "Start the new version")]);
  await ready(two.page);
  assert.equal(await versionShown(two.page), "two");
  assert.equal(await two.page.locator("#f-hold_torque").inputValue(), "0.4");
});

test("a version that cannot be fetched whole changes nothing", async (t) => {
  const { page, site } = await sheet(t, "travel", BELT, { expected: /404|gone\.js/ });
  await worksOffline(page);
  const before = await cacheNames(page);
  const next = await deploy(t, site, await version(t, "half", { spoil: "gone.js" }));
  assert.equal(await lookForUpdate(page), "looked");
  await page.waitForTimeout(1500);
  assert.equal(await page.locator(".notice").count(), 0);
  assert.deepEqual(await cacheNames(page), before);
  await next.stop();
  await page.reload();
  await ready(page);
  await answer(page, "turn_travel", "40.0000");
  assert.equal(await versionShown(page), "built");
});

test("neighbours on the same host keep their caches and their pages", async (t) => {
  const { page, site } = await open(t, { expected: /404/ });
  await worksOffline(page);
  const theirs = ["other", "layshaft /neighbour/ one", "layshaft"];
  await page.evaluate((names) => Promise.all(names.map((name) => caches.open(name))), theirs);
  await deploy(t, site, await version(t, "two"));
  await lookForUpdate(page);
  await notice(page, "A new version of this page is ready.");
  await Promise.all([page.waitForEvent("load"), press(page, "Start the new version")]);
  await ready(page);
  await worksOffline(page);
  assert.deepEqual(await cacheNames(page), [...theirs, "layshaft / two"].sort());
  // Another page below the same address is asked of the server.
  const answer = await page.goto(`${site.url}neighbour/page.html`);
  assert.equal(answer.status(), 404);
});

test("what the browser dropped is fetched again before anything is promised", async (t) => {
  const { page } = await open(t);
  await worksOffline(page);
  await page.evaluate(async () => {
    const cache = await caches.open((await caches.keys())[0]);
    await cache.delete((await cache.keys())[0]);
  });
  await page.reload();
  await ready(page);
  await worksOffline(page);
  const count = await page.evaluate(async () => (await (await caches.open((await caches.keys())[0])).keys()).length);
  assert.equal(count, (await readdir(DIST)).filter((name) => name !== "sw.js" && !name.startsWith(".")).length);
});

test("a version that does not start can still be replaced", async (t) => {
  const [program] = (await readdir(DIST)).filter((name) => name.includes("_bg."));
  const broken = await version(t, "broken", { changed: { [program]: "no program" } });
  const { page, site } = await open(t, { dist: broken, usable: false, expected: /./ });
  await page.locator(".fault").waitFor();
  await page.waitForFunction(async () => (await navigator.serviceWorker.getRegistration())?.active);
  await deploy(t, site, await version(t, "mended"));
  await lookForUpdate(page);
  await page.waitForFunction(async () => (await navigator.serviceWorker.getRegistration())?.waiting);
  await page.locator(".fault button", { hasText: "Reload" }).click();
  await ready(page);
  assert.equal(await versionShown(page), "mended");
});

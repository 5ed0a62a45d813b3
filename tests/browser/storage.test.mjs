// Storage that is full, blocked, private or cleared: said in words, and all that was typed is on the page or in the backup.
import assert from "node:assert/strict";
import { test } from "node:test";
import { open } from "./harness.mjs";
import { BELT, answer, go, machine, notice, press, readBackup, record, reload, save, saved, settle, sheet, stored, type, withStored } from "./steps.mjs";

/** Fills the origin's storage to the last character, as a neighbour on the same host would. */
const fillUp = (page) =>
  page.evaluate(() => {
    const fill = (size) => {
      for (let number = 0; number < 1e4; number += 1) {
        try {
          localStorage.setItem(`neighbour/${size}/${number}`, "x".repeat(size));
        } catch {
          return;
        }
      }
    };
    [1e5, 1e4, 1e3, 100, 10, 1].forEach(fill);
  });

/** The backup: all machines in one file. */
const saveAll = async (page) => {
  await go(page, "#machines");
  return saved(page, () => page.locator("main button", { hasText: "Save all as a file" }).click());
};

test("a full storage is said, all stays on the page, and the next change is stored once there is room", async (t) => {
  const { page } = await sheet(t, "travel", BELT);
  await save(page, "Heron 160", "X axis");
  const { record } = await machine(page);
  await fillUp(page);
  const teeth = "20 ".padEnd(4000, " ");
  await type(page, { teeth: `${teeth}0` });
  await notice(page, "storage for this site is full");
  assert.equal((await machine(page)).record, record);
  assert.match(await page.locator("#saved").innerText(), /Not saved, in this tab only/);
  assert.equal(await page.locator("#f-teeth").inputValue(), `${teeth}0`);
  assert.match(await saved(page, () => press(page, "Save all as a file")), /teeth=20(%20)+0/);
  await page.evaluate(() => Object.keys(localStorage).filter((key) => key.startsWith("neighbour/")).forEach((key) => localStorage.removeItem(key)));
  await type(page, { teeth: "17" });
  await page.locator("#saved", { hasText: "Saved in" }).waitFor();
  await settle(page);
  assert.match((await machine(page)).record, /teeth=17/);
});

test("where storage is blocked all works, is said once, and can be taken along as a file", async (t) => {
  const { page } = await open(t, {
    path: "#travel",
    profile: { reducedMotion: "reduce" },
    before: (page) =>
      page.addInitScript(() => {
        Object.defineProperty(window, "localStorage", {
          get() {
            throw new DOMException("The operation is insecure.", "SecurityError");
          },
        });
      }),
  });
  await notice(page, "This browser saves nothing for this page.");
  assert.equal(await page.locator(".notice").count(), 1);
  await type(page, BELT);
  await answer(page, "turn_travel", "40.0000");
  await page.locator("#theme").click();
  await save(page, "Heron 160", "X axis");
  assert.match(await page.locator("#saved").innerText(), /Not saved, in this tab only/);
  assert.match(await saveAll(page), /name=Heron%20160/);
});

test("a link stays in the address where storage is blocked, so that a reload opens it again", async (t) => {
  const { page } = await open(t, {
    path: "#travel?v=1&pitch=2&teeth=20",
    before: (page) => page.addInitScript(() => Object.defineProperty(window, "localStorage", { get: () => null })),
  });
  await answer(page, "turn_travel", "40.0000");
  await reload(page);
  await answer(page, "turn_travel", "40.0000");
});

test("keys of neighbours on the same host are neither read nor touched", async (t) => {
  const neighbours = { "other/machine/x": "theirs", layshaft: "theirs", "layshaft-machine": "theirs" };
  const { page } = await withStored(t, neighbours, { path: "#travel" });
  await type(page, BELT);
  await save(page, "Heron 160", "X axis");
  await page.locator("#saved a").click();
  await page.locator("button", { hasText: "Delete machine" }).click();
  await settle(page);
  for (const [key, value] of Object.entries(neighbours)) {
    assert.equal(await page.evaluate((key) => localStorage.getItem(key), key), value);
  }
});

test("a backup that finds no room is on the page, and in the next backup", async (t) => {
  const { page } = await sheet(t, "travel", BELT);
  await fillUp(page);
  await readBackup(page, record("name=Crane", "part=X%20axis", `travel?pitch=2&teeth=16&note=${"x".repeat(5000)}`));
  await notice(page, "storage for this site is full");
  await page.locator("a.machine", { hasText: "Crane" }).click();
  await page.locator("a.machine", { hasText: "Travel" }).click();
  await answer(page, "turn_travel", "32.0000");
  assert.match(await saveAll(page), /name=Crane\npart=X%20axis\ntravel\?pitch=2&teeth=16/);
});

test("a private window that keeps nothing at all says so, and all goes into a file", async (t) => {
  // How some browsers do it: the storage is there, and has no room from the start.
  const { page } = await sheet(t, "travel", {}, {
    before: (page) =>
      page.addInitScript(() => {
        Storage.prototype.setItem = () => {
          throw new DOMException("The quota has been exceeded.", "QuotaExceededError");
        };
      }),
  });
  await notice(page, "This browser saves nothing for this page.");
  await type(page, BELT);
  await save(page, "Heron 160", "X axis");
  assert.match(await page.locator("#saved").innerText(), /Not saved, in this tab only/);
  assert.match(await saveAll(page), /teeth=20/);
});

test("what is typed in a private window is there until it is closed, and comes back from its backup", async (t) => {
  const one = await sheet(t, "travel", BELT);
  await save(one.page, "Heron 160", "X axis");
  await type(one.page, { teeth: "16" });
  await settle(one.page);
  await reload(one.page);
  await answer(one.page, "turn_travel", "32.0000");
  const backup = await saveAll(one.page);
  // Another window shares nothing with a private one.
  const two = await open(t, { site: one.site, path: "#machines", profile: { reducedMotion: "reduce" } });
  assert.equal(await two.page.locator("a.machine").count(), 0);
  await readBackup(two.page, backup);
  await two.page.locator("a.machine", { hasText: "Heron 160" }).click();
  await two.page.locator("a.machine", { hasText: "Travel" }).click();
  await answer(two.page, "turn_travel", "32.0000");
});

test("a site's data cleared while nobody looked comes back from the backup, machine by machine", async (t) => {
  const one = await sheet(t, "travel", BELT);
  await save(one.page, "Heron 160", "X axis");
  await go(one.page, "#travel");
  await type(one.page, { teeth: "16" });
  await save(one.page, "Crane", "Y axis");
  await go(one.page, "#travel");
  await type(one.page, { teeth: "10" });
  await settle(one.page);
  const backup = await saveAll(one.page);
  const before = Object.entries(await stored(one.page)).filter(([key]) => key.includes("/machine/")).map(([, record]) => record);
  await one.page.goto("about:blank");
  await one.devtools.send("Storage.clearDataForOrigin", { origin: new URL(one.site.url).origin, storageTypes: "all" });
  await one.page.goto(`${one.site.url}#machines`);
  await one.page.locator("#machine-file").waitFor();
  assert.equal(await one.page.locator("a.machine").count(), 0);
  await readBackup(one.page, backup);
  await notice(one.page, "3 machines were read from the file.");
  await settle(one.page);
  const after = Object.entries(await stored(one.page)).filter(([key]) => key.includes("/machine/")).map(([, record]) => record);
  for (const record of before) assert.ok(after.includes(record), record);
  assert.ok(after.some((record) => /name=Loose%20sheets[^]*teeth=10/.test(record)), "the loose sheets come back too");
});

test("a site's data cleared under an open page is stored again, also by a neighbour's hand", async (t) => {
  const { page, site, context } = await sheet(t, "travel", BELT);
  await save(page, "Heron 160", "X axis");
  const { record } = await machine(page);
  // The page hears of what another page of the origin does.
  const other = await open(t, { site, context, path: "icon.svg", usable: false, expected: /404/ });
  await other.page.evaluate(() => localStorage.clear());
  await notice(page, "This site's data was cleared");
  await settle(page);
  assert.equal((await machine(page)).record, record);
  // And of what the browser does at its next change.
  await page.evaluate(() => localStorage.clear());
  await type(page, { teeth: "16" });
  await settle(page);
  assert.match((await machine(page)).record, /teeth=16/);
  await reload(page);
  await answer(page, "turn_travel", "32.0000");
});

// Storage that is full, blocked, damaged, newer, or shared with another tab: said in words, and nothing typed is lost.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "node:test";
import { open } from "./harness.mjs";
import { BELT, answer, go, machine, notice, press, reload, save, settle, sheet, stored, type } from "./steps.mjs";

const HERON = "layshaft/machine/heron000";

/** Opens the page with this already stored. */
const withStored = (t, records, options = {}) =>
  open(t, {
    ...options,
    profile: { reducedMotion: "reduce" },
    before: (page) =>
      page.addInitScript((records) => {
        if (sessionStorage.getItem("stored")) return;
        sessionStorage.setItem("stored", "once");
        for (const [key, record] of Object.entries(records)) localStorage.setItem(key, record);
      }, records),
  });

/** A second tab of the same browser. */
const secondTab = (t, { site, context }, path) => open(t, { site, context, path });

test("a tab that only looks takes what the other one types", async (t) => {
  const one = await sheet(t, "travel", BELT);
  await save(one.page, "Heron 160", "X axis");
  const two = await secondTab(t, one, await one.page.evaluate(() => location.hash));
  await answer(two.page, "turn_travel", "40.0000");
  await type(one.page, { teeth: "16" });
  await answer(two.page, "turn_travel", "32.0000");
  assert.equal(await two.page.locator("#f-teeth").inputValue(), "16");
  assert.equal(await two.page.locator(".notice").count(), 0);
});

/** Types into the teeth of several tabs in the same moment. */
const typeAtOnce = (...tabs) =>
  Promise.all(
    tabs.map(([page, teeth]) =>
      page.evaluate((teeth) => {
        const input = document.getElementById("f-teeth");
        input.value = teeth;
        input.dispatchEvent(new Event("input", { bubbles: true }));
      }, teeth),
    ),
  );

/** The teeth in each stored machine, by its name. */
async function teethByName(page) {
  const records = Object.entries(await stored(page)).filter(([key]) => key.startsWith("layshaft/machine/"));
  const field = (record, pattern) => decodeURIComponent(pattern.exec(record)[1]);
  return Object.fromEntries(records.map(([, record]) => [field(record, /name=(.*)/), field(record, /teeth=([^&\n]*)/)]));
}

test("what was typed while the other tab wrote goes on under a name of its own", async (t) => {
  const one = await sheet(t, "travel", BELT);
  await save(one.page, "Heron 160", "X axis");
  const { key, record } = await machine(one.page);
  const two = await secondTab(t, one, await one.page.evaluate(() => location.hash));
  await typeAtOnce([two.page, "32"]);
  // A newer record, whatever it says, stands there before the 300 ms are over.
  await one.page.evaluate(([key, record]) => localStorage.setItem(key, record), [key, record.replace("machine 1", "machine 7")]);
  await notice(two.page, "Both are kept: what you typed here is now “Heron 160 (from this tab)”");
  assert.match(await two.page.locator("#saved").innerText(), /Heron 160 \(from this tab\), X axis/);
  assert.equal(await two.page.locator("#f-teeth").inputValue(), "32");
  await type(two.page, { teeth: "48" });
  await settle(two.page);
  assert.deepEqual(await teethByName(two.page), { "Heron 160": "20", "Heron 160 (from this tab)": "48" });
});

test("what two tabs type in the same moment is kept twice", async (t) => {
  const one = await sheet(t, "travel", BELT);
  await save(one.page, "Heron 160", "X axis");
  const two = await secondTab(t, one, await one.page.evaluate(() => location.hash));
  await typeAtOnce([one.page, "16"], [two.page, "32"]);
  await Promise.any([one, two].map(({ page }) => notice(page, "Another tab changed this too. Both are kept")));
  await settle(two.page);
  const teeth = await teethByName(two.page);
  assert.deepEqual(Object.values(teeth).sort(), ["16", "32"], JSON.stringify(teeth));
});

test("a machine deleted in the other tab is not written again by one that only looked", async (t) => {
  const one = await sheet(t, "travel", BELT);
  await save(one.page, "Heron 160", "X axis");
  const two = await secondTab(t, one, await one.page.evaluate(() => location.hash));
  await one.page.locator("#saved a").click();
  await one.page.locator("button", { hasText: "Delete machine" }).click();
  await notice(two.page, "Another tab");
  await settle(two.page);
  assert.deepEqual(Object.keys(await stored(two.page)).filter((key) => key.includes("/machine/")), []);
});

test("a part that the other tab deleted is not mistaken for the next one", async (t) => {
  const one = await sheet(t, "travel", BELT);
  await save(one.page, "Heron 160", "X axis");
  await go(one.page, "#travel");
  await type(one.page, { teeth: "16" });
  await save(one.page, "Heron 160", "Y axis");
  const address = await one.page.evaluate(() => location.hash);
  const two = await secondTab(t, one, address.replace("/1/", "/0/"));
  await one.page.locator("#saved a").click();
  await one.page.locator("[data-part='0'] summary", { hasText: "Change this part" }).click();
  await one.page.locator("[data-part='0'] button", { hasText: "Delete part" }).click();
  await two.page.locator("#machine-title", { hasText: "Heron 160" }).waitFor();
  await notice(two.page, "Another tab changed this machine");
});

test("a full storage is said, all stays on the page, and the next change is stored once there is room", async (t) => {
  const { page } = await sheet(t, "travel", BELT);
  await save(page, "Heron 160", "X axis");
  const { record } = await machine(page);
  await page.evaluate(() => {
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
  const teeth = "20 ".padEnd(4000, " ");
  await type(page, { teeth: `${teeth}0` });
  await notice(page, "storage for this site is full");
  assert.equal((await machine(page)).record, record);
  assert.match(await page.locator("#saved").innerText(), /Not saved, in this tab only/);
  assert.equal(await page.locator("#f-teeth").inputValue(), `${teeth}0`);
  const [download] = await Promise.all([page.waitForEvent("download"), press(page, "Save all as a file")]);
  assert.match(await readFile(await download.path(), "utf8"), /teeth=20(%20)+0/);
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
  await go(page, "#machines");
  const [download] = await Promise.all([page.waitForEvent("download"), page.locator("main button", { hasText: "Save all as a file" }).click()]);
  assert.match(await readFile(await download.path(), "utf8"), /name=Heron%20160/);
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

const DAMAGED = {
  "cut in half": "layshaft machine 1\nname=Heron%20160\npart=X%20axis\ntravel?drive=belt&pi",
  "changed": "layshaft machine 1\nname=Heron%20161\npart=X%20axis\ntravel?pitch=2\nk=0000\n",
  "empty": "",
  "something else": "{\"name\":\"Heron 160\"}",
  "newer": "layshaft machine 7\nname=Heron%20160\nfuture=1\nk=1234\n",
};

for (const [how, record] of Object.entries(DAMAGED)) {
  test(`a machine's record that is ${how} is shown and left as it is`, async (t) => {
    const { page } = await withStored(t, { [HERON]: record }, { path: "#machines" });
    const words = how === "newer" ? "saved by a newer version (schema 7" : /cut or changed|not a machine saved/;
    await page.locator("#set-aside li").filter({ hasText: words }).waitFor();
    assert.equal(await page.locator("a.machine").count(), 0);
    // Working on beside it leaves it alone.
    await go(page, "#travel");
    await type(page, BELT);
    await save(page, "Crane", "X axis");
    await settle(page);
    assert.equal((await stored(page))[HERON], record);
    await reload(page);
    assert.equal((await stored(page))[HERON], record);
  });
}

test("a record that cannot be read is saved as a file, deleted only when asked, and comes back exactly", async (t) => {
  const { page } = await withStored(t, { [HERON]: DAMAGED.changed }, { path: "#machines" });
  const [download] = await Promise.all([page.waitForEvent("download"), page.locator("button", { hasText: "Save it as a file" }).click()]);
  assert.equal(await readFile(await download.path(), "utf8"), DAMAGED.changed);
  await page.locator("button", { hasText: "Delete it" }).click();
  await page.locator("#set-aside").waitFor({ state: "detached" });
  assert.equal((await stored(page))[HERON], undefined);
  await press(page, "Undo");
  await page.locator("#set-aside").waitFor();
  assert.equal((await stored(page))[HERON], DAMAGED.changed);
});

test("damaged loose sheets are set aside, and new ones are stored", async (t) => {
  const record = "layshaft machine 1\nname=\npart=\ntravel?pitch=2\nk=0000\n";
  const { page } = await withStored(t, { "layshaft/loose": record }, { path: "#travel" });
  await type(page, BELT);
  await settle(page);
  await reload(page);
  await answer(page, "turn_travel", "40.0000");
  assert.equal((await machine(page)).record, record);
  await go(page, "#machines");
  await page.locator("#set-aside li").filter({ hasText: "cut or changed" }).waitFor();
});

test("loose sheets of a newer version stay; what is typed becomes a machine", async (t) => {
  const record = "layshaft machine 7\nname=\nk=0000\n";
  const { page } = await withStored(t, { "layshaft/loose": record }, { path: "#travel" });
  await type(page, BELT);
  await notice(page, "Loose sheets (from this tab)");
  await answer(page, "turn_travel", "40.0000");
  assert.equal((await stored(page))["layshaft/loose"], record);
  assert.match((await machine(page)).record, /teeth=20/);
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

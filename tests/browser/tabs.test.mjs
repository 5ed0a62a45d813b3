// Several tabs of one browser at the same machine: each takes what the other typed, and what both typed is kept twice.
import assert from "node:assert/strict";
import { test } from "node:test";
import { open } from "./harness.mjs";
import { BELT, answer, go, machine, notice, save, saved, settle, sheet, stored, type } from "./steps.mjs";

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

/** A run of a heater at rest, longer than what is stored: about 150 KB. */
const LOG = Array.from({ length: 12_000 }, (_, i) => `${i},25.5,0\n`).join("");

/** Both tabs at the control sheet of one machine, and a log in the first that is too long to be stored. */
async function withLog(t) {
  const one = await sheet(t, "control", { target: "150" });
  await save(one.page, "Heron 160", "Hot end");
  const two = await secondTab(t, one, await one.page.evaluate(() => location.hash));
  await one.page.locator(".log input[type=file]").setInputFiles({ name: "log.csv", mimeType: "text/csv", buffer: Buffer.from(LOG) });
  await one.page.locator("#n-log", { hasText: "12000 rows" }).waitFor();
  await settle(one.page);
  assert.ok((await machine(one.page)).record.length < 2000, "the log is not stored");
  return [one.page, two.page];
}

test("a log too long to be saved stays in this tab while another one types", async (t) => {
  const [one, two] = await withLog(t);
  await type(two, { target: "210" });
  await settle(two);
  await one.waitForFunction(() => document.getElementById("f-target").value === "210");
  assert.match(await one.locator("#n-log").innerText(), /^12000 rows/);
  // And it is still there once this tab writes, and the other one takes that.
  await type(one, { target: "215" });
  await settle(one);
  await two.waitForFunction(() => document.getElementById("f-target").value === "215");
  assert.match(await one.locator("#n-log").innerText(), /^12000 rows/);
  await go(one, "#machines");
  assert.match(await saved(one, () => one.locator("main button", { hasText: "Save all as a file" }).click()), /11999,25.5,0/);
  assert.deepEqual(Object.keys(await stored(one)).filter((key) => key.includes("/machine/")).length, 1);
});

test("a log too long to be saved is kept in a machine of its own when another tab deletes its place", async (t) => {
  const [one, two] = await withLog(t);
  await two.locator("#saved a").click();
  await two.locator("button", { hasText: "Delete machine" }).click();
  await notice(one, "A log here was too long to be saved: it is now in “Heron 160 (from this tab)”");
  assert.match(await one.locator("#n-log").innerText(), /^12000 rows/);
  assert.match(await one.locator("#saved").innerText(), /Heron 160 \(from this tab\), Hot end/);
  assert.equal(await one.locator("#f-target").inputValue(), "150");
});

test("a log in each of two tabs: both stay", async (t) => {
  const [one, two] = await withLog(t);
  await two.locator("#f-log").fill("0,25,1\n1,26,1\n2,27,1");
  await notice(one, "A log here was too long to be saved");
  assert.match(await one.locator("#n-log").innerText(), /^12000 rows/);
  await settle(two);
  assert.match(await two.locator("#n-log").innerText(), /^3 rows/);
});

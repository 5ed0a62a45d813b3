// Machines: saved, opened, renamed, duplicated, deleted and brought back, as files and from files.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "node:test";
import { BELT, answer, fits, go, machine, notice, press, reload, save, settle, sheet, stored, type } from "./steps.mjs";

/** A machine "Heron 160" with the belt of its X axis. */
async function heron(t, options) {
  const opened = await sheet(t, "travel", BELT, options);
  await save(opened.page, "Heron 160", "X axis");
  return opened;
}

/** The page of the machine that is saved. */
const toMachine = async (page) => {
  await page.locator("#saved a").click();
  await page.locator("#machine-title").waitFor();
};

test("a sheet saved into a new machine is there after a reload, and saves itself from then on", async (t) => {
  const { page } = await heron(t);
  assert.match(await page.locator("#saved").innerText(), /Saved in Heron 160, X axis/);
  await reload(page);
  assert.equal(await page.locator("#f-teeth").inputValue(), "20");
  await answer(page, "turn_travel", "40.0000");
  await type(page, { teeth: "16" });
  await answer(page, "turn_travel", "32.0000");
  await settle(page);
  await reload(page);
  assert.equal(await page.locator("#f-teeth").inputValue(), "16");
  // The loose sheet is as it was.
  await go(page, "#travel");
  await answer(page, "turn_travel", "40.0000");
});

test("what was typed a moment before the page is left is stored", async (t) => {
  const { page } = await heron(t);
  await type(page, { teeth: "17" });
  await reload(page);
  assert.equal(await page.locator("#f-teeth").inputValue(), "17");
});

test("machine and part are renamed while typing; a blank name has its message and is not taken", async (t) => {
  const { page } = await heron(t);
  await toMachine(page);
  await page.locator("#machine-name").fill("  Heron 180 ");
  assert.equal(await page.locator("#machine-title").innerText(), "Heron 180");
  await page.locator("summary", { hasText: "Change this part" }).click();
  await page.locator("#part-name-0").fill("Y axis");
  await page.locator("#machine-name").fill("   ");
  assert.equal(await page.locator("#e-machine-name").innerText(), "Name of the machine: enter a name, such as Heron 160.");
  assert.equal(await page.locator("#machine-name").getAttribute("aria-invalid"), "true");
  await settle(page);
  await reload(page);
  assert.equal(await page.locator("#machine-title").innerText(), "Heron 180");
  assert.equal(await page.locator("#part-title-0").innerText(), "Y axis");
});

test("a duplicate is a machine of its own", async (t) => {
  const { page } = await heron(t);
  await toMachine(page);
  await page.locator("button", { hasText: /^Duplicate$/ }).click();
  await page.locator("#machine-title", { hasText: "Heron 160 (2)" }).waitFor();
  await page.locator("a.machine", { hasText: "Travel" }).first().click();
  await page.locator("#f-teeth").fill("32");
  await settle(page);
  const records = Object.entries(await stored(page)).filter(([key]) => key.startsWith("layshaft/machine/"));
  assert.equal(records.length, 2);
  assert.deepEqual(records.map(([, record]) => /teeth=(\d+)/.exec(record)[1]).sort(), ["20", "32"]);
});

test("a deleted machine comes back exactly, under its own key", async (t) => {
  const { page } = await heron(t);
  await toMachine(page);
  const before = await machine(page);
  await page.locator("button", { hasText: "Delete machine" }).click();
  await page.locator("#new-machine").waitFor();
  assert.equal((await stored(page))[before.key], undefined);
  await press(page, "Undo");
  await page.locator("a.machine", { hasText: "Heron 160" }).waitFor();
  await settle(page);
  assert.deepEqual(await machine(page), before);
});

test("parts are added, duplicated and deleted, with undo", async (t) => {
  const { page } = await heron(t);
  await toMachine(page);
  await page.locator("#new-part").fill("Hot end");
  await page.locator("button", { hasText: "Add part" }).click();
  await page.locator("#part-title-1", { hasText: "Hot end" }).waitFor();
  assert.equal(await page.locator("#new-part").inputValue(), "");
  const first = page.locator("[data-part='0']");
  await first.locator("summary", { hasText: "Change this part" }).click();
  await first.locator("button", { hasText: "Duplicate part" }).click();
  await page.locator("#part-title-1", { hasText: "X axis (copy)" }).waitFor();
  await settle(page);
  const before = await machine(page);
  await page.locator("[data-part='1'] summary", { hasText: "Change this part" }).click();
  await page.locator("[data-part='1'] button", { hasText: "Delete part" }).click();
  await page.locator("#part-title-1", { hasText: "Hot end" }).waitFor();
  await press(page, "Undo");
  await page.locator("#part-title-1", { hasText: "X axis (copy)" }).waitFor();
  await settle(page);
  assert.deepEqual(await machine(page), before);
});

test("a sheet taken out of a part comes back with its entries", async (t) => {
  const { page } = await heron(t);
  await toMachine(page);
  await page.getByRole("button", { name: "Delete Travel" }).click();
  await page.locator("[data-part='0'] .sheets li").waitFor({ state: "detached" });
  await press(page, "Undo");
  await page.locator("a.machine", { hasText: "Travel" }).first().click();
  await answer(page, "turn_travel", "40.0000");
});

test("saving over a sheet is said before and can be undone after", async (t) => {
  const { page } = await heron(t);
  await go(page, "#travel");
  await type(page, { teeth: "16" });
  await page.locator("#save").click();
  await page.locator("#save-machine").selectOption({ label: "Heron 160" });
  await page.locator("#save-part").selectOption({ label: "X axis" });
  await page.locator("form.new", { hasText: "has Travel already" }).waitFor();
  await page.locator("form button", { hasText: /^Save$/ }).click();
  await answer(page, "turn_travel", "32.0000");
  await press(page, "Undo");
  await answer(page, "turn_travel", "40.0000");
  assert.equal(await page.locator("#f-teeth").inputValue(), "20");
});

test("a form without names says what to enter, and keeps what was typed", async (t) => {
  const { page } = await sheet(t, "travel", BELT);
  await page.locator("#save").click();
  await page.locator("#save-machine-name").fill("Heron 160");
  await page.locator("form button", { hasText: /^Save$/ }).click();
  assert.equal(await page.locator("#e-save-part-name").innerText(), "Name of the part: enter a name, such as X axis.");
  assert.equal(await page.locator("#save-machine-name").inputValue(), "Heron 160");
  assert.deepEqual(Object.keys(await stored(page)).filter((key) => key.startsWith("layshaft/machine/")), []);
});

test("a blank that is carried takes its source along into the machine", async (t) => {
  const { page } = await sheet(t, "travel", BELT);
  await go(page, "#microstep");
  await page.locator("#f-hold_torque").waitFor();
  await type(page, { hold_torque: "0.4" });
  // 5 % of a full step of 40 mm / 200.
  await answer(page, "error_band", "10.00");
  await save(page, "Heron 160", "X axis");
  await answer(page, "error_band", "10.00");
  assert.match((await machine(page)).record, /\ntravel\?.*teeth=20/);
});

test("names of any kind are shown as text and change nothing else", async (t) => {
  const names = ["\"><script>document.title='broken'</script>", "<img src=x onerror=alert(1)>", "\u202eRTL 🦆 日本", "&lt;b&gt; & \"'", "n".repeat(80)];
  const { page } = await sheet(t, "travel", BELT);
  for (const name of names) {
    await go(page, "#travel");
    await page.locator("#save").waitFor();
    await page.locator("#save").click();
    await page.locator("#save-machine").selectOption("");
    await page.locator("#save-machine-name").fill(name);
    await page.locator("#save-part-name").fill(name);
    await page.locator("form button", { hasText: /^Save$/ }).click();
    await page.locator("#saved").waitFor();
    const shown = name;
    assert.equal(await page.locator("#saved a").textContent(), shown);
    await toMachine(page);
    assert.equal(await page.locator("#machine-title").textContent(), shown);
    assert.equal(await page.locator("#machine-name").inputValue(), shown);
    assert.equal(await page.locator("#part-title-0").textContent(), shown);
    await fits(page, shown);
  }
  await go(page, "#machines");
  await page.locator("#new-machine").waitFor();
  assert.equal(await page.locator("a.machine").count(), names.length);
  assert.equal(await page.locator("main script, main img").count(), 0);
});

test("a saved file is read as a machine of its own, and changes nothing that is here", async (t) => {
  const { page } = await heron(t);
  await toMachine(page);
  const before = await machine(page);
  const [download] = await Promise.all([page.waitForEvent("download"), page.locator("button", { hasText: "Save as a file" }).click()]);
  assert.equal(download.suggestedFilename(), "layshaft-heron-160.txt");
  const text = await readFile(await download.path(), "utf8");
  assert.equal(text, before.record);
  await go(page, "#machines");
  await page.locator("#machine-file").setInputFiles({ name: "a.txt", mimeType: "text/plain", buffer: Buffer.from(text) });
  await notice(page, "1 machine was read from the file.");
  await settle(page);
  const all = await stored(page);
  assert.equal(all[before.key], before.record);
  assert.equal(await page.locator("a.machine").count(), 2);
  await page.locator("a.machine", { hasText: "Heron 160 (2)" }).click();
  await page.locator("a.machine", { hasText: "Travel" }).first().click();
  await answer(page, "turn_travel", "40.0000");
});

test("all machines and the loose sheets travel in one file", async (t) => {
  const { page, site } = await heron(t);
  await go(page, "#machines");
  await page.locator("#new-machine").fill("Crane");
  await page.locator("button", { hasText: "Add machine" }).click();
  await page.locator("#machine-title", { hasText: "Crane" }).waitFor();
  await go(page, "#machines");
  const [download] = await Promise.all([page.waitForEvent("download"), page.locator("button", { hasText: "Save all as a file" }).click()]);
  const other = await sheet(t, "travel", {}, { site });
  await go(other.page, "#machines");
  await other.page.locator("#machine-file").setInputFiles(await download.path());
  await notice(other.page, "3 machines were read from the file.");
  const names = await other.page.locator("a.machine b").allInnerTexts();
  assert.deepEqual(names, ["Crane", "Heron 160", "Loose sheets"]);
});

test("a file of something else, a cut one and a large one are refused in words", async (t) => {
  const { page } = await heron(t);
  await go(page, "#machines");
  const { record } = await machine(page);
  const read = (text) =>
    page.locator("#machine-file").setInputFiles({ name: "a.txt", mimeType: "text/plain", buffer: Buffer.from(text) });
  await read('{"name":"Heron"}');
  await notice(page, "this is not a file of machines saved by Layshaft");
  await read("");
  await notice(page, "this is not a file of machines saved by Layshaft");
  await read(record.slice(0, -20));
  await notice(page, "cut or changed on its way");
  await read(record.replace("machine 1", "machine 9"));
  await notice(page, "saved by a newer version");
  await read("x".repeat(20_000_001));
  await notice(page, "larger than 20 MB");
  assert.equal((await machine(page)).record, record);
  // One good record among bad ones is read.
  await read(`${record.slice(0, 40)}\n${record}`);
  await notice(page, "1 machine was read from the file.");
});

test("an address of a machine or part that is not here says so", async (t) => {
  const { page } = await heron(t);
  await toMachine(page);
  const address = await page.evaluate(() => location.hash);
  await page.goto(page.url() + "/7/travel");
  await page.locator("#machine-title", { hasText: "Heron 160" }).waitFor();
  assert.equal(await page.evaluate(() => location.hash), address);
  await page.goto(page.url().split("#")[0] + "#m/nothing/0/travel");
  await page.locator("h1", { hasText: "No such machine" }).waitFor();
  await go(page, "#m/nothing");
  await page.locator("h1", { hasText: "No such machine" }).waitFor();
});

test("clearing a sheet can be undone", async (t) => {
  const { page } = await sheet(t, "travel", BELT);
  await page.locator("button", { hasText: "Clear entries" }).click();
  assert.equal(await page.locator("#f-pitch").inputValue(), "");
  await press(page, "Undo");
  await answer(page, "turn_travel", "40.0000");
  assert.equal(await page.locator("#f-pitch").inputValue(), "2");
});

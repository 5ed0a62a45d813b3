// Records and files that are not what this version writes: old, newer, damaged, foreign, endless. Each is read, or shown and
// left as it is; nothing in them is run.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "node:test";
import { open } from "./harness.mjs";
import { BELT, answer, fits, go, machine, notice, press, readBackup, record, reload, sane, save, saved, settle, sheet, stored, type, withStored } from "./steps.mjs";

const HERON = "layshaft/machine/heron000";

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

test("a machine of the first schema opens with all that was typed, and is written as it was", async (t) => {
  const first =
    "layshaft machine 1\nname=Heron%20160\npart=X%20axis\ntravel?drive=belt&pitch=2&teeth=20\nmicrostep?hold_torque=40%20N.cm\nk=5fbd\n";
  const { page } = await withStored(t, { [HERON]: first }, { path: "#m/heron000/0/travel" });
  await answer(page, "turn_travel", "40.0000");
  await go(page, "#m/heron000/0/microstep");
  assert.equal(await page.locator("#f-hold_torque").inputValue(), "40 N.cm");
  await settle(page);
  assert.equal((await stored(page))[HERON], first);
  await go(page, "#machines");
  assert.equal(await saved(page, () => page.locator("button", { hasText: "Save all as a file" }).click()), first);
});

const FOREIGN = {
  "another program's settings": "[printer]\nkinematics = unknown\n",
  "a page with a script": "<!doctype html><script>window.ran = 1</script><img src=x onerror='window.ran = 1'>",
  "another program's backup": JSON.stringify({ machines: [{ name: "Heron 160" }], schema: 1 }),
  "a picture": "\u0089PNG\r\n\u001a\n\u0000\u0000\u0000\rIHDR\ufffd\ufffd",
  "nothing": "",
  "a schema that never was": record("name=Heron").replace("machine 1", "machine 0"),
};

for (const [what, text] of Object.entries(FOREIGN)) {
  test(`a backup file that is ${what} is refused in words, and nothing here changes`, async (t) => {
    const { page } = await sheet(t, "travel", BELT);
    await save(page, "Heron 160", "X axis");
    await settle(page);
    const before = await stored(page);
    await readBackup(page, text);
    await notice(page, "In the file: ");
    assert.equal(await page.locator("a.machine").count(), 1);
    assert.equal(await page.evaluate(() => window.ran), undefined);
    await settle(page);
    assert.deepEqual(await stored(page), before);
  });
}

test("script in every name and entry of a backup is shown as text on every page of the machine", async (t) => {
  const evil = `"><img src=x onerror="window.ran=1"><script>window.ran=1</script>`;
  const { page } = await open(t, { profile: { reducedMotion: "reduce" } });
  const written = encodeURIComponent(evil);
  await readBackup(page, record(`name=${written}`, `part=${written}`, `travel?pitch=${written}&teeth=20`, `points?x=${written}`, `${written}?a=1`));
  await page.locator("a.machine b", { hasText: evil }).click();
  await page.locator("#machine-title", { hasText: evil }).waitFor();
  assert.match(await page.locator("[data-part='0'] h2").innerText(), /<script>/);
  await page.locator("a.machine", { hasText: "Travel" }).first().click();
  assert.equal(await page.locator("#f-pitch").inputValue(), evil);
  await page.locator("#e-pitch").filter({ hasText: "Belt pitch" }).waitFor();
  await sane(page, "a sheet with script in its names");
  assert.equal(await page.evaluate(() => window.ran), undefined);
  await reload(page);
  assert.equal(await page.locator("#f-pitch").inputValue(), evil);
});

test("a name of 10,000 characters is refused in words where it is typed, and stays there to be shortened", async (t) => {
  const { page } = await sheet(t, "travel", BELT);
  await page.locator("#save").click();
  await page.locator("#save-machine-name").fill("n".repeat(10_000));
  await page.locator("#save-part-name").fill("X axis");
  await page.locator("form button", { hasText: /^Save$/ }).click();
  await page.locator("#e-save-machine-name", { hasText: "Name of the machine: enter at most 80 characters." }).waitFor();
  assert.equal((await page.locator("#save-machine-name").inputValue()).length, 10_000);
  await fits(page, "a long name");
  await page.locator("#save-machine-name").fill("Heron 160");
  assert.equal(await page.locator("#e-save-machine-name").isVisible(), false);
  await page.locator("form button", { hasText: /^Save$/ }).click();
  await page.waitForURL(/#m\//);
});

test("a name of 10,000 characters in a backup is read whole, fits the page, and goes on whole", async (t) => {
  const { page } = await open(t, { profile: { reducedMotion: "reduce" } });
  const [machineName, partName] = ["n".repeat(10_000), "p".repeat(10_000)];
  const text = record(`name=${machineName}`, `part=${partName}`, "travel?pitch=2&teeth=20");
  await readBackup(page, text);
  await fits(page, "the list of machines");
  await page.locator("a.machine").click();
  await page.locator("#machine-title").waitFor();
  await fits(page, "the machine");
  assert.ok((await page.locator("h1").boundingBox()).height < 200, "the name leaves room for the rest");
  assert.ok((await page.locator("[data-part='0'] h2").boundingBox()).height < 200, "the part's name too");
  await page.locator("a.machine", { hasText: "Travel" }).click();
  await answer(page, "turn_travel", "40.0000");
  await fits(page, "its sheet");
  await settle(page);
  assert.equal((await machine(page)).record, text);
});

test("two parts of one name stay two: each with its own entries, also through a backup", async (t) => {
  const { page } = await sheet(t, "travel", BELT);
  await save(page, "Heron 160", "X axis");
  await page.locator("#saved a").click();
  await page.locator("#new-part").fill("X axis");
  await page.locator("button", { hasText: "Add part" }).click();
  await page.locator("[data-part='1']").waitFor();
  const id = (await machine(page)).key.split("/").pop();
  await go(page, `#m/${id}/1/travel`);
  await type(page, { ...BELT, teeth: "16" });
  await answer(page, "turn_travel", "32.0000");
  await settle(page);
  await go(page, "#machines");
  const backup = await saved(page, () => page.locator("button", { hasText: "Save all as a file" }).click());
  assert.match(backup, /part=X%20axis\ntravel\?pitch=2&teeth=20\npart=X%20axis\ntravel\?pitch=2&teeth=16/);
  await readBackup(page, backup);
  await page.locator("a.machine", { hasText: "Heron 160 (2)" }).click();
  const lines = page.locator("a.machine", { hasText: "Travel" });
  assert.match(await lines.nth(0).innerText(), /40\.0000/);
  assert.match(await lines.nth(1).innerText(), /32\.0000/);
});

test("a record of a million rows is read, shown by its ends, refused in words beside its field, and written whole", async (t) => {
  const { page } = await open(t, { profile: { reducedMotion: "reduce" } });
  const rows = "25,1;".repeat(1_000_000).slice(0, -1);
  const text = record("name=Heron%20160", "part=Hot%20end", `sensor?kind=points&points=${rows}`);
  const begun = Date.now();
  await readBackup(page, text);
  await page.locator("a.machine", { hasText: "Heron 160" }).click();
  await page.locator("a.machine", { hasText: "Sensor" }).first().click();
  await page.locator("#e-points", { hasText: "enter at most 1000 rows; there are 1000000." }).waitFor();
  t.diagnostic(`read, stored or refused, and shown in ${Date.now() - begun} ms`);
  assert.match(await page.locator("#f-points").inputValue(), /^25,1;.*the rows between do not show/s);
  await fits(page, "a million rows");
  await sane(page, "a million rows");
  await go(page, "#machines");
  assert.equal(await saved(page, () => page.locator("main button", { hasText: "Save all as a file" }).click()), text);
});

test("rows too many for a grid can be cut down in the text, and are a grid again", async (t) => {
  const { page } = await sheet(t, "sensor");
  await page.locator("#f-kind").selectOption("points");
  const cell = page.locator("#f-points input").first();
  await cell.focus();
  const pasted = Array.from({ length: 1500 }, (_, i) => `${i / 10}\t${100_000 - 60 * i}`).join("\n");
  await cell.evaluate((cell, text) => {
    const data = new DataTransfer();
    data.setData("text", text);
    cell.dispatchEvent(new ClipboardEvent("paste", { clipboardData: data, bubbles: true, cancelable: true }));
  }, pasted);
  await page.locator("#e-points", { hasText: "there are 1500." }).waitFor();
  await page.locator("textarea#f-points").fill("0,327k;25,100k;60,25k");
  await page.locator("#e-points:empty").waitFor({ state: "attached" });
  await reload(page);
  assert.equal(await page.locator("#f-points tbody tr").count(), 3);
});

test("a record of endless parts is set aside, not drawn", async (t) => {
  const { page } = await open(t, { profile: { reducedMotion: "reduce" } });
  await readBackup(page, record("name=Heron", Array.from({ length: 200_000 }, (_, i) => `part=${i}`).join("\n")));
  await notice(page, "In the file: a machine's record was cut or changed");
  assert.equal(await page.locator("a.machine").count(), 0);
});

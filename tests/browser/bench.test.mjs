// The sheets of the bench: readings typed with a thumb, drawn with what they leave unsure, judged in words.
import assert from "node:assert/strict";
import { test } from "node:test";
import { open } from "./harness.mjs";
import { fits, reload, settle, sheet } from "./steps.mjs";

const cells = (page, key, row) => page.locator(`#f-${key} tbody tr`).nth(row).locator("input");
const rows = (page, key) => page.locator(`#f-${key} tbody tr`);
const tally = (page, key) => page.locator(`#c-${key}`).textContent();
const typed = (page, key) =>
  rows(page, key).evaluateAll((rows) => rows.map((row) => [...row.querySelectorAll("input, select")].map((cell) => cell.value).join(" ")));
/** Where the keyboard is: its row and its place among the cells of a list; nothing when it is elsewhere. */
const at = (page, key) =>
  page.evaluate((key) => {
    const rows = [...document.querySelectorAll(`#f-${key} tbody tr`)];
    const row = rows.findIndex((row) => row.contains(document.activeElement));
    return row < 0 ? null : [row, [...rows[row].querySelectorAll("input, select")].indexOf(document.activeElement)];
  }, key);

test("readings are typed one after the other with Enter alone, and none goes astray", async (t) => {
  const { page } = await open(t, { path: "#proof" });
  assert.equal(await tally(page, "readings"), "Readings: 0");
  await cells(page, "readings", 0).first().click();
  await page.keyboard.type("0");
  await page.keyboard.press("Enter");
  await page.keyboard.type("0.01");
  await rows(page, "readings").first().locator("select").selectOption("plus");
  await cells(page, "readings", 0).nth(1).press("Enter");
  for (const text of ["50", "50.03", "100", "100.02", "150", "150.06", "200", "200.05"]) {
    await page.keyboard.type(text);
    await page.keyboard.press("Enter");
  }
  // The choice that may stay blank is passed over, and follows the row above.
  assert.deepEqual(await typed(page, "readings"), [
    "0 0.01 plus", "50 50.03 plus", "100 100.02 plus", "150 150.06 plus", "200 200.05 plus", "  ",
  ]);
  assert.deepEqual(await at(page, "readings"), [5, 0]);
  assert.equal(await tally(page, "readings"), "Readings: 5");
  // From a row left blank Enter leads out of the list.
  await page.keyboard.press("Enter");
  assert.equal(await page.evaluate(() => document.activeElement.id), "f-resolution");
  await settle(page);
  await reload(page);
  assert.equal(await tally(page, "readings"), "Readings: 5");
  assert.equal((await typed(page, "readings"))[3], "150 150.06 plus");
  await fits(page, "readings");
});

test("the last reading is undone and put back, and so is one from the middle", async (t) => {
  const { page } = await sheet(t, "level");
  await page.evaluate(() => (location.hash = "#level?probes=20,20,0.1;180,20,0.2;180,180,0.3;20,180,0.4"));
  await page.waitForFunction(() => document.querySelector("#c-probes")?.textContent === "Probed points: 4");
  const list = page.locator("#f-probes");
  const undo = list.getByText("Undo last row");
  const back = list.getByText(/^Put back/);
  await undo.click();
  assert.equal(await tally(page, "probes"), "Probed points: 3");
  assert.deepEqual(await at(page, "probes"), [3, 0]);
  assert.equal(await back.textContent(), "Put back 20 · 180 · 0.4");
  // What is typed meanwhile stays.
  await page.keyboard.type("100");
  await page.keyboard.press("Enter");
  await page.keyboard.type("100");
  await page.keyboard.press("Enter");
  await page.keyboard.type("0.25");
  await back.click();
  assert.equal(await back.count(), 0);
  assert.deepEqual(await typed(page, "probes"), ["20 20 0.1", "180 20 0.2", "180 180 0.3", "20 180 0.4", "100 100 0.25"]);
  await rows(page, "probes").nth(1).getByRole("button").click();
  assert.equal(await tally(page, "probes"), "Probed points: 4");
  assert.equal(await page.evaluate(() => document.activeElement.getAttribute("aria-label")), "Remove this row");
  await back.click();
  assert.equal((await typed(page, "probes"))[1], "180 20 0.2");
  // Nothing to undo is no fault.
  await page.locator("#f-repeats").getByText("Undo last row").click();
  assert.equal(await tally(page, "repeats"), "One point probed again and again: 0");
});

test("what is pasted into a list goes on from its last cell; what is typed is never rewritten", async (t) => {
  const { page } = await open(t, { path: "#ringing" });
  await cells(page, "amplitudes", 0).first().click();
  await page.evaluate(() => {
    const data = new DataTransfer();
    data.setData("text", "0.4\n0.2\n0.1\n");
    document.activeElement.dispatchEvent(new ClipboardEvent("paste", { clipboardData: data, bubbles: true, cancelable: true }));
  });
  assert.deepEqual(await typed(page, "amplitudes"), ["0.4", "0.2", "0.1"]);
  assert.deepEqual(await at(page, "amplitudes"), [2, 0]);
  await page.keyboard.press("Enter");
  // A half typed number keeps its caret while messages come and go.
  for (const letter of "0.0x5") await page.keyboard.type(letter);
  await page.keyboard.press("ArrowLeft");
  await page.keyboard.press("Backspace");
  assert.deepEqual(await typed(page, "amplitudes"), ["0.4", "0.2", "0.1", "0.05"]);
  assert.deepEqual(await at(page, "amplitudes"), [3, 0]);
});

test("cells and buttons of a list are large enough for a thumb", async (t) => {
  const { page } = await open(t, { path: "#level" });
  const sizes = await page.locator(".grid :is(input, select, button)").evaluateAll((all) =>
    all.map((one) => [one.getAttribute("aria-label") ?? one.textContent, one.getBoundingClientRect()]).map(([name, box]) => [name, box.width, box.height]));
  assert.ok(sizes.length > 10);
  for (const [name, width, height] of sizes) assert.ok(width >= 44 && height >= 44, `${name}: ${width} × ${height}`);
});

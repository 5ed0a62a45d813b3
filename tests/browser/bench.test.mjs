// The sheets of the bench: readings typed with a thumb, drawn with what they leave unsure, judged in words.
import assert from "node:assert/strict";
import { test } from "node:test";
import { open } from "./harness.mjs";
import { accessible, collisions, drawingKeeps, drawnWords, fits, reload, sane, settle, sheet } from "./steps.mjs";
import { ask, same } from "./twin.mjs";

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

const PROOF = { readings: "0,0.01;50,50.13;100,100.22;150,150.36;200,200.45", resolution: "0.01", accuracy: "0.03", steps_per_mm: "80" };
const SQUARE = { diagonal_1: "424.9", diagonal_2: "423.6", side: "300", accuracy: "0.2" };
const LEVEL = {
  probes: "20,20,0.12;180,20,-0.05;180,180,0.31;20,180,0.02;100,100,0.09", screws: "10,10;190,10;100,190", pitch: "0.7", tighten: "lowers",
};
const RINGING = { waves: "6", distance: "18.5", speed: "80", mass: "0.34", amplitudes: "0.12;0.085;0.06" };
const FLOW = { nozzle: "0.4", layer: "0.2", width: "0.45", speed: "80", limit: "11", material: "petg" };

/** One case of each sheet: entries, the answers compared with the headless twin, words of verdict, advice and drawing. */
const CASES = {
  proof: [PROOF, ["scale", "scale_u", "offset", "corrected_steps_per_mm", "corrected_steps_per_mm_u"], "change", /cause/,
    ["as asked", "over 100 mm: 0.22 ±", "put up with: ± 0.1 mm", "now 80, by this 79.82"]],
  square: [SQUARE, ["other_side", "angle", "skew", "skew_u", "shift"], "skewed", /ends of diagonal 1 together/,
    ["stands over by", "times as far", "1, thick: 424.9", "skew 0.31 ±"]],
  level: [LEVEL, ["tilt_x", "tilt_y", "flatness"], "bent", /Probe X \d+ Y \d+ once more/, ["turn", "points off the plane in mm", "1", "3"]],
  ringing: [RINGING, ["frequency", "stiffness", "damping", "damping_u", "accel_limit"], "usable", /another speed/,
    ["6 waves over 18.5", "one: 3.08 mm, 38.5 ms", "fitted fall"]],
  flow: [FLOW, ["area", "volume_rate", "feed", "top_speed", "grams_per_hour"], "keeps up", /Proof, drive by roller/,
    ["layer 0.2", "this line takes", "the hot end melts"]],
};

const query = (id, more = {}) => `${id}?${Object.entries({ ...CASES[id][0], ...more }).map((pair) => pair.join("=")).join("&")}`;
const TWIN = Object.fromEntries(ask(Object.keys(CASES).map((id) => query(id))).map((reply) => [reply.sheet, reply]));
const shown = (page, key) => page.locator(`[data-answer=${key}]`).textContent();

/** Types a sheet in as a person does, lists with Enter from cell to cell. */
async function fill(page, id) {
  for (const [key, text] of Object.entries(CASES[id][0])) {
    const control = page.locator(`#f-${key}`);
    const tag = await control.evaluate((control) => control.tagName);
    if (tag === "SELECT") await control.selectOption(text);
    else if (tag === "INPUT") await control.fill(text);
    else {
      await control.locator("tbody input").first().click();
      for (const cell of text.split(/[,;]/)) {
        await page.keyboard.type(cell);
        await page.keyboard.press("Enter");
      }
    }
  }
}

async function agrees(page, id) {
  const [, keys, verdict, next] = CASES[id];
  for (const key of keys) assert.equal(typeof TWIN[id].answers[key]?.value, "number", `the twin has ${key}`);
  assert.ok((await same(page, TWIN[id], id)) >= keys.length);
  assert.equal(await shown(page, "verdict"), verdict);
  assert.match(await shown(page, "next"), next);
}

for (const id of Object.keys(CASES)) {
  test(`${id} is typed with a thumb, agrees with the headless twin, is judged and drawn, and stays after a reload`, async (t) => {
    const { page } = await open(t, { path: `#${id}` });
    assert.equal(await page.locator("#drawing svg").count(), 0, "nothing is drawn before anything is known");
    await fill(page, id);
    // A chart whose table is closed is in sight all the same.
    if (TWIN[id].answers.curve) await page.locator("#p-curve svg").waitFor();
    await drawingKeeps(page, id, CASES[id][4], agrees);
  });
}

test("what cannot be is refused beside its entry, and nothing typed is lost", async (t) => {
  const { page } = await open(t);
  for (const [id, more, field, message, drawn] of [
    ["square", { side: "430" }, "e-side", /close no parallelogram; enter more than 0\.65 and less than 424\.25 mm/, 0],
    ["square", { diagonal_2: "long" }, "e-diagonal_2", /Other diagonal/, 0],
    ["level", { probes: "0,0,0.1;50,50,0.2;100,100,0.3" }, "e-probes", /not in a line/, 0],
    ["level", { probes: "0,0,0.1" }, "e-probes", /three points or more/, 0],
    ["level", { fixed: "7" }, "e-fixed", /a number from 1 to 3/, 1],
    ["proof", { readings: "100,99.9" }, "u-readings", /one place tells nothing/, 0],
    ["proof", { readings: "0,0,plus;100,100;200,200,minus" }, "e-readings", /up or down in every row, or in none/, 0],
    ["ringing", { amplitudes: "0.1" }, "u-amplitudes", /one height does not fall/, 1],
    ["ringing", { amplitudes: "0.1;0.2" }, "e-amplitudes", /they rise/, 1],
    ["flow", { layer: "0.5" }, "e-layer", /up to the line width/, 0],
  ]) {
    const what = `${id} ${JSON.stringify(more)}`;
    await page.evaluate((hash) => (location.hash = hash), query(id, more));
    await page.locator(`#${field}:not(:empty)`).waitFor();
    assert.match(await page.locator(`#${field}`).innerText(), message, what);
    assert.equal(await page.locator("#drawing svg").count(), drawn, what);
    const [[key, text]] = Object.entries(more);
    const kept = await page.locator(`#f-${key}`).evaluate((control) =>
      "value" in control ? control.value : [...control.querySelectorAll("tbody tr")].map((row) =>
        [...row.querySelectorAll("input, select")].map((cell) => cell.value).join(",")).filter((row) => /[^,]/.test(row)).join(";"));
    assert.equal(kept.replace(/,+(?=;|$)/g, ""), text, what);
    await sane(page, what);
    await fits(page, what);
    await page.reload();
  }
});

test("a verdict that is not reached says what to measure next, and is reached by that", async (t) => {
  const { page } = await open(t, { path: `#${query("square", { accuracy: "1" })}` });
  await page.locator("#drawing svg").waitFor();
  assert.equal(await shown(page, "verdict"), "measure more");
  const closer = (await shown(page, "next")).match(/each length to ± ([\d.]+) mm/)[1];
  await page.locator("#f-accuracy").fill(String(0.95 * Number(closer)));
  assert.equal(await shown(page, "verdict"), "skewed");
  await page.evaluate((hash) => (location.hash = hash), query("level", { probes: "0,0,0;200,0,0.01;0,200,0.02" }));
  await page.waitForFunction(() => /fourth point/.test(document.querySelector("[data-answer=next]")?.textContent));
});

test("each screw has its way to turn, in the drawing and in the table", async (t) => {
  const { page } = await open(t, { path: `#${query("level", { probes: "20,20,1.02;180,20,1.34;180,180,1.18;20,180,0.86" })}` });
  await page.locator("#drawing svg").waitFor();
  assert.equal(await shown(page, "verdict"), "turn");
  const [first, second] = await page.locator("#t-todo tbody tr").evaluateAll((rows) => rows.map((row) => row.textContent));
  assert.match(first, /loosen$/);
  assert.match(second, /tighten$/);
  assert.match(await drawnWords(page), /loosen 0\.\d\d turn.*tighten 0\.\d\d turn/);
  await page.locator("#f-tighten").selectOption("");
  assert.match(await drawnWords(page), /raise 0\.\d\d turn.*lower 0\.\d\d turn/);
});

for (const colorScheme of ["light", "dark"]) {
  for (const [width, height] of [[360, 740], [1280, 800]]) {
    test(`axe finds nothing on the bench's sheets in ${colorScheme} at ${width} px`, async (t) => {
      const { page } = await open(t, { width, height, profile: { colorScheme } });
      for (const id of Object.keys(CASES)) {
        await page.evaluate((hash) => (location.hash = hash), query(id));
        await page.locator("#drawing svg").waitFor();
        await accessible(page, id);
        assert.deepEqual(await collisions(page), [], id);
        await fits(page, id);
      }
    });
  }
}

// A person at a sheet: what is typed, what is answered, what is said about it, and how it is shown to others.
import assert from "node:assert/strict";
import { test } from "node:test";
import { open, ready } from "./harness.mjs";
import { agree } from "./twin.mjs";

/** What an answer shows, without the thin spaces; empty where it is not listed. */
const answer = (page, key) =>
  page.evaluate((key) => document.querySelector(`[data-answer=${key}]`)?.textContent.replace(/\s/g, " ") ?? "", key);
const entry = (page, key) => page.locator(`#f-${key}`);
const message = (page, key) => page.locator(`#e-${key}`);

async function fill(page, entries) {
  for (const [key, text] of Object.entries(entries)) {
    const control = entry(page, key);
    if ((await control.evaluate((element) => element.tagName)) === "SELECT") await control.selectOption(text);
    else await control.fill(text);
  }
}

/** A belt of common practice: 20 teeth of 2 mm, 1.8 degrees, 16 microsteps. */
const BELT = { pitch: "2", teeth: "20" };

test("a belt of 20 teeth and 2 mm moves 40 mm a turn, 80 steps per mm", async (t) => {
  const { page } = await open(t, { path: "#travel" });
  assert.equal(await answer(page, "turn_travel"), "");
  await fill(page, BELT);
  assert.match(await answer(page, "turn_travel"), /^40\.0+ mm$/);
  assert.match(await answer(page, "steps_per_mm"), /^80\.0+ 1\/mm$/);
  assert.equal(await answer(page, "exact"), "80");
  await fill(page, { gears: "60/20" });
  assert.match(await answer(page, "turn_travel"), /^13\.333\d* mm$/);
});

test("a blank answer names what it waits for", async (t) => {
  const { page } = await open(t, { path: "#travel" });
  const waits = page.locator(".dim .tie").first();
  assert.match(await waits.innerText(), /waits for: .+/);
  await fill(page, BELT);
  assert.equal(await page.locator(".dim .tie").count(), 0);
});

test("a message waits for a pause, answers do not, and both mend at once", async (t) => {
  const { page } = await open(t, { path: "#travel" });
  await fill(page, BELT);
  await entry(page, "pitch").pressSequentially("o");
  assert.equal(await answer(page, "turn_travel"), "", "the answer goes blank at once");
  assert.equal(await message(page, "pitch").innerText(), "", "the message waits");
  await page.waitForFunction(() => document.getElementById("e-pitch").textContent !== "");
  assert.match(await message(page, "pitch").innerText(), /^Belt pitch: enter /);
  assert.equal(await entry(page, "pitch").getAttribute("aria-invalid"), "true");
  await entry(page, "pitch").press("Backspace");
  assert.equal(await message(page, "pitch").innerText(), "", "the message goes at once");
  assert.equal(await entry(page, "pitch").getAttribute("aria-invalid"), null);
  assert.match(await answer(page, "turn_travel"), /^40/);
  // Leaving the entry does not wait.
  await entry(page, "teeth").fill("twenty");
  await entry(page, "teeth").blur();
  assert.match(await message(page, "teeth").innerText(), /^Pulley teeth: enter a whole number/);
  assert.equal(await entry(page, "teeth").inputValue(), "twenty", "what was typed stays as typed");
});

test("entries that a choice leaves out come back with their text", async (t) => {
  const { page } = await open(t, { path: "#travel" });
  await fill(page, BELT);
  await fill(page, { drive: "roller", diameter: "11" });
  assert.equal(await entry(page, "teeth").count(), 0);
  await fill(page, { drive: "belt" });
  assert.equal(await entry(page, "teeth").inputValue(), "20");
  assert.match(await answer(page, "turn_travel"), /^40/);
  await fill(page, { drive: "roller" });
  assert.equal(await entry(page, "diameter").inputValue(), "11");
});

test("the headline stays in sight while the page is scrolled and typed into", async (t) => {
  const { page } = await open(t, { path: "#travel" });
  await fill(page, BELT);
  for (const key of ["span", "micro"]) {
    await entry(page, key).focus();
    await page.waitForTimeout(100);
    const [head, field] = await page.evaluate((key) => {
      const box = (selector) => document.querySelector(selector).getBoundingClientRect();
      return [box(".head"), box(`#f-${key}`)];
    }, key);
    assert.ok(head.top >= 0 && head.bottom <= 300, `headline at ${head.top}`);
    assert.ok(field.top >= head.bottom, `${key} is covered by the headline`);
  }
  await page.evaluate(() => window.scrollTo(0, document.body.scrollHeight));
  const bottom = await page.evaluate(() => document.querySelector(".head").getBoundingClientRect().top);
  assert.ok(bottom >= -1, `at the end of the page the headline is at ${bottom}`);
});

test("a blank entry shows its default, what it is carried from, and what was worked out for it", async (t) => {
  const { page } = await open(t, { path: "#travel" });
  assert.equal(await entry(page, "step").getAttribute("placeholder"), "1.8");
  await fill(page, { pitch: "2", turn_travel: "40" });
  assert.equal(await entry(page, "teeth").getAttribute("placeholder"), "20");
  assert.match(await page.locator("#n-teeth").innerText(), /worked out: 20/);
  await page.evaluate(() => (location.hash = "#microstep"));
  await page.locator("#f-hold_torque").waitFor();
  assert.match(await page.locator("#n-turn_travel").innerText(), /^from Travel: 40\smm$/);
});

test("a copied link opens the same sheet for somebody else", async (t) => {
  const first = await open(t, {
    path: "#travel",
    profile: { permissions: ["clipboard-read", "clipboard-write"] },
  });
  await fill(first.page, { drive: "screw", thread: "Tr8x8(P2)", gears: "34/17" });
  await first.page.locator("#copy").click();
  await first.page.getByText("The link is copied").waitFor();
  const link = await first.page.evaluate(() => navigator.clipboard.readText());
  assert.ok(link.startsWith(`${first.site.url}#travel?v=1&`), link);
  assert.match(link, /&k=[0-9a-f]{4}$/);
  const second = await open(t, { site: first.site, path: link.slice(first.site.url.length) });
  for (const key of ["turn_travel", "steps_per_mm", "exact", "digits"]) {
    assert.equal(await answer(second.page, key), await answer(first.page, key), key);
  }
  assert.equal(await entry(second.page, "thread").inputValue(), "Tr8x8(P2)");
});

test("where the clipboard is closed the link stands in a field, selected", async (t) => {
  const before = (page) =>
    page.addInitScript(() => Object.defineProperty(navigator, "clipboard", { value: { writeText: () => Promise.reject() } }));
  const { page } = await open(t, { path: "#travel", before });
  await fill(page, BELT);
  await page.locator("#copy").click();
  await page.locator("#link").waitFor();
  const picked = await page.evaluate(() => getSelection().toString() || document.activeElement.value);
  assert.match(picked, /#travel\?v=1&.*&k=[0-9a-f]{4}$/);
});

test("sharing is offered where the device can, with the sheet's link", async (t) => {
  const before = (page) =>
    page.addInitScript(() => {
      Object.defineProperty(navigator, "share", { value: async (data) => void (window.shared = data), configurable: true });
    });
  const { page } = await open(t, { path: "#travel", before });
  await page.locator("#share").click();
  assert.match(await page.evaluate(() => window.shared.url), /#travel\?v=1&/);
});

test("measured points are typed cell by cell, and Enter makes rows", async (t) => {
  const { page } = await open(t, { path: "#sensor" });
  await fill(page, { kind: "points", pullup: "4k7", value: "10k" });
  const grid = page.locator("#f-points");
  await grid.locator("input").first().click();
  // Resistances of a thermistor of 100k and beta 3950, from its own formula.
  const points = [["25", "100000"], ["60", "24893"], ["100", "6976.9"], ["150", "2000.2"]];
  for (const [at, [celsius, ohm]] of points.entries()) {
    const cells = grid.locator("tbody tr").nth(at).locator("input");
    await cells.nth(0).fill(celsius);
    await cells.nth(1).fill(ohm);
    if (at + 1 < points.length) await cells.nth(1).press("Enter");
  }
  assert.equal(await grid.locator("tbody tr").count(), 4);
  assert.match(await answer(page, "temperature"), /^8\d\.\d+ °C$/);
  assert.equal(await page.evaluate(() => document.activeElement.closest("#f-points") !== null), true);
  const before = await answer(page, "temperature");
  await grid.locator("tbody tr").nth(3).getByRole("button").click();
  assert.equal(await grid.locator("tbody tr").count(), 3);
  assert.notEqual(await answer(page, "temperature"), "");
  assert.notEqual(await answer(page, "temperature"), before);
  await page.waitForTimeout(500);
  await page.reload();
  await ready(page);
  await grid.waitFor();
  assert.equal(await grid.locator("input").nth(1).inputValue(), "100000");
});

test("a check says within, near or over in word, shape and bar; what is over is in sight beside the headline", async (t) => {
  const { page } = await open(t, { path: "#microstep" });
  await fill(page, { turn_travel: "40", hold_torque: "0.4" });
  const check = page.locator("[data-check=load]");
  for (const [load, state, word] of [["0.1", "within", "Within"], ["0.35", "near", "Near"], ["0.5", "over", "Over"]]) {
    await fill(page, { load_torque: load });
    assert.equal(await check.getAttribute("data-state"), state);
    assert.match(await check.innerText(), new RegExp(`^${word}: `));
    assert.equal(await check.locator("svg").count(), 2);
    assert.equal(await page.locator("#alarms p").count(), state === "over" ? 1 : 0);
  }
});

test("the chart is read with a finger, with keys, and as a table", async (t) => {
  const { page } = await open(t, { path: "#microstep" });
  await fill(page, { turn_travel: "40", hold_torque: "0.4", load_torque: "0.2" });
  const read = page.locator("#r-curve");
  // Half the holding torque lags by a third of a full step of 200 um: asin(1/2) is a third of 90 degrees.
  assert.match(await read.innerText(), /0\.200\sN·m.*66\.7\sµm/);
  const plot = page.locator("[data-plot=curve]");
  const { width } = await plot.boundingBox();
  await plot.tap({ position: { x: width * 0.96, y: 60 } });
  assert.match(await read.innerText(), /0\.400\sN·m.*200\sµm/);
  await page.locator("#x-curve").focus();
  await page.keyboard.press("Home");
  assert.match(await read.innerText(), /Load torque: 0/);
  assert.equal(await page.locator("#t-curve tr").count(), 0, "a closed table is not made");
  await page.getByText("The same as a table").click();
  // The table is made once the browser says that it was opened.
  await page.locator("#t-curve tbody tr").nth(40).waitFor();
  assert.equal(await page.locator("#t-curve tbody tr").count(), 41);
});

test("one status tells the headline a second after the last key", async (t) => {
  const { page } = await open(t, { path: "#travel" });
  const aloud = page.locator("#aloud");
  await fill(page, BELT);
  assert.equal(await aloud.textContent(), "");
  await page.waitForTimeout(1300);
  assert.match(await aloud.textContent(), /Travel per motor turn: 40\.\d*\smm\. Steps per mm: 80/);
});

test("the theme follows the device until it is chosen, and the choice stays", async (t) => {
  const { page } = await open(t, { path: "#travel", profile: { colorScheme: "dark" } });
  const sheet = () => page.evaluate(() => getComputedStyle(document.querySelector(".frame").parentElement).backgroundColor);
  const night = await sheet();
  await page.locator("#theme").click();
  const paper = await sheet();
  assert.notEqual(paper, night);
  assert.equal(await page.locator("#theme").innerText(), "Night");
  await page.reload();
  await ready(page);
  assert.equal(await sheet(), paper);
});

test("the search finds a sheet by the words of the trade", async (t) => {
  const { page } = await open(t);
  await page.locator("#find").fill("thermistor beta");
  await page.getByRole("link", { name: /Temperature sensor/ }).click();
  await page.locator("#f-kind").waitFor();
  assert.equal(await page.title(), "Temperature sensor · Layshaft");
  await page.getByRole("link", { name: "Sheets" }).click();
  await page.locator("#find").fill("zebra");
  assert.match(await page.locator("#sheets").innerText(), /No sheet has these words/);
});

/** Queries over the four sheets, with what a person would type. */
const QUERIES = [
  "travel?drive=belt&pitch=2&teeth=20&step=1.8&micro=16",
  "travel?drive=belt&pitch=3&teeth=17&gears=60/20*34/17&steps=400&micro=32&span=1200",
  "travel?drive=screw&thread=Tr8x8(P2)&micro=64",
  "travel?drive=rack&module=1,5&teeth=20",
  "travel?drive=roller&diameter=0,43 in&gears=3",
  "travel?drive=rotary&gears=40&micro=8",
  "travel?drive=belt&pitch=2&steps_per_mm=100",
  "microstep?turn_travel=40&hold_torque=40 N.cm&load_force=20&speed=120&step_limit=40000",
  "microstep?turn_travel=8&step=0.9&micro=256&hold_torque=0.3&load_torque=0.31",
  "current?rated=2&rated_as=peak&resistance=1.4&motors=2&wiring=parallel&set=70%&supply=24&setting=reference&gain=8&sense=R100",
  "current?rated=1.5&resistance=2.2&set=1&supply=12&mount_limit=60&setting=scale&full_scale=0.325&sense=0R11&rds_on=0.2",
  "sensor?r25=100k&beta=3950&pullup=4k7&value=560&as=beta&as_r25=100k&as_beta=3435",
  "sensor?kind=platinum&r0=1k&pullup=1k&give=temperature&value=-40",
  "sensor?kind=thermocouple_k&give=voltage&value=8.138",
];

test("the page answers as the headless example does", async (t) => {
  const { page } = await open(t);
  const compared = await agree(page, QUERIES);
  assert.ok(compared > 100, `only ${compared} numbers were compared`);
});

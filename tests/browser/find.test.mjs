// The search for parts: the whole of it on the page, in slices, with its list, its chart and its links.
import assert from "node:assert/strict";
import { test } from "node:test";
import { open } from "./harness.mjs";
import { accessible, fits, reload, settle, sheet, type } from "./steps.mjs";
import { ask, same } from "./twin.mjs";

const AXIS = "find?from=1&to=60&speed=150&accel=3000&mass=0.5&friction=2&supply=24&drives=belt,screw&teeth=12..40&pitches=2,3,5&threads=Tr8x2,Tr8x8(P2),M8&gears=1,60/20,60/20*34/17&micros=16,32&motors=small,1.8,0.26,1.2,2.1,2.8,38,9;large,0.9,0.44,1.5,2.4,4.1,68";

const [TWIN] = ask([AXIS]);

const list = (from, to) => Array.from({ length: to - from + 1 }, (_, i) => from + i).join(",");

/** Forty million designs, nearly all of which meet the target. */
const LONG = {
  from: "0", to: "1000000", speed: "150", accel: "3000", mass: "0.5", friction: "2", supply: "24", margin: "0.01", drives: "belt",
  teeth: "1..10000", pitches: "2,3", gears: list(1, 500).replaceAll(",", "/100,") + "/100", micros: "16",
};
const MOTORS = "small,1.8,0.26,1.2,2.1,2.8,38,9;large,0.9,0.44,1.5,2.4,4.1,68,12;long,1.8,0.6,2,1.5,3,82,15;other,0.9,0.3,1,2,3,40,8";
const query = (entries) => `find?v=1&${Object.entries({ ...entries, motors: MOTORS }).map((pair) => pair.join("=")).join("&")}`;

const link = (page, text) => page.evaluate((text) => (location.hash = `#${encodeURI(text)}`), text);
const rows = (page) => page.locator("#t-best tbody tr");
const tried = async (page) => Number(await page.locator("[data-answer=tried]").textContent());
const done = (page) => page.locator("#work").waitFor({ state: "hidden", timeout: 120_000 });
/** How many the page has told that it tried. */
const told = (page) => page.evaluate(() => Number.parseFloat(document.getElementById("work-told").textContent));

test("the page finds what its headless twin finds, and lists it row by row", async (t) => {
  const { page } = await open(t);
  await link(page, AXIS.replace("?", "?v=1&"));
  await rows(page).first().waitFor();
  assert.equal(await same(page, TWIN, AXIS), 3);
  const best = TWIN.answers.best.value ?? TWIN.answers.best;
  assert.ok(best.length > 80, `${best.length} rows`);
  while (await page.locator("#t-best .add").count()) await page.locator("#t-best .add").click();
  assert.equal(await rows(page).count(), best.length);
  const hrefs = await page.locator("#t-best a").evaluateAll((links) => links.map((link) => link.getAttribute("href").slice(1)));
  assert.deepEqual(hrefs, best.flatMap((row) => row.slice(-2)));
  const names = await page.locator("#t-best td:first-child").allTextContents();
  assert.deepEqual(names, best.map((row) => row[0]));
});

test("a row opens travel and headroom with the same numbers", async (t) => {
  const { page } = await open(t);
  const best = TWIN.answers.best.value ?? TWIN.answers.best;
  for (const at of [0, 4, 9]) {
    await link(page, AXIS.replace("?", "?v=1&"));
    await rows(page).nth(at).waitFor();
    await rows(page).nth(at).locator("a").first().click();
    await page.waitForFunction(() => location.hash === "#travel");
    const number = async (key) => Number.parseFloat(await page.locator(`[data-answer=${key}]`).first().textContent());
    const near = (shown, exact) => assert.ok(Math.abs(shown / exact - 1) < 2e-3, `${shown} for ${exact}`);
    near(await number("turn_travel"), best[at][4]);
    near(await number("full_step"), best[at][5]);
    assert.equal(await page.locator("#f-micro").inputValue(), String(best[at][2]));
    await page.goBack();
    await rows(page).nth(at).waitFor();
    await rows(page).nth(at).locator("a").last().click();
    await page.waitForFunction(() => location.hash === "#headroom");
    near(await number("in_hand"), best[at][6]);
  }
});

/** Says the longest tasks of the page's main thread while something is done, in ms of its own time; a frame has 50 ms. Times are told, never asserted: machines differ. */
async function longest(t, page, browser, what, act) {
  await browser.startTracing(page, { categories: ["toplevel", "disabled-by-default-devtools.timeline"] });
  await act();
  const { traceEvents } = JSON.parse((await browser.stopTracing()).toString());
  const thread = ({ pid, tid }) => `${pid} ${tid}`;
  const mains = traceEvents.filter(({ name, args }) => name === "thread_name" && args.name === "CrRendererMain").map(thread);
  const tasks = traceEvents.filter((event) => event.name === "RunTask" && event.tdur !== undefined && mains.includes(thread(event)));
  assert.ok(tasks.length > 50, `${what}: ${tasks.length} tasks`);
  const times = tasks.map(({ tdur }) => tdur / 1000).sort((a, b) => b - a);
  t.diagnostic(`${what}: longest of ${times.length} tasks at a quarter of the speed: ${times.slice(0, 4).map((ms) => ms.toFixed(0)).join(", ")} ms`);
}

test("a long search shows how far it is, goes in slices timed at a quarter of the speed, and starts again when something is typed", async (t) => {
  const { page, browser } = await open(t, { throttle: 4 });
  const passes = (far) => page.waitForFunction((far) => Number.parseFloat(document.getElementById("work-told").textContent) > far, far, { timeout: 60_000 });
  await longest(t, page, browser, "opened", async () => {
    await link(page, query(LONG));
    await page.locator("#work").waitFor();
    await passes(0);
  });
  assert.match(await page.locator("#work-told").textContent(), /^\d+ of 40000000 tried$/);
  await longest(t, page, browser, "searching", async () => {
    await passes(await told(page));
    await page.waitForTimeout(3000);
  });
  const far = await told(page);
  await longest(t, page, browser, "typed", async () => {
    await page.locator("#f-margin").fill("0.02");
    await page.waitForFunction((far) => Number.parseFloat(document.getElementById("work-told").textContent) < far, far);
    await page.waitForTimeout(1000);
  });
  await page.locator("#f-teeth").fill("1..100");
  await longest(t, page, browser, "listed", async () => {
    await rows(page).first().waitFor({ timeout: 120_000 });
    await done(page);
  });
  assert.equal(await tried(page), 400_000);
});

/** 19,992 designs, as many as are searched again and again: 1,666 pulleys, 2 pitches, 3 reductions, 2 motors. */
const TURNED = { ...LONG, from: "20", to: "60", teeth: "1..1666", gears: "1,60/20,60/20*34/17" };
const TWO = MOTORS.split(";").slice(0, 2).join(";");

test("a search is solved and swept in slices timed at a quarter of the speed, and the headless twin agrees", async (t) => {
  const { page, browser } = await open(t, { throttle: 4 });
  const text = query(TURNED).replace(MOTORS, TWO);
  const asked = `${text}&solve=to&for=found:300&sweep=to:20:60&of=found`;
  const [twin] = ask([asked]);
  await longest(t, page, browser, "solved and swept", async () => {
    await link(page, asked);
    await page.waitForFunction(() => /gives it|No value/.test(document.getElementById("solved")?.textContent ?? ""), null, { timeout: 120_000 });
    await page.locator("#p-swept path.v").waitFor({ timeout: 120_000 });
  });
  assert.equal(await page.locator("#solved p").textContent(), twin.answers.solved_text.value);
  await page.locator("#d-swept summary").click();
  await page.locator("#t-swept tbody tr").nth(64).waitFor();
  const shown = await page.locator("#t-swept tbody tr td:last-child").allTextContents();
  assert.deepEqual(shown.map(Number), twin.answers.swept.value.map(([, found]) => found));
});

test("a search too long to be solved and swept says so, and what to narrow", async (t) => {
  const { page } = await open(t);
  await link(page, `${query({ ...TURNED, teeth: "1..1667" })}&solve=to&for=found:300&sweep=to:20:60&of=found`);
  for (const id of ["solved", "swept"]) {
    await page.locator(`#${id} .why`, { hasText: "40008 designs; up to 20000 are searched that often: enter fewer, such as of “Pulley teeth”" }).waitFor();
  }
});

test("a search that is stopped keeps what it found, says that it is not all, and a page that is left ends it", async (t) => {
  // Work that goes on is a timer without delay.
  const before = (page) => page.addInitScript(() => {
    window.slices = 0;
    const later = window.setTimeout;
    window.setTimeout = (call, delay, ...rest) => later(() => {
      window.slices += delay === 0 ? 1 : 0;
      call(...rest);
    }, delay);
  });
  const { page } = await open(t, { before });
  await link(page, query({ ...LONG, gears: `${list(1, 3000).replaceAll(",", "/100,")}/100` }));
  await page.waitForFunction(() => Number.parseFloat(document.getElementById("work-told").textContent) > 1_000_000, null, { timeout: 60_000 });
  await page.locator("#work button").click();
  await done(page);
  const note = await page.locator("#work-note").textContent();
  assert.match(note, /^Stopped after \d+ of 240000000 combinations\. This is not all\. .*coarser than \S+ µm were not tried\.$/);
  assert.equal(await tried(page), Number(note.match(/after (\d+)/)[1]));
  assert.ok((await rows(page).count()) > 0);
  await accessible(page, "stopped");
  // Begun again by typing, and left: nothing goes on.
  await page.locator("#f-margin").fill("0.03");
  await page.locator("#work").waitFor();
  assert.equal(await page.locator("#work-note").textContent(), "");
  await link(page, "travel");
  await page.waitForFunction(() => location.hash === "#travel");
  await page.waitForTimeout(300);
  const gone = await page.evaluate(() => window.slices);
  assert.ok(gone > 10, `${gone} slices`);
  await page.waitForTimeout(500);
  assert.equal(await page.evaluate(() => window.slices), gone, "no slice follows");
});

test("ranges that make a million million combinations are refused beside their field, and nothing is lost", async (t) => {
  const { page } = await sheet(t, "find", { ...LONG, gears: list(1, 5000), pitches: list(1, 20) });
  await link(page, query({ ...LONG, gears: list(1, 5000), pitches: list(1, 20), micros: "1,2,4,8,16,32,64,128,256" }));
  const why = page.locator(".why", { hasText: "combinations; enter fewer" });
  await why.waitFor();
  // 10000 teeth, 20 pitches, 5000 reductions, 9 microsteps, 4 motors.
  assert.match(await why.textContent(), /^Pulley teeth: these lists make 3\.60e10 combinations; enter fewer: up to 1000000000 are tried\.$/);
  await page.locator("#f-gears").fill(list(1, 9999));
  const motors = Array.from({ length: 60 }, () => MOTORS).join(";");
  await link(page, `${query({ ...LONG, gears: list(1, 9999), pitches: list(1, 20), micros: "1,2,4,8,16,32,64,128,256" }).replace(MOTORS, motors)}`);
  await page.locator(".why", { hasText: "make 4.32e12 combinations; enter fewer" }).waitFor();
  await settle(page);
  await reload(page);
  assert.equal(await page.locator("#f-teeth").inputValue(), "1..10000");
  assert.equal(await page.locator("#f-gears").inputValue(), list(1, 9999));
  await page.locator(".why", { hasText: "combinations; enter fewer" }).waitFor();
  assert.ok(await page.locator("#work").isHidden());
  // The fields still hear: fewer are tried.
  await type(page, { teeth: "20", pitches: "2", gears: "1", micros: "16" });
  await done(page);
  assert.equal(await tried(page), 240);
});

test("the chart is read with a finger, and lists are searched again after a reload", async (t) => {
  const { page } = await open(t);
  await link(page, AXIS.replace("?", "?v=1&"));
  await rows(page).first().waitFor();
  const plot = page.locator("[data-plot=best]");
  await plot.scrollIntoViewIfNeeded();
  const read = () => page.locator("#r-best").textContent();
  const texts = new Set();
  for (const [x, y] of [[60, 170], [180, 100], [340, 40]]) {
    const box = await plot.boundingBox();
    await page.touchscreen.tap(box.x + (x / 360) * box.width, box.y + (y / 218) * box.height);
    texts.add(await read());
  }
  assert.ok(texts.size > 1, [...texts].join("\n"));
  await page.locator("#x-best").focus();
  await page.keyboard.press("Home");
  assert.ok((await read()).startsWith(`Drive: ${(TWIN.answers.best.value ?? TWIN.answers.best)[0][0]}, `), await read());
  await settle(page);
  await reload(page);
  await rows(page).first().waitFor();
  assert.equal(await tried(page), TWIN.answers.tried.value);
});

test("axe finds nothing on the results, and nothing scrolls sideways", async (t) => {
  for (const [width, colorScheme] of [[320, "light"], [360, "dark"], [1280, "light"], [1280, "dark"]]) {
    const { page } = await open(t, { width, height: 740, profile: { colorScheme } });
    await link(page, AXIS.replace("?", "?v=1&"));
    await rows(page).first().waitFor();
    await accessible(page, `${width} px, ${colorScheme}`);
    await fits(page, `${width} px`);
  }
});

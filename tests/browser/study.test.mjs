// What every sheet can do: tolerances beside the answers, solve, sweep, compare, and all of it in links.
import assert from "node:assert/strict";
import { test } from "node:test";
import { open, ready } from "./harness.mjs";
import { BELT, notice, press, reload, settle, sheet, type } from "./steps.mjs";

const SIZES = [[360, 740], [1280, 800]];

/** What an element shows, without the thin spaces; empty where it is not there. */
const text = (page, selector) =>
  page.evaluate((selector) => document.querySelector(selector)?.textContent.replace(/\s+/g, " ").trim() ?? "", selector);
const answer = (page, key) => text(page, `[data-answer=${key}]`);
const spread = (page, key) => text(page, `[data-spread=${key}]`);
/** Waits until an element shows something like this. */
const shows = (page, selector, pattern) =>
  page.waitForFunction(
    ([selector, source]) => new RegExp(source).test(document.querySelector(selector)?.textContent.replace(/\s+/g, " ") ?? ""),
    [selector, pattern.source],
  );
const turn = (page) => page.getByText("Turn it by hand").click();

for (const [width, height] of SIZES) {
  const at = (name) => `${name}, at ${width} px`;
  const options = { width, height };

  test(at("a tolerance gives each answer its uncertainty, its digits and the entry worth measuring"), async (t) => {
    const { page } = await sheet(t, "travel", { pitch: "2 ± 1 %", teeth: "20", gears: "3 ± 2 %" }, options);
    // u/40*3 = sqrt((0.01^2 + 0.02^2)/3), so 0.172 mm on 13.333; GUM 7.2.6: two digits, and the value to the last of them.
    assert.equal(await answer(page, "turn_travel"), "13.33 mm");
    assert.equal(await spread(page, "turn_travel"), "± 0.17 mm");
    assert.equal(await spread(page, "ratio"), "± 0.035");
    assert.equal(await spread(page, "full_steps"), "", "what does not depend on them has none");
    const rows = await page.locator("#shares tr").evaluateAll((rows) => rows.map((row) => row.textContent.replace(/\s+/g, " ")));
    // Variances as 1 to 4.
    assert.ok(rows.some((row) => /^Reduction.*80 %$/.test(row)) && rows.some((row) => /^Belt pitch.*20 %$/.test(row)), rows.join("|"));
    assert.match(await text(page, "#shares"), /independent of the others/);
    await type(page, { pitch: "2", gears: "3" });
    assert.equal(await answer(page, "turn_travel"), "13.3333 mm");
    assert.equal(await page.locator("#shares").isVisible(), false);
  });

  test(at("a bent sheet is drawn, and the page says so"), async (t) => {
    const { page } = await sheet(t, "microstep", { turn_travel: "40", hold_torque: "0.4", load_torque: "0.3 ± 0.09" }, options);
    await shows(page, "[data-spread=lag]", /± \d/);
    const shown = Number((await spread(page, "lag")).match(/[\d.]+/)[0]);
    // The exact deviation of asin(load / hold) under an even load, by a sum over its middle points.
    const points = Array.from({ length: 20000 }, (_, i) => 0.21 + (0.18 * (i + 0.5)) / 20000);
    const lags = points.map((load) => (((40000 / 360) * 1.8) / 90) * ((Math.asin(load / 0.4) * 180) / Math.PI));
    const mean = lags.reduce((a, b) => a + b) / lags.length;
    const exact = Math.sqrt(lags.reduce((a, b) => a + (b - mean) ** 2, 0) / lags.length);
    assert.ok(Math.abs(shown / exact - 1) < 0.05, `${shown} against ${exact}`);
    assert.match(await text(page, "#shares"), /20,000 seeded draws.*Lag/);
  });

  test(at("solving names the roots and the real parts, and a button takes one"), async (t) => {
    const { page } = await sheet(t, "travel", BELT, options);
    await turn(page);
    await page.locator("#q-solve").selectOption("teeth");
    await page.locator("#q-for").selectOption("turn_travel");
    await page.locator("#q-value").fill("41.5");
    await shows(page, "#solved", /“Pulley teeth” of 20\.75 gives it/);
    assert.match(await text(page, "#solved"), /21 gives 42 mm.*20 gives 40 mm/);
    assert.equal(await page.locator("#solved button").count(), 2, "three quarters of a tooth cannot be taken");
    await page.getByRole("button", { name: "Take 21" }).click();
    assert.equal(await page.locator("#f-teeth").inputValue(), "21");
    assert.match(await answer(page, "turn_travel"), /^42\.0/);
    await page.locator("#q-solve").selectOption("pitch");
    await shows(page, "#solved", /“Belt pitch” of 1\.97619 mm gives it/);
    await page.getByRole("button", { name: "Take 1.97619" }).click();
    assert.match(await answer(page, "turn_travel"), /^41\.5000 mm$/);
    // What cannot be had.
    await page.locator("#q-solve").selectOption("span");
    await shows(page, "#solved", /does not depend on “Length of the axis”/);
    await page.locator("#q-solve").selectOption("teeth");
    await page.locator("#q-value").fill("0.1 mm");
    await shows(page, "#solved", /No value of “Pulley teeth” gives/);
    await page.locator("#q-value").fill("far");
    await shows(page, "#solved", /^Travel per motor turn: enter a length/);
    assert.equal(await page.locator("#q-value").inputValue(), "far", "what was typed stays");
  });

  test(at("a sweep is drawn with today, read with a finger and keys, and stands in a table"), async (t) => {
    const { page } = await sheet(t, "microstep", { turn_travel: "40", hold_torque: "0.4", load_torque: "0.2" }, options);
    await turn(page);
    await page.locator("#q-sweep").selectOption("load_torque");
    await page.locator("#q-of").selectOption("lag");
    await page.waitForFunction(() => document.getElementById("q-from").placeholder === "0.1", null, { timeout: 3000 });
    await page.locator("#q-from").fill("0.05");
    await page.locator("#q-to").fill("0.6");
    // Beyond the holding torque there is no lag: the curve ends there and nothing crosses the gap.
    await shows(page, "#swept", /broken/);
    assert.match(await text(page, "#p-swept"), /today/);
    await page.waitForFunction(() => {
      const points = document.querySelector("#p-swept path.v")?.getAttribute("d").match(/-?\d+/g).map(Number) ?? [];
      // The plot ends at 346 units, and 0.4 of 0.05 to 0.6 stands at 238.
      return points[points.length - 2] / 10 < 240;
    });
    await page.locator("#x-swept").focus();
    await page.keyboard.press("Home");
    assert.match(await text(page, "#r-swept"), /Load torque: 0\.05.* N·m, .*: .* µm/);
    const plot = page.locator("[data-plot=swept]");
    const box = await plot.boundingBox();
    await plot.click({ position: { x: box.width * 0.955, y: 60 } });
    assert.match(await text(page, "#r-swept"), /Load torque: 0\.(59|6).*: none$/);
    await page.locator("#d-swept summary").click();
    await page.locator("#t-swept tbody tr").nth(64).waitFor();
    assert.equal(await page.locator("#t-swept tbody tr").count(), 65);
    await page.locator("#q-to").fill("0.01");
    await shows(page, "#swept", /sweep from a smaller to a larger value/);
    assert.equal(await page.locator("#sweeping").isVisible(), false);
  });

  test(at("a design is pinned, held against the present one, swapped, let go, and outlives a reload"), async (t) => {
    const { page } = await sheet(t, "travel", BELT, options);
    await turn(page);
    await page.locator("#q-cost").fill("12.50");
    await page.getByRole("button", { name: "Pin this design" }).click();
    await type(page, { teeth: "16" });
    await page.locator("#q-cost").fill("9");
    await shows(page, "[data-both=turn_travel]", /40\.0000 mm.*32\.0000 mm.*-8\.0000 mm, -20\.0 %/);
    assert.match(await text(page, "[data-both=teeth]"), /2016changed$/);
    assert.match(await text(page, "[data-both=cost]"), /-3\.5, -28\.0 %$/);
    await settle(page);
    await reload(page);
    await shows(page, "[data-both=turn_travel]", /40\.0000 mm.*32\.0000 mm/);
    await page.getByRole("button", { name: "Swap" }).click();
    assert.equal(await page.locator("#f-teeth").inputValue(), "20");
    assert.equal(await page.locator("#f-step").inputValue(), "", "a default goes on being one");
    await shows(page, "[data-both=turn_travel]", /32\.0000 mm.*40\.0000 mm.*\+8\.0000 mm, \+25\.0 %/);
    await page.getByRole("button", { name: "Unpin" }).click();
    await shows(page, "#compared", /Pin this design/);
    await notice(page, "is let go");
    await press(page, "Undo");
    await shows(page, "[data-both=turn_travel]", /32\.0000 mm.*40\.0000 mm/);
    await page.locator("#q-cost").fill("cheap");
    await shows(page, "#e-cost", /^Cost: enter a number/);
  });

  test(at("all four go into the copied link and come back for somebody else"), async (t) => {
    const profile = { permissions: ["clipboard-read", "clipboard-write"] };
    const first = await sheet(t, "travel", { ...BELT, pitch: "2 ± 0.01" }, { ...options, profile });
    const { page } = first;
    await turn(page);
    await page.getByRole("button", { name: "Pin this design" }).click();
    await type(page, { teeth: "16" });
    await page.locator("#q-solve").selectOption("teeth");
    await page.locator("#q-value").fill("41.5");
    await page.locator("#q-sweep").selectOption("pitch");
    await shows(page, "#p-swept", /today/);
    await page.locator("#copy").click();
    await page.getByText("The link is copied").waitFor();
    const link = await page.evaluate(() => navigator.clipboard.readText());
    for (const part of ["&solve=teeth&for=turn_travel:41.5&", "&sweep=pitch:1:4&of=turn_travel&", "&pin=drive%3Dbelt%26pitch%3D2"]) {
      assert.ok(link.includes(part), `${part} in ${link}`);
    }
    const second = await open(t, { site: first.site, path: link.slice(first.site.url.length), ...options });
    await shows(second.page, "#solved", /20\.75 gives it/);
    await shows(second.page, "#p-swept", /today/);
    await shows(second.page, "[data-both=teeth]", /2016changed/);
    assert.equal(await spread(second.page, "turn_travel"), await spread(page, "turn_travel"));
    assert.equal(await second.page.locator(".notice").count(), 0, "nothing of it is unknown");
    // What is asked by halves is not in the link.
    await page.locator("#q-value").fill("");
    await page.locator("#q-sweep").selectOption("");
    await page.locator("#copy").click();
    await page.waitForFunction((before) => navigator.clipboard.readText().then((now) => now !== before), link);
    const less = await page.evaluate(() => navigator.clipboard.readText());
    assert.ok(!/solve=|for=|sweep=|of=/.test(less), less);
  });
}

test("rows stand side by side by their names, and the pinned curve is drawn behind the present one", async (t) => {
  const loads = (bed) => `Bed,${bed} W,100;Motors,45 W,100`;
  const { page } = await open(t, { path: `#${encodeURI(`supply?loads=${loads(220)}&volts=24&rated=200&pin=`)}${encodeURIComponent(`loads=${loads(150).split(";").reverse().join(";")}&volts=24&rated=200`)}` });
  await shows(page, "[data-both=loads]", /^Loads: Bed150 W · 100220 W · 100changed$/);
  assert.equal(await page.locator("[data-both=loads]").count(), 1, "what only stands elsewhere is the same");
  await shows(page, "[data-both=total]", /195\.0 W265\.0 W\+70\.00 W, \+35\.9 %/);
  const curve = async (pin) => {
    await page.evaluate((hash) => (location.hash = hash), `#microstep?turn_travel=40&hold_torque=0.4&load_torque=0.1${pin}`);
    await shows(page, "#p-curve", /Lag/);
    return page.locator("#p-curve path.y").count();
  };
  assert.ok((await curve(`&pin=${encodeURIComponent("turn_travel=32&hold_torque=0.3")}`)) > 1);
  await shows(page, "#p-curve", /pinned/);
  await page.getByRole("button", { name: "Unpin" }).click();
  await page.waitForFunction(() => !document.querySelector("#p-curve path.y"));
});

test("a link that asks for what the sheet does not have says so in words", async (t) => {
  const { page } = await open(t, { path: "#travel?pitch=2&teeth=20&solve=tooth&for=turn_travel:40&sweep=pitch:1:3&of=speed" });
  await shows(page, "#solved", /^Entry “tooth”: enter one of pitch, teeth/);
  await shows(page, "#swept", /^Answer “speed”: enter one of /);
});

/** A tolerance that cannot be, and what is said beside its field. */
const BAD = [
  ["pitch", "2 ± 3", /The tolerance reaches beyond that: write a smaller one/],
  ["pitch", "2 ± 0", /write a tolerance above 0/],
  ["pitch", "2 ± -1", /write a tolerance above 0/],
  ["teeth", "20 ± 1", /write it without a tolerance/],
];
for (const [key, entry, words] of BAD) {
  test(`${entry} in ${key} is refused in words`, async (t) => {
    const { page } = await sheet(t, "travel", { ...BELT, [key]: entry });
    await shows(page, `#e-${key}`, words);
    assert.equal(await page.locator(`#f-${key}`).inputValue(), entry);
    assert.equal(await answer(page, "turn_travel"), "");
  });
}

test("per cent of a temperature is refused in words, on a choice a tolerance is no option", async (t) => {
  const { page } = await open(t, { path: "#current?rated=1.5&resistance=1.6&supply=24&set=1&ambient=0%20%C2%B1%201%20%25&wiring=series%C2%B11" });
  await shows(page, "#e-ambient", /write the tolerance in kelvins/);
});

test("the uncertainty follows a new value while the draws run, timed at a quarter of the speed", async (t) => {
  const { page, devtools } = await sheet(t, "sensor", { r25: "100k ± 20 %", beta: "3950 ± 30 %", pullup: "4k7 ± 5 %", value: "560" });
  await devtools.send("Emulation.setCPUThrottlingRate", { rate: 4 });
  await page.evaluate(() => {
    window.long = [];
    new PerformanceObserver((list) => window.long.push(...list.getEntries().map((entry) => entry.duration))).observe({ type: "longtask" });
  });
  const start = Date.now();
  await page.locator("#f-value").fill("570");
  await page.waitForFunction(() => /± \d/.test(document.querySelector("[data-spread=temperature]")?.textContent ?? ""));
  t.diagnostic(`20,000 draws of the sensor sheet in ${Date.now() - start} ms at 4x CPU slowdown`);
  const long = await page.evaluate(() => window.long);
  t.diagnostic(`long tasks: ${long.map(Math.round).join(", ") || "none"}`);
});

test("solving and sweeping a simulated loop go in slices, timed at a quarter of the speed", async (t) => {
  const entries = { gain: "389", tau: "244", dead: "6", target: "255" };
  // Work that goes on is a timer without delay; its own time counts, not that of the answers and curves painted before.
  const before = (page) => page.addInitScript(() => {
    window.slices = [];
    const later = window.setTimeout;
    window.setTimeout = (call, delay, ...rest) => later(() => {
      const start = performance.now();
      call(...rest);
      if (delay === 0) window.slices.push(performance.now() - start);
    }, delay);
  });
  const { page, devtools } = await open(t, { path: `#control?method=pid&rule=simc&${new URLSearchParams(entries)}`, before });
  await turn(page);
  await page.locator("#q-solve").selectOption("tau");
  await page.locator("#q-for").selectOption("overshoot");
  await page.locator("#q-sweep").selectOption("dead");
  await page.locator("#q-of").selectOption("settle");
  await shows(page, "#p-swept", /today/);
  await devtools.send("Emulation.setCPUThrottlingRate", { rate: 4 });
  await page.evaluate(() => (window.slices = []));
  await page.locator("#q-value").fill("2");
  await shows(page, "#solved", /“Time constant”|“Overshoot”/);
  const slices = (await page.evaluate(() => window.slices)).sort((a, b) => b - a);
  t.diagnostic(`${slices.length} slices, the longest of ${slices.slice(0, 3).map(Math.round).join(", ")} ms at 4x CPU slowdown`);
  assert.ok(slices.length > 2, "it is cut into slices");
});

test("a wire is solved for the standard sizes on both sides, each with the drop it gives", async (t) => {
  const { page } = await sheet(t, "wire", { amps: "8", length: "1.5", volts: "24", temp: "20", gauge: "4 mm2" });
  await turn(page);
  await page.locator("#q-solve").selectOption("gauge");
  await page.locator("#q-for").selectOption("drop");
  await page.locator("#q-value").fill("0.3");
  // 8 A over 3 m of copper of 0.017241 Ω·mm²/m; IEC 60228 has 1 and 1.5 mm² and nothing between.
  await shows(page, "#solved", /1\.5\smm² gives 0\.27\d* V.*1\smm² gives 0\.41\d* V/);
  await page.getByRole("button", { name: "Take 1.5" }).click();
  assert.match(await page.locator("#f-gauge").inputValue(), /^1\.5 mm/);
  assert.match(await answer(page, "drop"), /^0\.276 V$/);
});

// Heat and power at the bench: sensors, heaters, fuses, logs, supplies and wires, with good entries and bad.
import assert from "node:assert/strict";
import { test } from "node:test";
import { open } from "./harness.mjs";
import { accessible, fits, reload, sane, settle, stored } from "./steps.mjs";
import { ask, same } from "./twin.mjs";

/** One case of each sheet, by the answers that are compared with the headless twin. */
const CASES = {
  "identify?readings=ice,325k;boil,6.8k;25,100k&target=210": ["boils", "spread", "fit_beta", "next"],
  "heater?volts=24&watts=40&mass=20&material=aluminium&area=30&target=210&max_allowed=300": ["steady_max_high", "warmup", "hold_duty", "fault_seconds", "gain", "tau"],
  "heater?volts=24&watts=5&mass=200&material=brass&area=60&target=210&max_allowed=300": ["steady_max_high", "steady_max"],
  "cutoff?normal_max=240&max_allowed=300&rating=270&rise_rate=120&lag=5": ["rating_min", "rating_max", "opens_at"],
  "control?gain=420&tau=180&dead=6&target=210&ambient=22&method=pid&rule=simc": ["kp", "ki", "overshoot", "settle", "ku", "pu"],
  "control?gain=420&tau=180&dead=6&target=210&ambient=22&method=onoff": ["overshoot", "ripple", "switches"],
  "supply?loads=bed,120 W,50;hot end,40 W,30;motors,2 A,100;fan,0.2 A,100&volts=24&rated=10": ["total", "used", "left", "average", "amps"],
  "wire?amps=10&volts=24&length=1.2&gauge=0.75 mm2": ["drop", "drop_pct", "fuse", "area", "heat"],
};

/** What the headless twin of the page answers to each case. */
const TWIN = ask(Object.keys(CASES));

/** The number that an answer shows. */
const shown = (page, key) =>
  page.evaluate((key) => {
    const text = document.querySelector(`[data-answer=${key}]`)?.firstChild?.textContent ?? "";
    return Number.parseFloat(text.replace(/\s/g, ""));
  }, key);

/** A first-order heater of 420 K, 180 s and 6 s over 22 °C, with a small even noise; on from 20 s, or by a relay at 200 °C. */
function heater(rows, step, relay = false) {
  const log = [];
  const duties = [];
  let [rise, on, seed] = [0, true, 7];
  for (let i = 0; i < rows; i += 1) {
    seed = (seed * 1103515245 + 12345) % 2147483648;
    const celsius = 22 + rise + 0.3 * (seed / 2147483648 - 0.5);
    if (celsius > 205) on = false;
    if (celsius < 195) on = true;
    duties.push(relay ? Number(on) : Number(i * step >= 20));
    log.push([(i * step).toFixed(2), celsius.toFixed(2), duties[i]]);
    const past = duties[i - Math.round(6 / step)] ?? 0;
    const keep = Math.exp(-step / 180);
    rise = rise * keep + 420 * past * (1 - keep);
  }
  return log;
}

const clock = (seconds) => {
  const whole = Math.floor(Number(seconds)) + 86300;
  const two = (n) => String(n).padStart(2, "0");
  return `${two(Math.floor(whole / 3600) % 24)}:${two(Math.floor(whole / 60) % 60)}:${two(whole % 60)}`;
};
const comma = (text) => String(text).replace(".", ",");
const lines = (log, row) => log.map(row).join("\n");

/** One log as instruments and spreadsheets write it. */
const DRESSES = {
  "commas with a heading": (log) => "seconds,celsius,duty\n" + lines(log, (row) => row.join(",")),
  "commas without a heading": (log) => lines(log, (row) => row.join(",")),
  tabs: (log) => "Time\tTemp\tOut\n" + lines(log, (row) => row.join("\t")),
  "blanks": (log) => lines(log, (row) => row.join("  ")),
  "semicolons and decimal commas": (log) => "Zeit;Temperatur;Anteil\n" + lines(log, (row) => row.map(comma).join(";")),
  "a clock past midnight": (log) => lines(log, ([s, c, d]) => [clock(s), c, d].join(",")),
  "line ends of another system": (log) => log.map((row) => row.join(",")).join("\r\n"),
  "percentages": (log) => lines(log, ([s, c, d]) => [s, c, `${100 * d}%`].join(",")),
};

/** Pastes a text as a person does. */
const paste = (page, text) =>
  page.evaluate((text) => {
    const log = document.getElementById("f-log");
    log.focus();
    log.select();
    const clipboardData = new DataTransfer();
    clipboardData.setData("text/plain", text);
    const went = log.dispatchEvent(new ClipboardEvent("paste", { clipboardData, bubbles: true, cancelable: true }));
    // The browser's own pasting, which a script's event does not do.
    if (went) document.execCommand("insertText", false, text);
  }, text);

const note = (page, words) =>
  page.waitForFunction((words) => new RegExp(words).test(document.getElementById("n-log").textContent), words);

/** The message beside the log, once it is told. */
async function refusal(page) {
  await page.locator("#e-log").filter({ hasText: "Log" }).waitFor();
  return page.locator("#e-log").innerText();
}

const CONTROL = "control?target=150&ambient=22&method=pid&rule=simc";

for (const [at, [query, keys]] of Object.entries(CASES).entries()) {
  const [id] = query.split("?");
  test(`${query.slice(0, 40)} shows what the headless twin answers, with its cautions in sight`, async (t) => {
    const { page } = await open(t, { path: `#${query}` });
    await page.locator("#working .step").first().waitFor();
    for (const key of keys) assert.equal(typeof TWIN[at].answers[key]?.value, "number", `the twin has ${key}`);
    assert.ok((await same(page, TWIN[at], query)) >= keys.length);
    await sane(page, query);
    // At 360 px the first caution stands above the entries, and leads to all of them.
    const before = page.locator("#before button");
    const box = await before.boundingBox();
    assert.ok(box.y + box.height < 740, `the caution of ${id} is on the first screen`);
    await before.click();
    assert.ok((await page.locator("#cautions .caution").count()) > 0);
    const words = (await page.locator("#cautions").innerText()).toLowerCase();
    assert.match(words, /electrician|thermal fuse|burn/);
  });
}

test("the heater's headline is what a failed switch reaches, and its window is drawn", async (t) => {
  const { page } = await open(t, { path: `#${Object.keys(CASES)[1]}` });
  assert.equal(await page.locator(".dim b").first().getAttribute("data-answer"), "steady_max_high");
  assert.match(await page.locator("#alarms").innerText(), /When its switch fails on/);
  const drawing = await page.locator("#drawing svg").innerHTML();
  for (const word of ["fault window", "target", "allowed at the most"]) assert.ok(drawing.includes(word), word);
});

test("a heater that never gets there says so, and a target below ambient is refused in words", async (t) => {
  const { page } = await open(t, { path: `#${Object.keys(CASES)[2]}` });
  assert.match(await page.locator("[data-answer=warmup]").innerText(), /never/);
  assert.equal(await page.locator("[data-check=reach]").getAttribute("data-state"), "over");
  await page.locator("#f-target").fill("10");
  await page.locator("#f-target").blur();
  assert.match(await page.locator("#e-target").innerText(), /^Target temperature: /);
  await sane(page, "target below ambient");
});

test("readings that contradict each other name no sensor", async (t) => {
  const { page } = await open(t, { path: "#identify?readings=ice,10k;25,100k&target=210" });
  assert.match(await page.locator("[data-answer=verdict]").innerText(), /none/);
  await sane(page, "contradicting readings");
});

test("before there is a reading the sheet says where to begin; then the candidates are ranked with bars", async (t) => {
  const { page } = await open(t, { path: "#identify" });
  assert.match(await page.locator("[data-answer=why]").innerText(), /^Begin in melting ice/);
  await page.evaluate(() => (location.hash = "identify?v=1&readings=ice,325k;25,100k&target=210"));
  await page.locator("#drawing path.f").first().waitFor();
  assert.equal(await page.locator("#drawing path.f").count(), 2, "two candidates are plausible");
  assert.ok(await page.locator(".head [data-answer=next]").isVisible());
});

test("a load of zero volts is refused in words", async (t) => {
  const { page } = await open(t, { path: "#supply?loads=bed,120 W,50;hot end,2 A,30&volts=0&rated=10" });
  assert.match(await page.locator("#e-volts").innerText(), /^Supply voltage: enter /);
  await sane(page, "zero volts");
});

for (const [dress, make] of Object.entries(DRESSES)) {
  test(`a log is pasted as it comes: ${dress}`, async (t) => {
    const { page } = await open(t, { path: `#${CONTROL}` });
    await paste(page, make(heater(600, 1)));
    await note(page, "^600 rows: 599\\.?0? s, 2.* °C, duty 0 to 1\\.$");
    for (const [key, expected] of [["gain", 420], ["tau", 180], ["dead", 6]]) {
      const found = await shown(page, key);
      assert.ok(Math.abs(found / expected - 1) < 0.02, `${key}: ${found}`);
    }
    for (const key of ["fit", "residuals", "curve"]) assert.ok(await page.locator(`#p-${key} svg`).count(), key);
    assert.equal(await page.locator("#e-log").innerText(), "");
    await sane(page, dress);
  });
}

test("a log is chosen or dropped as a file", async (t) => {
  const { page } = await open(t, { path: `#${CONTROL}` });
  const text = DRESSES["line ends of another system"](heater(600, 1));
  await page.locator(".log input[type=file]").setInputFiles({ name: "log.csv", mimeType: "text/csv", buffer: Buffer.from(text) });
  await note(page, "^600 rows: ");
  const relay = DRESSES.tabs(heater(1200, 1, true));
  await page.evaluate((text) => {
    const dataTransfer = new DataTransfer();
    dataTransfer.items.add(new File([text], "relay.tsv", { type: "text/tab-separated-values" }));
    const log = document.getElementById("f-log");
    const over = new DragEvent("dragover", { dataTransfer, bubbles: true, cancelable: true });
    if (log.dispatchEvent(over)) throw new Error("the page does not take a file");
    log.dispatchEvent(new DragEvent("drop", { dataTransfer, bubbles: true, cancelable: true }));
  }, relay);
  await note(page, "^1200 rows: ");
  assert.ok(Math.abs((await shown(page, "gain")) - 420) < 9);
});

const step = heater(600, 1);
const plain = (rows) => lines(rows, (row) => row.join(","));
const BAD = {
  "two rows": [plain(step.slice(0, 2)), /at least 5 rows; these are 2.*Record again/],
  "nothing but a heading": ["seconds,celsius,duty", /^Log: enter rows of seconds/],
  flat: [plain(step.map(([s, , d]) => [s, "22.00", d])), /nothing in the temperature follows.*Record again/],
  "off throughout": [plain(step.map(([s, c]) => [s, c, 0])), /duty is 0 throughout/],
  "backwards in time": [plain([...step.slice(0, 300), ...step.slice(100)]), /row 301: the time runs backwards/],
  "a drop-out in words": [plain(step.map((row, i) => (i === 400 ? [row[0], "--", row[2]] : row))), /row 401: .*dropped out/],
  "a drop-out as a number": [plain(step.map((row, i) => (i === 400 ? [row[0], "-14.00", row[2]] : row))), /row 401: the reading jumps/],
  "columns in another order": [plain(step.map(([s, c, d]) => [s, d, c])), /duty from 0 to 1/],
  "a cooling heater": [plain(step.map(([s, c, d]) => [s, (300 - Number(c)).toFixed(2), d])), /falls while the heater is on/],
  "nothing but noise": [plain(step.map(([s, , d], i) => [s, `22.${(i * 7) % 11}`, d])), /nothing in the temperature follows/],
};

test("a log that cannot carry a fit is refused with the reason, and nothing typed is lost", async (t) => {
  const { page } = await open(t, { path: `#${CONTROL}` });
  for (const [what, [text, reason]] of Object.entries(BAD)) {
    await paste(page, text);
    await page.locator("#f-log").blur();
    const message = await refusal(page);
    assert.match(message.replace(/\s+/g, " "), reason, what);
    assert.equal(await page.locator("#f-log").inputValue(), text, what);
    assert.equal(await page.locator("#f-log").getAttribute("aria-invalid"), "true", what);
    assert.equal(await page.locator("[data-answer=kp]").innerText().catch(() => ""), "", `${what}: no settings`);
    assert.equal(await page.locator("#f-target").inputValue(), "150", what);
    await sane(page, what);
  }
});

test("a gap and a duty that never changes are said, and fitted", async (t) => {
  const { page } = await open(t, { path: `#${CONTROL}` });
  await paste(page, plain([...step.slice(0, 300), ...step.slice(400)]));
  await page.locator("#u-log").filter({ hasText: "row 301: 101 s without a reading" }).waitFor();
  assert.ok(Math.abs((await shown(page, "gain")) / 420 - 1) < 0.05);
  // On from the first row: the plant of the log, moved to its beginning.
  await paste(page, plain(step.slice(20).map(([s, c]) => [s, c, 1])));
  await page.locator("#u-log").filter({ hasText: "the duty never changes" }).waitFor();
  await sane(page, "constant duty");
});

test("a log and a model at once are too many", async (t) => {
  const { page } = await open(t, { path: `#${CONTROL}&gain=420&tau=180&dead=6` });
  await paste(page, plain(step));
  await page.locator("#f-log").blur();
  assert.match(await refusal(page), /not both/);
});

test("a log stays over a reload; a link carries what it told in its place", async (t) => {
  const { page } = await open(t, { path: `#${CONTROL}` });
  await paste(page, plain(step));
  await note(page, "^600 rows: ");
  const kp = await shown(page, "kp");
  await settle(page);
  await reload(page);
  assert.equal(await page.locator("#f-log").inputValue(), plain(step));
  assert.equal(await shown(page, "kp"), kp);
  // Without a clipboard the page shows the link.
  await page.evaluate(() => delete Navigator.prototype.clipboard);
  await page.locator("#copy").click();
  const link = await page.locator("#link").inputValue();
  assert.ok(link.length < 400 && !link.includes("log="), link);
  await page.evaluate((link) => (location.hash = new URL(link).hash), link);
  await page.waitForFunction(() => document.getElementById("f-log")?.value === "");
  assert.equal(await shown(page, "kp"), kp);
});

test("20,000 rows are read and fitted while the page stays quick, and are not stored", async (t) => {
  const { page } = await open(t, { path: `#${CONTROL}` });
  const measure = (text) =>
    page.evaluate(async (text) => {
      const frame = () => new Promise((done) => requestAnimationFrame(() => setTimeout(done, 0)));
      const line = document.getElementById("n-log");
      let longest = 0;
      new PerformanceObserver((list) => {
        for (const task of list.getEntries()) longest = Math.max(longest, task.duration);
      }).observe({ type: "longtask" });
      const log = document.getElementById("f-log");
      const clipboardData = new DataTransfer();
      clipboardData.setData("text/plain", text);
      const begun = performance.now();
      log.dispatchEvent(new ClipboardEvent("paste", { clipboardData, bubbles: true, cancelable: true }));
      const reading = line.textContent;
      while (!line.textContent.includes("rows")) await frame();
      await frame();
      const painted = performance.now() - begun;
      const target = document.getElementById("f-target");
      const keys = [];
      for (const value of ["151", "152", "153", "154", "155"]) {
        const start = performance.now();
        target.value = value;
        target.dispatchEvent(new Event("input", { bubbles: true }));
        await frame();
        keys.push(performance.now() - start);
      }
      await new Promise((done) => setTimeout(done, 1000));
      return { reading, painted, longest, key: keys.sort((a, b) => a - b)[2], shown: log.value.length };
    }, text);
  for (const [what, relay] of [["heat-up", false], ["relay test", true]]) {
    const text = plain(heater(20000, relay ? 0.1 : 0.05, relay));
    const { reading, painted, longest, key, shown: length } = await measure(text);
    t.diagnostic(`${what}: ${painted.toFixed(0)} ms to the painted answer, longest task ${longest.toFixed(0)} ms, a key elsewhere ${key.toFixed(0)} ms`);
    assert.equal(reading, "Reading…");
    assert.ok(length < 1000, "the text area holds only the ends");
    assert.ok(Math.abs((await shown(page, "gain")) / 420 - 1) < 0.01);
  }
  await note(page, "Too long to be saved.*saved in its place");
  await settle(page);
  const record = Object.values(await stored(page)).join("");
  assert.ok(record.length < 2000, `${record.length} characters are stored`);
  await reload(page);
  for (const [key, expected] of [["gain", 420], ["tau", 180], ["dead", 6]]) {
    const found = Number.parseFloat(await page.locator(`#f-${key}`).inputValue());
    assert.ok(Math.abs(found / expected - 1) < 0.02, `${key}: ${found}`);
  }
});

test("both ends of a long log can be edited", async (t) => {
  const { page } = await open(t, { path: `#${CONTROL}` });
  await paste(page, plain(heater(2000, 0.5)));
  await note(page, "^2000 rows: ");
  const log = page.locator("#f-log");
  await log.fill((await log.inputValue()) + "\n1000,300,1");
  await note(page, "^2001 rows: 1000 s");
});

test("axe finds nothing on the six sheets, and nothing scrolls sideways at 320 px", async (t) => {
  for (const [width, colorScheme] of [[320, "light"], [1280, "dark"]]) {
    const { page } = await open(t, { width, height: 740, profile: { colorScheme } });
    for (const query of Object.keys(CASES)) {
      await page.evaluate((query) => (location.hash = query.replace("?", "?v=1&")), query);
      await page.waitForFunction((id) => location.hash.startsWith(`#${id}`), query.split("?")[0]);
      await page.locator("#working .step").first().waitFor();
      if (query.includes("gain=420")) await page.locator("summary").first().click();
      await accessible(page, `${query} at ${width} px`);
      await fits(page, `${query} at ${width} px`);
    }
  }
});

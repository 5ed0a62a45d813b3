// A whole machine on the page: built by typing, told on one page, marked, and moved by link and code.
import assert from "node:assert/strict";
import { test } from "node:test";
import jsQR from "jsqr";
import { open, ready } from "./harness.mjs";
import { accessible, answer, fits, go, notice, press, reload, sane, settle, stored, type } from "./steps.mjs";

const SIZES = [
  [360, 740],
  [1280, 800],
];
const QUIET = { reducedMotion: "reduce" };
const MASSES = [
  ["hot end", "140", "1", "x"],
  ["beam", "260", "1", "y"],
  ["bed", "780", "1", "z"],
];

/** The example, opened from the first page. */
async function example(t, options = {}) {
  const opened = await open(t, { ...options, profile: { ...QUIET, ...options.profile } });
  await opened.page.locator("a", { hasText: "Open the example machine" }).click();
  await opened.page.locator("#machine-title", { hasText: "Heron 160" }).waitFor();
  return opened;
}

/** The part of this name. */
const part = (page, name) => page.locator("[data-part]").filter({ has: page.locator("h2", { hasText: name }) });

/** Opens a sheet of a part, adding it where the part does not have it; `back` goes to the machine again. */
async function into(page, name, title) {
  const there = part(page, name).locator(".sheets a.machine").filter({ has: page.locator("b", { hasText: title }) });
  if (await there.count()) await there.first().click();
  else {
    await part(page, name).locator("summary", { hasText: "Add a sheet" }).click();
    await part(page, name).locator("details a.machine").filter({ has: page.locator("b", { hasText: title }) }).first().click();
  }
  await page.locator("main h1", { hasText: title }).waitFor();
}

const back = async (page) => {
  await page.locator("#saved a").click();
  await page.locator("#machine-title").waitFor();
};

/** A machine with these parts, built by hand. */
async function built(t, name, parts, options = {}) {
  const opened = await open(t, { path: "#machines", ...options, profile: QUIET });
  const { page } = opened;
  await page.locator("#new-machine").fill(name);
  await page.locator("button", { hasText: "Add machine" }).click();
  await page.locator("#machine-title").waitFor();
  for (const part of parts) {
    await page.locator("#new-part").fill(part);
    await page.locator("button", { hasText: "Add part" }).click();
    await page.locator("h2", { hasText: part }).last().waitFor();
  }
  return opened;
}

/** The address that copying gives; the browser of the tests may not write to the clipboard, so it is shown. */
async function link(page) {
  await page.evaluate(() => delete Navigator.prototype.clipboard);
  await page.locator("button", { hasText: "Copy link" }).click();
  return page.locator("#link").inputValue();
}

const machines = async (page) =>
  Object.entries(await stored(page))
    .filter(([key]) => key.startsWith("layshaft/machine/"))
    .map(([, record]) => record);

/** Types a list row by row into the cells of a grid. */
async function rows(page, key, cells) {
  for (const [at, row] of cells.entries()) {
    const inputs = page.locator(`#f-${key} tbody tr`).nth(at).locator("input, select");
    if ((await inputs.count()) === 0) await page.locator(`#f-${key} button`, { hasText: "Add a row" }).click();
    for (const [column, text] of row.entries()) {
      const cell = inputs.nth(column);
      if ((await cell.evaluate((cell) => cell.tagName)) === "SELECT") await cell.selectOption(text);
      else await cell.fill(text);
    }
  }
}

for (const [width, height] of SIZES) {
  test(`a mass typed once reaches the motor and the bed (${width} px)`, async (t) => {
    const { page } = await built(t, "Wren 200", ["Frame", "X axis", "Z axis"], { width, height });
    await into(page, "Frame", "Masses");
    await rows(page, "items", MASSES);
    await answer(page, "x", "0.1400");
    await back(page);
    await into(page, "X axis", "Headroom");
    await page.locator("#proof li", { hasText: "Moving mass from Frame: Moved by X" }).waitFor();
    assert.equal(await page.locator("#f-mass").inputValue(), "");
    assert.equal(await page.locator("#f-mass").getAttribute("placeholder"), "0.14");
    await back(page);
    await into(page, "Z axis", "Guides and bed");
    await page.locator("#proof li", { hasText: "Bed mass from Frame: Moved by Z" }).waitFor();
    assert.equal(await page.locator("#f-bed_mass").getAttribute("placeholder"), "0.78");
    // What is typed goes before what is carried.
    await type(page, { bed_mass: "1.2" });
    await page.locator("#proof li", { hasText: "Bed mass" }).waitFor({ state: "detached" });
    await type(page, { bed_mass: "" });
    await page.locator("#proof li", { hasText: "Bed mass" }).waitFor();
    await back(page);
    await page.locator("#carried summary").click();
    const carried = page.locator("#carried li", { hasText: "Bed mass" });
    assert.match(await carried.innerText(), /Z axis, Guides and bed: Bed mass\s+0\.780000\skg from\s+Frame, Masses: Moved by Z/);
    await carried.locator("a").last().click();
    await page.locator("main h1", { hasText: "Masses" }).waitFor();
    // A change in one place is seen in the other.
    await page.locator("#f-items tbody tr").nth(2).locator("input").nth(1).fill("900");
    await answer(page, "z", "0.900");
    await back(page);
    await into(page, "Z axis", "Guides and bed");
    assert.equal(await page.locator("#f-bed_mass").getAttribute("placeholder"), "0.9");
    await fits(page, "the sheet of a part");
  });

  test(`the example has a mistake of each kind, and each check leads to the entry that decides it (${width} px)`, async (t) => {
    const { page } = await example(t, { width, height });
    const over = page.locator("#machine-checks > [data-state=over]");
    const found = await over.evaluateAll((all) => all.map((check) => check.dataset.check));
    assert.deepEqual(found, ["loads", "step_rate", "sensor_range", "fuse", "drop", "mount", "switch"]);
    assert.equal(await page.locator("#to-prove > [data-check=unproven]").count(), 8);
    await sane(page, "the machine");
    await fits(page, "the machine");
    const machine = await page.evaluate(() => location.hash);
    for (const id of found) {
      const leads = page.locator(`#machine-checks > [data-check=${id}][data-state=over] .leads a`);
      const count = await leads.count();
      assert.ok(count > 0, `${id} leads somewhere`);
      for (let at = 0; at < count; at += 1) {
        const key = (await leads.nth(at).getAttribute("href")).split("/").pop();
        await leads.nth(at).click();
        const shown = page.locator(`#f-${key}, #w-${key}, #x-${key}, [data-answer="${key}"]`).first();
        await shown.waitFor();
        await page.waitForFunction((key) => {
          const found = ["f-", "w-", "x-"].map((before) => document.getElementById(before + key)).find((found) => found);
          const box = (found ?? document.querySelector(`[data-answer="${key}"]`)).getBoundingClientRect();
          return box.top >= 0 && box.top < innerHeight;
        }, key);
        await go(page, machine);
        await page.locator("#machine-title").waitFor();
      }
    }
    // Mended, the mistake is gone.
    await page.locator("#machine-checks > [data-check=mount][data-state=over] .leads a").first().click();
    await type(page, { mount_limit: "150" });
    await back(page);
    await page.locator("#machine-checks > [data-check=mount][data-state=over]").waitFor({ state: "detached" });
    await page.locator("#machine-title").waitFor();
    await reload(page);
    assert.equal(await page.locator("#machine-checks > [data-state=over]").count(), 6);
  });
}

test("opening the example twice does not make two; changed, it comes in beside with the differences", async (t) => {
  const { page } = await example(t);
  await page.locator("a", { hasText: /^Layshaft$/ }).click();
  await page.locator("a", { hasText: "Open the example machine" }).click();
  await notice(page, "Heron 160 is here already");
  assert.equal((await machines(page)).length, 1);
  await into(page, "Y axis", "Travel");
  await type(page, { teeth: "18" });
  await settle(page);
  await page.locator("a", { hasText: /^Layshaft$/ }).click();
  await page.locator("a", { hasText: "Open the example machine" }).click();
  await page.locator("#machine-title", { hasText: "Heron 160 (2)" }).waitFor();
  assert.equal(await page.locator("#differences summary").innerText(), "1 difference");
  assert.match(await page.locator("#differences tbody").innerText(), /Y axis, Travel, Pulley teeth\s+16\s+18/);
  await fits(page, "the differences");
});

test("the parts list sums each part and the machine; a pinned alternative has its own sum", async (t) => {
  const { page } = await example(t);
  const costs = await page.locator("#parts-list tbody").evaluateAll((all) => all.map((body) => body.rows[0].innerText.split(/\s+/).pop()));
  const sum = costs.reduce((sum, cost) => sum + Number(cost), 0);
  assert.equal(costs.length, 8);
  assert.match(await page.locator("#total").innerText(), new RegExp(`^Together ${sum.toFixed(2)}\\sEUR$`));
  const prices = await page.locator("#parts-list tbody tr:not(:first-child)").evaluateAll((rows) => rows.map((row) => [...row.cells].slice(1).map((cell) => Number(cell.innerText))));
  for (const [count, each, cost] of prices) assert.ok(Math.abs(count * each - cost) < 0.005);
  // The belt of X, dearer and stiffer.
  await into(page, "X axis", "Travel");
  await page.locator("details.turn, #turn").first().waitFor();
  await page.locator("summary", { hasText: "Turn it by hand" }).click();
  await page.locator("button", { hasText: /^Pin/ }).first().click();
  await settle(page);
  await back(page);
  await page.locator("#alternatives li", { hasText: "X axis, Travel" }).waitFor();
  await page.locator("#alternatives", { hasText: "With all of them" }).waitFor();
});

test("an answer is marked with date and note, goes off the list, grows stale, and the mark is taken back", async (t) => {
  const { page } = await example(t);
  const left = () => page.locator("#to-prove > [data-check=unproven]", { hasText: "Y axis" }).locator("p").first().innerText();
  const before = await left();
  assert.match(before, /Y axis: 0 of its \d+ main answers are proven/);
  await into(page, "Y axis", "Travel");
  await page.locator("#mark-answer").selectOption("turn_travel");
  await page.locator("#mark-how").selectOption("proven");
  await page.locator("#mark-date").fill("2026-03-04");
  await page.locator("#mark-note").fill('dial gauge, "150 mm"; twice');
  await page.locator("button", { hasText: "Mark it" }).click();
  const mark = page.locator("#marks li");
  assert.match(await mark.innerText(), /Travel per motor turn 32\.0000\smm: Proven, 2026-03-04, dial gauge, "150 mm"; twice/);
  await back(page);
  assert.equal(await left(), before.replace("0 of", "1 of"));
  await settle(page);
  await reload(page);
  assert.equal(await left(), before.replace("0 of", "1 of"));
  // What changes after the proof is to be proven again.
  await into(page, "Y axis", "Travel");
  await type(page, { teeth: "18" });
  await page.locator("#marks .why", { hasText: "prove it again" }).waitFor();
  await type(page, { teeth: "16" });
  await page.locator("#marks .why").waitFor({ state: "detached" });
  await page.locator("button", { hasText: "Take this mark off" }).click();
  await mark.waitFor({ state: "detached" });
  await press(page, "Undo");
  await mark.waitFor();
  await fits(page, "the marks");
});

test("a link opens in a fresh browser with the same answers, once; what is here stays", async (t) => {
  const one = await example(t);
  await into(one.page, "X axis", "Travel");
  await type(one.page, { teeth: "24" });
  await back(one.page);
  const lines = (page) => page.locator("[data-part] .sheets a.machine span").allInnerTexts();
  const address = await link(one.page);
  assert.ok(address.length < 2000, `${address.length} characters`);
  const two = await open(t, { path: "#" + address.split("#")[1], site: one.site, profile: QUIET });
  await two.page.locator("#machine-title", { hasText: /^Heron 160$/ }).waitFor();
  assert.deepEqual(await lines(two.page), await lines(one.page));
  const texts = await lines(two.page);
  assert.ok(texts.length > 40 && texts.some((text) => text.includes("48.0000")));
  await settle(two.page);
  await reload(two.page);
  assert.deepEqual(await lines(two.page), texts);
  // Opened again it is only shown.
  await two.page.goto(address);
  await notice(two.page, "is here already");
  assert.equal((await machines(two.page)).length, 1);
  // Its cut and changed forms and one of a later version change nothing.
  const kept = await machines(two.page);
  for (const [text, words] of [
    [address.slice(0, -30), "cut or changed on its way"],
    [address.replace("&d=", "&d=A"), "cut or changed on its way"],
    [address.replace("?v=1", "?v=7"), "made by a newer version"],
  ]) {
    await two.page.goto(text);
    await notice(two.page, words);
    assert.deepEqual(await machines(two.page), kept);
  }
});

/** The text of the QR code on the page, read from its picture by a reader that is not ours. */
async function read(page) {
  const code = page.locator("#code svg");
  await code.waitFor();
  const pixels = await code.evaluate(async (svg) => {
    const side = 900;
    const copy = svg.cloneNode(true);
    copy.setAttribute("xmlns", "http://www.w3.org/2000/svg");
    copy.setAttribute("width", side);
    copy.setAttribute("height", side);
    for (const path of copy.querySelectorAll("path")) path.setAttribute("fill", getComputedStyle(svg.querySelector(`.${path.getAttribute("class")}`)).fill);
    const image = new Image();
    image.src = "data:image/svg+xml," + encodeURIComponent(new XMLSerializer().serializeToString(copy));
    await image.decode();
    const canvas = document.createElement("canvas");
    canvas.width = canvas.height = side;
    const paper = canvas.getContext("2d");
    paper.drawImage(image, 0, 0);
    // One byte a pixel, as text: as a list of numbers it would take fifty times as long to hand over.
    const { data } = paper.getImageData(0, 0, side, side);
    let green = "";
    for (let at = 1; at < data.length; at += 4) green += String.fromCharCode(data[at]);
    return { side, green: btoa(green) };
  });
  const data = new Uint8ClampedArray(pixels.side ** 2 * 4).fill(255);
  for (const [at, green] of Buffer.from(pixels.green, "base64").entries()) data.fill(green, 4 * at, 4 * at + 3);
  return jsQR(data, pixels.side, pixels.side)?.data;
}

test("the code is read back as the link, at night too", async (t) => {
  const { page } = await example(t, { profile: { colorScheme: "dark" } });
  const address = await link(page);
  await page.locator("button", { hasText: "Show as a code" }).click();
  assert.equal(await read(page), address);
  await fits(page, "the code");
  await accessible(page, "the code");
});

test("the codes of a large machine are read one by one, in any order, and come together once", async (t) => {
  const names = ["Frame", "Crane of many odd words, unlike any other 8346", "Hot end 4172-93 zq jx vw kp"];
  const one = await built(t, "Wrybill ÄÖÜ 7391-4402 qx", names);
  await part(one.page, "Frame").locator("summary", { hasText: "Change this part" }).click();
  let long = "";
  for (let at = 0; at < 26; at += 1) long += `${String.fromCharCode(97 + ((at * 7) % 26))}${(at * 7919) % 9973}-`;
  for (const [at, name] of names.entries()) {
    await into(one.page, name, "Travel");
    await page_note(one.page, `${long}${at}${[...long].reverse().join("")}${(at + 3) * 7919}`.repeat(2).split("").map((c, n) => (n % 5 === at ? String.fromCharCode(97 + ((n * n * 31 + at) % 26)) : c)).join(""));
    await back(one.page);
  }
  const address = await link(one.page);
  await one.page.locator("button", { hasText: "Show as a code" }).click();
  const texts = [await read(one.page)];
  for (;;) {
    await one.page.locator("button", { hasText: "Next code" }).click();
    await settle(one.page);
    const text = await read(one.page);
    if (text === texts[0]) break;
    texts.push(text);
  }
  assert.ok(texts.length > 1 && texts.every((text) => text.includes("&p=")), `${texts.length} codes`);
  assert.match(await one.page.locator("#code figcaption").innerText(), new RegExp(`Code 1 of ${texts.length}`));
  // What the camera reads arrives as this event; the last one first, one twice.
  const two = await open(t, { path: "#machines", site: one.site, profile: QUIET });
  for (const text of [...texts].reverse().concat(texts[0]).slice(0, -1)) {
    await two.page.evaluate((text) => dispatchEvent(Object.assign(new Event("layshaft:code"), { text })), text);
  }
  await two.page.locator("#machine-title", { hasText: "Wrybill" }).waitFor();
  assert.equal(await link(two.page), address);
});

/** Types into the entry that takes any words. */
async function page_note(page, text) {
  await page.locator("#f-teeth").fill(text);
}

test("where the browser reads no codes there is no button for it, and where it may not see it says so", async (t) => {
  const none = await open(t, { path: "#machines", profile: QUIET, before: (page) => page.addInitScript(() => delete globalThis.BarcodeDetector) });
  await none.page.locator("#new-machine").waitFor();
  assert.equal(await none.page.locator("button", { hasText: "camera" }).count(), 0);
  const before = (page) =>
    page.addInitScript(() => {
      globalThis.BarcodeDetector = class {
        async detect() {
          return [{ rawValue: globalThis.code }];
        }
      };
      navigator.mediaDevices.getUserMedia = async () => {
        if (globalThis.refuse) throw new DOMException("no", "NotAllowedError");
        return document.createElement("canvas").captureStream(5);
      };
      HTMLMediaElement.prototype.play = async () => {};
    });
  const { page } = await open(t, { path: "#machines", profile: QUIET, before });
  await page.evaluate(() => (globalThis.refuse = true));
  await page.locator("button", { hasText: "Read a code with the camera" }).click();
  await page.locator("#seen", { hasText: "The camera was not allowed" }).waitFor();
  // Allowed, it reads: first something else, then a machine.
  await page.evaluate(() => ((globalThis.refuse = false), (globalThis.code = "https://example.org/")));
  await page.locator("button", { hasText: "Read a code with the camera" }).click();
  await page.locator("#seen", { hasText: "holds no machine" }).waitFor();
  await page.evaluate((code) => (globalThis.code = code), FIRST);
  await page.locator("#machine-title").waitFor();
  await page.locator("h2", { hasText: "Oven <b>" }).waitFor();
  assert.equal(await page.locator("#camera").count(), 0);
});

/** A machine's link of the first version, as core's own test keeps it; its last part is called "Oven <b>". */
const FIRST = "http://localhost/#machine?v=1&d=G-XtcPSXkn6wq9WHkgJf13JHNWlI3IYo8qoJy4m0ifE77sPUUpLFLwh0QuPBpwQyHtn4&k=a90f";

test("two parts of one name keep apart, and a script in a name is text", async (t) => {
  const script = "\"><img src=x onerror=document.title='broken'><script>alert(1)</script>";
  const { page } = await built(t, script, ["Z axis", "Z axis", script]);
  const twins = page.locator("[data-part]", { has: page.locator("h2", { hasText: /^Z axis/ }) });
  assert.equal(await twins.count(), 2);
  await page.locator("[data-part='1'] summary", { hasText: "Add a sheet" }).click();
  await page.locator("[data-part='1'] details a.machine", { hasText: "Travel" }).first().click();
  await type(page, { pitch: "2", teeth: "20" });
  await back(page);
  assert.equal(await page.locator("[data-part='0'] .sheets li").count(), 0);
  assert.match(await page.locator("[data-part='1'] .sheets").innerText(), /40\.0000/);
  assert.equal(await page.locator("#machine-title").textContent(), script);
  assert.equal(await page.locator("main script, main img").count(), 0);
  assert.ok(!(await page.title()).includes("broken"));
  await fits(page, "a script");
  const address = await link(page);
  await page.locator("button", { hasText: "Delete machine" }).click();
  await page.locator("#new-machine").waitFor();
  await page.goto(address);
  await page.locator("#machine-title").waitFor();
  assert.equal(await page.locator("[data-part]").count(), 3);
  assert.equal(await page.locator("main script, main img").count(), 0);
});

for (const colorScheme of ["light", "dark"]) {
  for (const [width, height] of SIZES) {
    test(`machine, sheet of a part and parts list can be used by everybody (${width} px, ${colorScheme})`, async (t) => {
      const { page } = await example(t, { width, height, profile: { colorScheme } });
      for (const summary of await page.locator("summary").all()) await summary.click();
      await accessible(page, "machine");
      await fits(page, "machine");
      await into(page, "Y axis", "Motor current");
      await accessible(page, "sheet of a part");
      await back(page);
      await page.locator("a", { hasText: "Parts list and proof of Y axis" }).click();
      await page.locator("#f-items").waitFor();
      await accessible(page, "parts list");
      await fits(page, "parts list");
    });
  }
}

// The frame and its set-up at the bench: masses, guides, beams, brackets, reach, height and switches, good entries and bad.
import assert from "node:assert/strict";
import { test } from "node:test";
import { open } from "./harness.mjs";
import { accessible, collisions, drawingKeeps, drawnWords, fits, sane, sheet, type } from "./steps.mjs";
import { ask, same } from "./twin.mjs";

/** A desktop printer with a bed on two rods: what each sheet is asked about it. */
const RODS = {
  rods: "2", rod_diameter: "10", rod_length: "350", bearing_spacing: "70", clearance: "15", position: "20", travel: "180",
  bed_mass: "1.3", print_mass: "0.25", overhang: "118", reach: "228", arms: "2", arm_width: "20", arm_height: "20",
  arm_modulus: "69", price_rods: "17.5",
};
const BEAM = { width: "20", height: "30", span: "240", load: "14" };
const JOINT = {
  torque: "3.5", screws: "2", spacing: "45", moment: "1.8", shear: "16", head: "10", hole: "5.5", pressure_limit: "90",
};
const REACH = {
  frame_x: "330", body_x: "64", low_intrusion_x: "12", bed_x: "220", bed_offset_x: "52", nozzle_offset_x: "26",
  switch_gap_x: "-20", probe_x: "-26", margin_x: "1", frame_y: "410", body_y: "118", bed_y: "220", bed_offset_y: "-110",
  nozzle_at_y: "195",
};
const HEIGHT = {
  trigger: "1.62", gauge: "0.1", bed_cold: "21", bed_hot: "85", column: "28", layer: "0.2", full_step: "50",
};

/** One case of each sheet: entries, choices, the answers compared with the headless twin, and words of its drawing. */
const CASES = {
  mass: [
    { items: "hot end,190,1,x;motor,285,2,y;bed,950,1,z;frame,760,4,fixed" }, {},
    ["x", "y", "z", "total"], ["4 × frame", "64\u00a0%"],
  ],
  rods: [RODS, { rod_ends: "fixed" }, ["sag", "sag_change_travel", "sag_change_print", "frequency"],
    ["times as far", "travel 180\u00a0mm", "supports at both ends", "for 17.5"]],
  beam: [BEAM, { material: "petg" }, ["deflection", "deflection_crept", "stress", "safety", "mass"],
    ["neutral axis", "height 30\u00a0mm", "times as far", "load 14\u00a0N"]],
  joint: [JOINT, { size: "m5", grade: "8.8" }, ["preload", "proof_used", "screw_load", "slip_margin", "pressure"],
    ["2 × M5 8.8", "more each", "hole ⌀ 5.5"]],
  reach: [REACH, { moves_y: "bed", home_at_y: "high" }, ["home_position_x", "printable_x", "lost_low_x", "max_y", "probe_max_x"],
    ["frame 330 × 410\u00a0mm", "X prints 200\u00a0mm, lost: low 20\u00a0mm", "home at X 20\u00a0mm"]],
  height: [HEIGHT, {}, ["probe_height", "growth", "growth_layers"], ["when the probe fires", "the tip 1.720\u00a0mm above", "full steps"]],
  switch: [{ supply_volts: "5", input_max: "5.5" }, { contact: "nc", seen_released: "high", seen_pressed: "high" }, [],
    ["pull-up", "NC: opens", "the axis stops", "what was seen"]],
};

const query = (id) => {
  const [entries, choices] = CASES[id];
  return `${id}?${Object.entries({ ...entries, ...choices }).map((pair) => pair.join("=")).join("&")}`;
};

/** What the headless twin of the page answers to each case. */
const TWIN = Object.fromEntries(ask(Object.keys(CASES).map(query)).map((reply) => [reply.sheet, reply]));

const drawn = (page) => page.locator("#drawing svg").count();

/** Fills a sheet in as a person does: choices first, for they decide what else is asked. */
async function fill(page, id) {
  const [entries, choices] = CASES[id];
  for (const [key, value] of Object.entries(choices)) await page.locator(`#f-${key}`).selectOption(value);
  if (id !== "mass") return type(page, entries);
  const rows = entries.items.split(";").map((row) => row.split(","));
  for (const [at, [name, mass, count, group]] of rows.entries()) {
    const row = page.locator("#f-items tbody tr").nth(at);
    if (!(await row.count())) await page.locator("[data-click^=add-row]").click();
    for (const [column, text] of [name, mass, count].entries()) await row.locator("input").nth(column).fill(text);
    await row.locator("select").selectOption(group);
  }
}

/** Every answer and check as the twin has it. */
async function agrees(page, id) {
  const keys = CASES[id][2];
  for (const key of keys) assert.equal(typeof TWIN[id].answers[key]?.value, "number", `the twin has ${key}`);
  assert.ok((await same(page, TWIN[id], id)) >= keys.length);
}

for (const id of Object.keys(CASES)) {
  test(`${id} is filled in, agrees with the headless twin, is drawn, and stays after a reload`, async (t) => {
    const { page } = await open(t, { path: `#${id}` });
    if (id !== "switch") assert.equal(await drawn(page), 0, "nothing is drawn before anything is known");
    await fill(page, id);
    await drawingKeeps(page, id, CASES[id][3], agrees);
  });
}

test("a copied link brings each sheet with its drawing to somebody else", async (t) => {
  const profile = { permissions: ["clipboard-read", "clipboard-write"] };
  const first = await open(t, { profile });
  for (const id of Object.keys(CASES)) {
    await first.page.evaluate((hash) => (location.hash = hash), query(id));
    await first.page.locator("#drawing svg").waitFor();
    await first.page.locator("#copy").click();
    await first.page.getByText("The link is copied").waitFor();
    const link = await first.page.evaluate(() => navigator.clipboard.readText());
    const second = await open(t, { site: first.site, path: link.slice(first.site.url.length) });
    await agrees(second.page, id);
    assert.equal(await drawnWords(second.page), await drawnWords(first.page), id);
    await second.page.close();
    await first.page.reload();
  }
});

for (const colorScheme of ["light", "dark"]) {
  for (const [width, height] of [[360, 740], [1280, 800]]) {
    test(`axe finds nothing on the frame's sheets in ${colorScheme} at ${width} px`, async (t) => {
      const { page } = await open(t, { width, height, profile: { colorScheme } });
      for (const id of Object.keys(CASES)) {
        await page.evaluate((hash) => (location.hash = hash), query(id));
        await page.locator("#drawing svg").waitFor();
        await accessible(page, id);
        assert.deepEqual(await collisions(page), [], id);
      }
    });
  }
}

test("what cannot be is refused beside its entry, and nothing typed is lost", async (t) => {
  const { page } = await open(t);
  for (const [id, key, text, message, kept] of [
    ["rods", "position", "290", /Lower support to lower bearing.*past the rod's end; enter up to 280\smm/, "sag_arms"],
    ["rods", "travel", "300", /Travel upward.*past the rod's end; enter up to 260\smm/, "sag"],
    ["rods", "reach", "100", /far edge.*not below that to the bed's centre/, "moment"],
    ["rods", "arm_inertia", "0.7", /give width and height or the second moment, not both/, "moment"],
    ["beam", "height", "-3", /Height/, ""],
    ["beam", "modulus", "70", /give a material or its figures, not both/, "section_inertia"],
    ["joint", "preload", "900", /give the torque or the tension, not both/, "stress_area"],
    ["joint", "hole", "10", /Hole.*below the bearing diameter/, "preload"],
    ["reach", "bed_x", "331", /X: bed.*up to the frame's 330\smm inside/, "min_x"],
    ["reach", "body_x", "320", /does not fit into the frame; enter up to 318\smm/, "printable_y"],
    ["height", "column", "long", /Length that grows/, "probe_height"],
    ["switch", "input_max", "0", /Most the input stands/, "level_pressed"],
  ]) {
    const what = `${id}: ${key}=${text}`;
    await page.evaluate((hash) => (location.hash = hash), query(id));
    await page.locator("#drawing svg").waitFor();
    const others = await page.locator(".entries input:not([type=file])").evaluateAll((all) => all.map((input) => [input.id, input.value]));
    await page.locator(`#f-${key}`).fill(text);
    await page.locator(`#f-${key}`).blur();
    await page.locator(`#e-${key}:not(:empty)`).waitFor();
    assert.match(await page.locator(`#e-${key}`).innerText(), message, what);
    for (const [input, value] of others) {
      assert.equal(await page.locator(`#${input}`).inputValue(), input === `f-${key}` ? text : value, `${what}: ${input}`);
    }
    if (kept) assert.notEqual(await page.locator(`[data-answer="${kept}"]`).textContent(), "", `${what} keeps ${kept}`);
    await sane(page, what);
    await fits(page, what);
    await page.reload();
  }
});

test("a home switch outside the travel is said beside the headline and marked in the plan", async (t) => {
  const { page } = await open(t, { path: `#${query("reach")}` });
  await page.locator("#drawing svg").waitFor();
  assert.equal(await page.locator("#drawing svg circle.a").count(), 0);
  await page.locator("#f-switch_gap_x").fill("40");
  await page.locator("#drawing svg circle.a").waitFor();
  assert.equal(await page.locator("[data-check=home_position_x]").getAttribute("data-state"), "over");
  assert.match(await page.locator("#alarms").innerText(), /Home of X/);
  assert.match(await drawnWords(page), /does not come/);
});

test("a bed that moves is drawn with both ends of its way, one that stands is not", async (t) => {
  const { page } = await open(t, { path: `#${query("reach")}` });
  await page.locator("#drawing svg").waitFor();
  assert.equal(await page.locator("#drawing svg path.y").count(), 2);
  await page.locator("#f-moves_y").selectOption("nozzle");
  await page.locator("#f-bed_offset_y").fill("90");
  await page.locator("#drawing svg").waitFor();
  assert.equal(await page.locator("#drawing svg path.y").count(), 0);
  // Half a plan is no plan.
  await page.locator("#f-frame_y").fill("");
  await page.waitForFunction(() => !document.querySelector("#drawing svg"));
});

test("the guides bend with their load, and a stiffer choice has its price", async (t) => {
  const { page } = await sheet(t, "rods", { ...RODS, bed_mass: "" });
  assert.match(await drawnWords(page), /straight: masses, rods or arms are still missing/);
  await page.locator("#f-bed_mass").fill("1.3");
  assert.match(await drawnWords(page), /sags .* drawn \d+ times as far/);
  assert.match(await page.locator("#t-compare").innerText(), /rods of 12 mm/);
  assert.match(await page.locator("#t-compare_price").innerText(), /17\.5/);
  await page.locator("#f-layout").selectOption("both_ends");
  assert.match(await drawnWords(page), /to the centre 118/);
});

test("a printed arm says what creep does, metal does not", async (t) => {
  const { page } = await open(t, { path: `#${query("beam")}` });
  const creep = page.locator("[data-answer=deflection_crept]");
  await creep.waitFor();
  assert.match(await page.locator("#cautions").innerText(), /creeps.*common practice/s);
  await page.locator("#f-material").selectOption("steel");
  assert.equal(await creep.count(), 0);
  assert.doesNotMatch(await page.locator("#cautions").innerText(), /creeps/);
});

test("a probe that fires below the bed is cautioned before all entries", async (t) => {
  const { page } = await open(t, { path: `#${query("height")}` });
  await page.locator("#drawing svg").waitFor();
  assert.doesNotMatch(await page.locator("#alarms").innerText(), /probe fires/);
  await page.locator("#f-trigger").fill("-1.62");
  assert.match(await page.locator("#alarms").innerText(), /Danger: .*probe fires only when the nozzle is already in the bed/);
  assert.match(await drawnWords(page), /the tip 1\.520\smm below/);
});

test("each wiring has its circuit, levels, broken wire and likeliest fault", async (t) => {
  const { page } = await open(t, { path: "#switch" });
  const choose = async (choices) => {
    for (const [key, value] of Object.entries(choices)) await page.locator(`#f-${key}`).selectOption(value);
  };
  const shown = async (key) => page.locator(`[data-answer=${key}]`).textContent();
  for (const [choices, released, pressed, drawing] of [
    [{ contact: "nc", pull: "up", to: "ground" }, "low", "high", /pull-up.*NC: opens.*the axis stops/],
    [{ contact: "no", pull: "down", to: "supply" }, "low", "high", /pull-down.*NO: closes.*the axis runs on/],
    [{ contact: "no", pull: "none", to: "ground" }, "unsteady", "low", /no pull.*reads as anything/],
    [{ contact: "nc", pull: "up", to: "supply" }, "high", "high", /pressing changes nothing/],
    [{ contact: "sensor_low", pull: "down" }, "high", "low", /drives low.*the axis stops/],
  ]) {
    await choose(choices);
    assert.equal(await shown("level_released"), released, JSON.stringify(choices));
    assert.equal(await shown("level_pressed"), pressed, JSON.stringify(choices));
    assert.match(await drawnWords(page), drawing);
    assert.deepEqual(await collisions(page), []);
  }
  await choose({ contact: "nc", pull: "up", to: "ground", seen_released: "high", seen_pressed: "high" });
  assert.match(await shown("fault"), /never closes: a broken wire/);
  await choose({ seen_released: "low", seen_pressed: "low" });
  assert.match(await shown("fault"), /never opens/);
});

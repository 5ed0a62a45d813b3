// Motion and motors: each sheet's page answers as its headless twin, its drawing follows the entries, and the belt's
// frequency meter hears what is played to it.
import assert from "node:assert/strict";
import { test } from "node:test";
import { open } from "./harness.mjs";
import { agree } from "./twin.mjs";

const HEADROOM =
  "turn_travel=40&hold_torque=0.4&rated=1.5&set_rms=1.2&resistance=1.6&inductance=3&supply=24&speed=200&accel=3000&rotor_inertia=54";

const QUERIES = [
  "gears?stages=spur,20,60,97,6;belt,16,40&torque_in=0.4&speed_in=600&inertia_in=54&out_radius=10",
  "gears?stages=planetary,18,72,ring;worm,2,40&planets=4",
  "rate?axes=x,80,200;y,80,200;z,400,10&limit=100000&limit_each=40000",
  "rate?axes=a,80,200;b,80,150&layout=crossed",
  `headroom?mass=0.5&${HEADROOM}`,
  `headroom?layout=crossed&mass_x=0.3&mass_y=0.6&${HEADROOM}`,
  `headroom?mass=2&motors=2&wiring=series&${HEADROOM}`,
  "screw?thread=Tr8x8(P2)&load=2 kg&length=400&ends=fixed-simple&speed=20&layer=0.2",
  "screw?diameter=10&pitch=2&flank=14.5&load=30&mu=0.2&detent=0.01",
  "screw?thread=M8&load=10",
  "belt?mass_per_m=8.4&span=150&frequency=88&frequency_b=95&stiffness=9000&left=120&right=500&carriage=0.4&accel=3000&tension_max=12",
  "belt?mass_per_m=8.4&span=150&tension=6",
  "homing?speed=40&accel=1000&turn_travel=40&hold_torque=0.4&rated=1.5&set_rms=0.75&overtravel=0.6&microstep=12.5&mass=0.5",
  "coils?pairs=1,2,;1,3,2.8;2,4,2.7&lead=0.1&frame=42&depth=40&warm_ohm=3.2&turns_counted=200",
];

test("the seven sheets answer on the page as they do headless", async (t) => {
  const { page } = await open(t);
  const compared = await agree(page, QUERIES);
  assert.ok(compared > 80, `only ${compared} numbers were compared`);
});

const go = async (page, query) => {
  await page.evaluate((query) => (location.hash = `#${query}`), encodeURI(query));
  await page.waitForFunction((sheet) => location.hash === `#${sheet}`, query.split("?")[0]);
  await page.locator(".entries").waitFor();
};
const drawing = (page) => page.locator("#drawing svg").innerHTML();
/** Types into an entry. */
const fill = (page, key, text) => page.locator(`#f-${key}`).fill(text);

test("pitch circles follow the teeth that are typed", async (t) => {
  const { page } = await open(t, { path: "#gears" });
  assert.equal(await page.locator("#drawing svg").count(), 0, "nothing is drawn before anything is known");
  const row = page.locator("#f-stages tbody tr").first();
  await row.locator("select").selectOption("spur");
  const ratio = async (first, second) => {
    await row.locator("input").nth(0).fill(first);
    await row.locator("input").nth(1).fill(second);
    const radii = await page.locator("#drawing circle.c").evaluateAll((all) => all.map((circle) => +circle.getAttribute("r")));
    assert.equal(radii.length, 2);
    return radii[1] / radii[0];
  };
  assert.ok(Math.abs((await ratio("20", "60")) - 3) < 0.02);
  assert.ok(Math.abs((await ratio("20", "36")) - 1.8) < 0.01);
  // A bad count takes the drawing away and says what to enter.
  await row.locator("input").nth(1).fill("many");
  assert.equal(await page.locator("#drawing svg").count(), 0);
  await page.locator("#e-stages:not(:empty)").waitFor();
});

test("each drawing follows its entries and goes when they cannot be read", async (t) => {
  const { page } = await open(t);
  for (const [query, key, other, bad] of [
    ["screw?diameter=8&pitch=2&load=20&length=300", "pitch", "1", "x"],
    ["screw?diameter=8&pitch=2&load=20&length=300", "flank", "30", undefined],
    ["belt?mass_per_m=8&span=150&frequency=88&frequency_b=90", "frequency_b", "120", undefined],
    ["homing?speed=40&accel=1000&overtravel=1", "speed", "60", "-x"],
    ["coils?pairs=1,3,2.8;2,4,2.8;1,2,&frame=42&depth=40", "depth", "60", undefined],
  ]) {
    await go(page, query);
    const before = await drawing(page);
    assert.ok(before.length > 200, query);
    await fill(page, key, other);
    const after = await drawing(page);
    assert.notEqual(after, before, `${query}: ${key}`);
    assert.doesNotMatch(after, /NaN|inf|undefined/);
    if (bad) {
      await fill(page, key, bad);
      assert.equal(await page.locator("#drawing svg").count(), 0, `${query}: ${key}=${bad}`);
    }
  }
});

test("the torque curve has today's point, what is in hand and the end of trust", async (t) => {
  const { page } = await open(t);
  await go(page, `headroom?mass=0.5&${HEADROOM}`);
  const chart = page.locator("#p-curve svg");
  const text = await chart.textContent();
  assert.match(text, /your speed/);
  assert.match(text, /trust ends/);
  const inHand = Number.parseFloat(await page.locator("[data-answer=in_hand]").textContent());
  assert.ok(text.includes(`${inHand} × needed`), text);
  // The point stands where the two lines say: available over needed, by their heights above the axis.
  const [available, needed] = await chart.evaluate((svg) => {
    const dots = [...svg.querySelectorAll("circle.f")].map((dot) => +dot.getAttribute("cy"));
    return [Math.min(...dots), Math.max(...dots)];
  });
  assert.ok(available < needed - 500, `${available} ${needed}`);
});

test("a screw that drops its load says so beside the headline", async (t) => {
  const { page } = await open(t);
  await go(page, "screw?thread=Tr8x8(P2)&load=20&mu=0.1");
  assert.match(await page.locator("#alarms").innerText(), /Danger: .*falls and crushes/);
  await fill(page, "mu", "0.8");
  assert.doesNotMatch(await page.locator("#alarms").innerText(), /falls and crushes/);
});

test("a person with a meter is led to a first current", async (t) => {
  const { page } = await open(t, { path: "#coils" });
  const motor = { "1 3": "2.8", "2 4": "2.7" };
  const grid = page.locator("#f-pairs");
  for (let row = 0; row < 8; row += 1) {
    const next = await page.locator("[data-answer=next]").innerText();
    const asked = next.match(/read lead (\d+) against lead (\d+)/);
    // The same stands in the headline, in sight while readings are typed.
    const headline = await page.locator("#headline [data-answer=read_next]").innerText();
    assert.equal(headline, asked ? `${asked[1]} and ${asked[2]}` : "all read");
    if (!asked) break;
    if (row > 2) await grid.getByText("Add a row").click();
    const cells = grid.locator("tbody tr").nth(row).locator("input");
    await cells.nth(0).fill(asked[1]);
    await cells.nth(1).fill(asked[2]);
    await cells.nth(2).fill(motor[`${asked[1]} ${asked[2]}`] ?? "");
  }
  assert.match(await page.locator("[data-answer=next]").innerText(), /Measure the face and the depth/);
  await fill(page, "frame", "42");
  await fill(page, "depth", "40");
  assert.match(await page.locator("[data-answer=next]").innerText(), /^Set the driver to [\d.]+ A RMS or less/);
  assert.match(await page.locator("#drawing svg").textContent(), /coil A.*2.8 Ω.*coil B.*2.7 Ω.*first current/);
});

test("what cannot be is told in words, and no NaN is shown", async (t) => {
  const { page } = await open(t);
  for (const [query, key, words] of [
    ["headroom?mass=-1", "mass", /Moving mass: enter /],
    ["headroom?turn_travel=0", "turn_travel", /Travel per motor turn: enter /],
    ["screw?thread=Tr8x3(P2)", "thread", /Thread designation: /],
    ["gears?stages=planetary,72,18,ring", "stages", /ring of more than 72 teeth/],
    ["rate?layout=crossed&axes=x,80,200", "axes", /two/],
  ]) {
    await go(page, query);
    const message = page.locator(`#e-${key}`);
    await page.locator(`#e-${key}:not(:empty)`).waitFor();
    assert.match(await message.innerText(), words, query);
    assert.doesNotMatch(await page.locator("main").innerText(), /NaN|\binf\b/, query);
  }
  // A supply below the voltage at standstill: less torque than the set current would give, and a check that says so.
  await go(page, `headroom?mass=0.5&${HEADROOM.replace("supply=24", "supply=1.5")}`);
  assert.match(await page.locator("[data-answer=corner_speed]").textContent(), /^0/);
  assert.equal(await page.locator("[data-check=trust]").getAttribute("data-state"), "near");
});

/** A microphone that hears oscillators: harmonics, each an amplitude, and noise; `window.mic` has its stream. */
const microphone = (page) =>
  page.addInitScript(() => {
    window.play = { hz: 0, harmonics: [], noise: 0 };
    navigator.mediaDevices.getUserMedia = async (asked) => {
      window.asked = asked;
      const context = new AudioContext();
      const ear = context.createMediaStreamDestination();
      const { hz, harmonics, noise } = window.play;
      for (const [index, amplitude] of harmonics.entries()) {
        const oscillator = new OscillatorNode(context, { frequency: hz * (index + 1) });
        oscillator.connect(new GainNode(context, { gain: amplitude * 0.1 })).connect(ear);
        oscillator.start();
      }
      const buffer = context.createBuffer(1, 4 * context.sampleRate, context.sampleRate);
      const samples = buffer.getChannelData(0);
      for (let i = 0; i < samples.length; i += 1) samples[i] = noise * 0.1 * (2 * Math.random() - 1);
      const hiss = new AudioBufferSourceNode(context, { buffer, loop: true });
      hiss.connect(ear);
      hiss.start();
      window.mic = ear.stream;
      return ear.stream;
    };
  });

const heard = async (page) => Number.parseFloat((await page.locator("#hz").textContent()) || "0");

test("the meter hears a tone within 0.5 %, and an entry takes it", async (t) => {
  const { page } = await open(t, { path: "#belt", before: microphone });
  await fill(page, "mass_per_m", "8.4");
  await fill(page, "span", "150");
  assert.equal(await page.evaluate(() => window.asked), undefined, "nothing listens until it is asked for");
  for (const [hz, harmonics, noise, key] of [
    [88.3, [1, 0.4, 0.2], 0, "frequency"],
    // Harmonics louder than the fundamental, one without it, and noise as loud as a third of the tone.
    [61.7, [0.2, 1, 0.6], 0, "frequency_b"],
    [121, [0, 1, 0.7, 0.4], 0, "frequency"],
    [205, [1, 0.5], 0.5, "frequency_b"],
  ]) {
    await page.evaluate((play) => (window.play = play), { hz, harmonics, noise });
    await page.locator("#listen").click();
    await page.waitForFunction(
      (hz) => Math.abs(Number.parseFloat(document.getElementById("hz").textContent || "0") / hz - 1) < 0.005,
      hz,
      { timeout: 8000 },
    );
    await page.locator(`[data-click="take ${key}"]`).click();
    const taken = Number.parseFloat(await page.locator(`#f-${key}`).inputValue());
    assert.ok(Math.abs(taken / hz - 1) < 0.005, `${taken} for ${hz}`);
    const level = await page.locator("#loud").getAttribute("value");
    assert.ok(Number(level) > 20, `level ${level}`);
    await page.locator("#listen").click();
    const states = await page.evaluate(() => window.mic.getTracks().map((track) => track.readyState));
    assert.deepEqual(states, ["ended"], "the microphone is closed at once");
    assert.equal(await page.locator("#listen").innerText(), "Listen");
  }
  assert.deepEqual(await page.evaluate(() => window.asked), {
    audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false },
  });
  assert.match(await page.locator("[data-answer=tension]").textContent(), /N/);
});

test("noise alone is no tone, and a page that is left no longer listens", async (t) => {
  const { page } = await open(t, { path: "#belt", before: microphone });
  await page.evaluate(() => (window.play = { hz: 0, harmonics: [], noise: 1 }));
  await page.locator("#listen").click();
  await page.waitForFunction(() => Number(document.getElementById("loud").getAttribute("value")) > 20);
  await page.waitForTimeout(1500);
  assert.equal(await heard(page), 0);
  assert.equal(await page.locator('[data-click="take frequency"]').isDisabled(), true);
  await page.evaluate(() => (location.hash = "#screw"));
  await page.locator("#f-thread").waitFor();
  const states = await page.evaluate(() => window.mic.getTracks().map((track) => track.readyState));
  assert.deepEqual(states, ["ended"]);
});

test("a microphone that is refused or missing is told in words", async (t) => {
  for (const [name, words] of [["NotAllowedError", /not allowed/], ["NotFoundError", /No microphone/], ["AbortError", /could not be opened/]]) {
    const before = (page) =>
      page.addInitScript((name) => {
        navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException("no", name));
      }, name);
    const { page } = await open(t, { path: "#belt", before });
    await page.locator("#listen").click();
    await page.locator("#hear-say").filter({ hasText: words }).waitFor();
    assert.equal(await page.locator("#listen").innerText(), "Listen");
  }
});

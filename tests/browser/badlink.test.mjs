// Links that were cut, changed, come from another version or hold what this page does not know: opened as far as they can
// be, said in words, and never at the cost of what was typed before.
import assert from "node:assert/strict";
import { test } from "node:test";
import { open } from "./harness.mjs";
import { BELT, answer, fits, notice, press, reload, save, settle, sheet, stored, type } from "./steps.mjs";

const LINK = "#travel?v=1&drive=belt&pitch=2&teeth=20&gears=1&step=1.8&micro=16&span=300";
/** The same with its check digits, as the page copies it. */
const WHOLE = `${LINK}&k=56ba`;
const link = (t, fragment, options = {}) => open(t, { path: fragment, profile: { reducedMotion: "reduce" }, ...options });

test("a whole link opens quietly, and the address becomes the sheet's own", async (t) => {
  const { page } = await link(t, WHOLE);
  await answer(page, "turn_travel", "40.0000");
  assert.equal(await page.locator(".notice").count(), 0);
  assert.equal(await page.evaluate(() => location.hash), "#travel");
  await type(page, { teeth: "16" });
  await reload(page);
  await answer(page, "turn_travel", "32.0000");
});

test("a link whose check digits do not fit says so, and shows what could be read", async (t) => {
  const { page } = await link(t, `${LINK}&k=0000`);
  await notice(page, "check digits do not fit");
  await answer(page, "turn_travel", "40.0000");
});

test("a link cut in half says so, and shows what could be read", async (t) => {
  const { page } = await link(t, LINK.slice(0, LINK.length / 2));
  await notice(page, "cut");
  assert.equal(await page.locator("#f-pitch").inputValue(), "2");
});

test("unknown keys are named, kept and stored", async (t) => {
  const { page } = await link(t, `${LINK}&colour=red`);
  await notice(page, "no entry “colour”");
  await answer(page, "turn_travel", "40.0000");
  await settle(page);
  assert.match((await stored(page))["layshaft/loose"], /colour=red/);
});

test("a link of another version says so, and shows what could be read", async (t) => {
  const { page } = await link(t, LINK.replace("v=1", "v=9"));
  await notice(page, "of version 9");
  await answer(page, "turn_travel", "40.0000");
});

test("a link to a sheet that is not there says so, and lists those that are", async (t) => {
  const { page } = await link(t, "#warp?v=1&factor=9");
  await notice(page, "no sheet “warp”");
  await page.locator("a", { hasText: "Travel" }).first().waitFor();
});

test("a fragment that is nothing says so, and lists the sheets", async (t) => {
  const { page } = await link(t, "#no/such/page");
  await page.locator("main", { hasText: "no/such/page" }).waitFor();
  await page.locator("a", { hasText: "Travel" }).first().waitFor();
});

const HOSTILE = {
  script: "%22%3E%3Cscript%3Edocument.title%3D1%3C/script%3E",
  image: "%3Cimg%20src%3Dx%20onerror%3Dalert(1)%3E",
  "ten thousand letters": "9".repeat(10_000),
  "bytes that are no text": "%FF%FE%00",
  "a broken percent": "%G1%",
  "not a number": "NaN",
  "a huge number": "1e999",
  "one by zero": "1/0",
};
for (const [what, text] of Object.entries(HOSTILE)) {
  test(`a link with ${what} for the pitch opens with a message beside the field`, async (t) => {
    const { page } = await link(t, `#travel?v=1&pitch=${text}&teeth=20`);
    await page.locator("#e-pitch").filter({ hasText: "Belt pitch: " }).waitFor();
    assert.equal(await page.locator("#f-teeth").inputValue(), "20");
    assert.equal(await page.locator("main script, main img").count(), 0);
    assert.doesNotMatch(await page.locator("main .head").innerText(), /NaN|inf/i);
    await fits(page, what);
  });
}

test("marks that turn the direction of writing change nothing in a number", async (t) => {
  const { page } = await link(t, "#travel?v=1&pitch=%E2%80%AE2%E2%80%AC&teeth=20");
  await answer(page, "turn_travel", "40.0000");
});

test("what stood in the sheet before is brought back, also after a reload, and that can be undone", async (t) => {
  const { page } = await sheet(t, "travel", { pitch: "3", teeth: "zwanzig" });
  await settle(page);
  await page.evaluate((hash) => (location.hash = hash), LINK);
  await answer(page, "turn_travel", "40.0000");
  await notice(page, "What stood in this sheet before is kept");
  await reload(page);
  await notice(page, "What stood in this sheet before is kept");
  await press(page, "Bring back what was here");
  await page.waitForFunction(() => document.getElementById("f-pitch").value === "3");
  assert.equal(await page.locator("#f-teeth").inputValue(), "zwanzig");
  await press(page, "Undo");
  await answer(page, "turn_travel", "40.0000");
  await notice(page, "What stood in this sheet before is kept");
});

test("links that were only looked at do not pile up; what was typed outlives them all", async (t) => {
  const { page, site } = await sheet(t, "travel", { pitch: "3", teeth: "30" });
  await settle(page);
  for (const teeth of [20, 21, 22]) {
    await page.goto(`${site.url}${LINK.replace("teeth=20", `teeth=${teeth}`)}`);
    await page.waitForFunction((teeth) => document.getElementById("f-teeth")?.value === String(teeth), teeth);
  }
  await press(page, "Bring back what was here");
  await page.waitForFunction(() => document.getElementById("f-teeth").value === "30");
  assert.equal(await page.locator(".notice", { hasText: "is kept" }).count(), 0);
});

test("what stood before is forgotten only when asked, and that can be undone", async (t) => {
  const { page, site } = await sheet(t, "travel", { pitch: "3", teeth: "30" });
  await settle(page);
  await page.goto(site.url + LINK);
  await press(page, "Forget it");
  await settle(page);
  assert.equal((await stored(page))["layshaft/before/travel"], undefined);
  await press(page, "Undo");
  await press(page, "Bring back what was here");
  await page.waitForFunction(() => document.getElementById("f-teeth").value === "30");
});

test("opening a link never changes a saved machine", async (t) => {
  const { page, site } = await sheet(t, "travel", BELT);
  await save(page, "Heron 160", "X axis");
  await settle(page);
  const before = Object.entries(await stored(page)).filter(([key]) => key.includes("/machine/"));
  await page.goto(site.url + LINK.replace("teeth=20", "teeth=16"));
  await answer(page, "turn_travel", "32.0000");
  await settle(page);
  assert.deepEqual(Object.entries(await stored(page)).filter(([key]) => key.includes("/machine/")), before);
});

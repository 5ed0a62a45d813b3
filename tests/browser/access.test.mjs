// The list and the sheets before axe-core, which checks WCAG 2.2 A and AA and good practice, in both themes.
import assert from "node:assert/strict";
import { test } from "node:test";
import { open } from "./harness.mjs";
import { launch, serve } from "./site.mjs";
import { accessible, fits } from "./steps.mjs";
import { show, views } from "./views.mjs";

/** Pages with something on each: entries that are right and wrong, checks, charts, a grid, cautions, alarms. */
const PAGES = {
  "": "#sheets",
  "travel?v=1&pitch=2&teeth=x": "#f-pitch",
  "microstep?v=1&turn_travel=40&hold_torque=0.4&load_torque=0.5": "#x-curve",
  "current?v=1&rated=1.5&resistance=2.2&set=100%25&supply=3&mount_limit=60&motors=2&wiring=parallel": "#f-rated",
  "sensor?v=1&kind=points&points=25,100000;60,24893;100,6976&pullup=4k7&value=560&as=beta&as_r25=100k&as_beta=3435": "#x-table",
  "travel?v=1&pitch=2%20%C2%B1%200.01&teeth=20&cost=x&solve=teeth&for=turn_travel:41&sweep=pitch:1:3&of=turn_travel&pin=pitch%3D3%26teeth%3D16":
    "#x-swept",
  "gears?v=1&stages=spur,20,60;planetary,18,72,ring&planets=4": "#drawing svg",
  "headroom?v=1&mass=0.5&turn_travel=40&hold_torque=0.4&rated=1.5&set_rms=1.2&resistance=1.6&inductance=3&supply=24&speed=200&accel=3000": "#x-curve",
  "screw?v=1&thread=Tr8x8(P2)&load=20&mu=0.1&length=400": "#drawing svg",
  "belt?v=1&mass_per_m=8.4&span=150&frequency=88": "#listen",
  "homing?v=1&speed=40&accel=1000&overtravel=0.5": "#drawing svg",
  "coils?v=1&pairs=1,2,;1,3,2.8&frame=42&depth=40": "#drawing svg",
  "nothing/here": "#sheets",
  machines: "#new-machine",
};

for (const colorScheme of ["light", "dark"]) {
  for (const [width, height] of [[360, 740], [1280, 800]]) {
    test(`axe finds nothing in ${colorScheme} at ${width} px`, async (t) => {
      const { page } = await open(t, { width, height, profile: { colorScheme } });
      for (const [path, mark] of Object.entries(PAGES)) {
        await page.evaluate((path) => (location.hash = path), path);
        await page.locator(mark).waitFor();
        if (path.startsWith("sensor")) await page.locator("summary").first().click();
        await accessible(page, path || "the list");
      }
    });
  }
}

for (const [colorScheme, width, height] of [["light", 360, 740], ["dark", 1280, 800]]) {
  test(`axe finds nothing on any page there is, ${colorScheme}, ${width} px`, async (t) => {
    const [site, browser] = [await serve(), await launch([])];
    t.after(() => Promise.all([browser.close(), site.stop()]));
    const context = await browser.newContext({ viewport: { width, height }, colorScheme, serviceWorkers: "block", reducedMotion: "reduce" });
    const page = await context.newPage();
    const found = [];
    let seen = 0;
    for (const [name, view] of Object.entries(views())) {
      await show(page, site, view);
      await accessible(page, name).catch((error) => found.push(`${name}: ${error.actual}`));
      seen += 1;
    }
    assert.ok(seen > 45, `${seen} pages`);
    assert.deepEqual(found, []);
  });
}

test("the drawings take the person's own colours, whatever theme was chosen", async (t) => {
  for (const [theme, colorScheme] of [["paper", "dark"], ["night", "light"]]) {
    const { page } = await open(t, { path: "#travel?pitch=2&teeth=20", profile: { colorScheme, forcedColors: "active" } });
    await page.evaluate((theme) => (document.documentElement.dataset.theme = theme), theme);
    const [ink, paper] = await page.evaluate(() => {
      const resolved = (colour) => {
        const probe = document.body.appendChild(document.createElement("i"));
        probe.style.cssText = `forced-color-adjust: none; color: ${colour}`;
        const { color } = getComputedStyle(probe);
        probe.remove();
        return color;
      };
      return [getComputedStyle(document.querySelector("#drawing path.k")).stroke, resolved("Canvas")];
    });
    const light = (colour) => colour.match(/\d+/g).slice(0, 3).reduce((sum, part) => sum + Number(part), 0);
    assert.ok(Math.abs(light(ink) - light(paper)) > 380, `${theme}: ${ink} on ${paper}`);
  }
});

test("at 320 px nothing scrolls sideways", async (t) => {
  const { page } = await open(t, { width: 320, height: 640 });
  for (const [path, mark] of Object.entries(PAGES)) {
    await page.evaluate((path) => (location.hash = path), path);
    await page.locator(mark).waitFor();
    await fits(page, path || "the list");
  }
});

test("what is touched is at least 44 px high, and text in entries at least 16 px", async (t) => {
  const { page } = await open(t, { path: "#sensor" });
  const small = await page.evaluate(() =>
    [...document.querySelectorAll("button, input, select, summary, nav a")]
      .filter((element) => element.getClientRects().length)
      .filter((element) => element.getBoundingClientRect().height < 43.9 || Number.parseFloat(getComputedStyle(element).fontSize) < 16)
      .map((element) => element.outerHTML.slice(0, 120)),
  );
  assert.deepEqual(small, []);
});

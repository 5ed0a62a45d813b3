// The look of every page as far as it can be told without looking: nothing scrolls sideways, is cut, lies on another label,
// is too small to touch or to read, or lies over the entry that is typed into.
import assert from "node:assert/strict";
import { test } from "node:test";
import { covered, faults } from "./look.mjs";
import { SIZES, launch, serve } from "./site.mjs";
import { show, views } from "./views.mjs";

// A table may scroll within itself (WCAG 2.2, 1.4.10), and a long choice is shown whole where it is chosen.
const BORNE = /^(sideways|box|small):/;

for (const size of ["320", "landscape", "1280", "320-large"]) {
  test(`every page fits its window: ${size}`, async (t) => {
    const { text = 16, ...viewport } = SIZES[size];
    const touch = viewport.width < 1000;
    const [site, browser] = [await serve(), await launch([`--blink-settings=defaultFontSize=${text}`])];
    t.after(() => Promise.all([browser.close(), site.stop()]));
    const context = await browser.newContext({ viewport, hasTouch: touch, isMobile: touch, serviceWorkers: "block", reducedMotion: "reduce" });
    const page = await context.newPage();
    const found = [];
    let seen = 0;
    for (const [name, view] of Object.entries(views())) {
      await show(page, site, view);
      seen += 1;
      const told = [...(await page.evaluate(faults)), ...(await page.evaluate(covered))];
      found.push(...told.filter((fault) => !BORNE.test(fault)).map((fault) => `${name}: ${fault}`));
    }
    assert.ok(seen > 45, `${seen} pages`);
    assert.deepEqual(found, []);
  });
}

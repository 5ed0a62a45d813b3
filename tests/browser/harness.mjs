// Opens the built page in a real browser. A test fails on any error in the console, any uncaught error and any
// request to another origin, unless it says beforehand that it expects one.
//
//   test("a sheet answers", async (t) => {
//     const { page } = await open(t, { path: "#travel", width: 360, height: 740 });
//     await page.getByLabel("Teeth").fill("20");
//   });
import assert from "node:assert/strict";
import { after } from "node:test";
import { launch, ready, serve } from "./site.mjs";

export { ready, serve };

/** One browser for all tests of a file, since starting one takes longer than many a test; each test has a profile of its own. */
let shared;
after(async () => (await shared)?.close());

/**
 * Opens the page and waits until it is usable; closes all and reports what went wrong at the end of test `t`.
 *
 * - `path`: what follows the site's address, such as `#travel?v=1`
 * - `width`, `height`: the window, a small phone unless said otherwise; `touch`: false for a desk
 * - `throttle`: how many times slower the processor is
 * - `base`, `dist`: the path that the site stands below, and the folder it is served from
 * - `site`: what another call gave, to open a second profile on it, or a second tab (`context` too)
 * - `expected`: a pattern of errors that the test is about
 * - `usable`: false to go on without waiting for the page to be mounted
 * - `before`: called with the page before it loads
 * - `profile`: more of playwright's context options, such as `colorScheme`
 */
export async function open(t, options = {}) {
  const { path = "", width = 360, height = 740, touch = width < 700, throttle = 1 } = options;
  const { base = "/", dist = "dist", expected, usable = true, before, profile = {} } = options;
  const site = options.site ?? (await serve({ base, dist }));
  const browser = await (options.context?.browser() ?? (shared ??= launch()));
  const context =
    options.context ??
    (await browser.newContext({ viewport: { width, height }, hasTouch: touch, isMobile: touch, ...profile }));
  const problems = [];
  const note = (text) => expected?.test(text) || problems.push(text);
  const origin = new URL(site.url).origin;
  t.after(async () => {
    if (!options.context) await context.close();
    if (!options.site) await site.stop();
    assert.deepEqual(problems, [], "the page reported errors, or asked another origin");
  });

  const page = await context.newPage();
  page.on("console", (message) => message.type() === "error" && note(`console: ${message.text()}`));
  page.on("pageerror", (error) => note(`uncaught: ${error.message}`));
  const ask = (request) => {
    const address = new URL(request.url());
    const inside = ["data:", "blob:", "about:"].includes(address.protocol) || address.origin === origin;
    if (!inside) note(`another origin: ${request.url()}`);
  };
  // The context's own event has the requests of service workers too.
  if (!options.context) context.on("request", ask);
  const devtools = await context.newCDPSession(page);
  await devtools.send("Emulation.setCPUThrottlingRate", { rate: throttle });
  await before?.(page);
  await page.goto(site.url + path);
  if (usable) await ready(page);
  return { page, context, browser, site, devtools, problems };
}

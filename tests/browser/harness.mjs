// Opens the built page in a real browser. A test fails on any error in the console, any uncaught error and any
// request to another origin, unless it says beforehand that it expects one.
//
//   test("a sheet answers", async (t) => {
//     const { page } = await open(t, { path: "#travel", width: 360, height: 740 });
//     await page.getByLabel("Teeth").fill("20");
//   });
import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import { delimiter, join } from "node:path";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";

const ROOT = fileURLToPath(new URL("../..", import.meta.url));
const XTASK = process.env.LAYSHAFT_XTASK ?? join(ROOT, "target/debug/xtask");
const CAPABILITIES = JSON.parse(readFileSync(new URL("webdriver.json", import.meta.url), "utf8"));
const BROWSERS = ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable"];

/** Chromium: `CHROME`, else the first one on the path. */
function browserPath() {
  const folders = (process.env.PATH ?? "").split(delimiter);
  const files = BROWSERS.flatMap((name) => folders.map((folder) => join(folder, name)));
  const found = process.env.CHROME ?? files.find((file) => existsSync(file));
  assert.ok(found, "no Chromium on the path; name it in CHROME");
  return found;
}

/** A browser with a fresh profile. */
export function launch() {
  return chromium.launch({
    executablePath: browserPath(),
    args: CAPABILITIES["goog:chromeOptions"].args.filter((flag) => flag !== "--headless"),
  });
}

/**
 * Serves a folder below a base path; `port` keeps the origin when a server is replaced by another.
 * Gives the address, the requests so far as `{method, path, status, bytes}`, and `stop`, after which nothing answers.
 */
export async function serve({ dist = "dist", base = "/", port = 0 } = {}) {
  const options = ["serve", "--no-build", "--attached", "--log", "--dist", dist, "--base", base, "--port", String(port)];
  const server = spawn(XTASK, options, { cwd: ROOT, stdio: ["pipe", "pipe", "inherit"] });
  const gone = new Promise((resolve) => server.once("close", resolve));
  const requests = [];
  const url = await new Promise((resolve, reject) => {
    let rest = "";
    server.stdout.setEncoding("utf8").on("data", (text) => {
      const lines = (rest + text).split("\n");
      rest = lines.pop();
      for (const line of lines) {
        const address = line.match(/^Serving .* at (http\S+)/);
        if (address) resolve(address[1]);
        const [method, path, status, bytes] = line.split(" ");
        if (!address) requests.push({ method, path, status: Number(status), bytes: Number(bytes) });
      }
    });
    gone.then((code) => reject(new Error(`the server ended with ${code}; is the page built?`)));
    server.once("error", reject);
  });
  const stop = async () => {
    server.kill();
    await gone;
  };
  return { url, port: Number(new URL(url).port), requests, stop };
}

/**
 * Opens the page and waits until it is usable; closes all and reports what went wrong at the end of test `t`.
 *
 * - `path`: what follows the site's address, such as `#travel?v=1`
 * - `width`, `height`: the window, a small phone unless said otherwise; `touch`: false for a desk
 * - `throttle`: how many times slower the processor is
 * - `base`, `dist`: the path that the site stands below, and the folder it is served from
 * - `site`, `browser`: what another call gave, to open a second tab (`context` too) or a second profile on it
 * - `expected`: a pattern of errors that the test is about
 * - `usable`: false to go on without waiting for the page to be mounted
 * - `before`: called with the page before it loads
 * - `profile`: more of playwright's context options, such as `colorScheme`
 */
export async function open(t, options = {}) {
  const { path = "", width = 360, height = 740, touch = width < 700, throttle = 1 } = options;
  const { base = "/", dist = "dist", expected, usable = true, before, profile = {} } = options;
  const site = options.site ?? (await serve({ base, dist }));
  const browser = options.browser ?? options.context?.browser() ?? (await launch());
  const context =
    options.context ??
    (await browser.newContext({ viewport: { width, height }, hasTouch: touch, isMobile: touch, ...profile }));
  const problems = [];
  const note = (text) => expected?.test(text) || problems.push(text);
  const origin = new URL(site.url).origin;
  t.after(async () => {
    if (!options.browser && !options.context) await browser.close();
    else if (!options.context) await context.close();
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

/** Waits until the page is mounted and can be used. */
export function ready(page) {
  return page.waitForFunction(() => document.documentElement.dataset.ready === "1");
}

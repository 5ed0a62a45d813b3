// Measures a built page in a real browser and prints one JSON object; `cargo xtask bench` makes the table of it.
//
//   node tests/browser/measure.mjs DIST PATH SELECTOR
//
// SELECTOR names what is used: a box to type into, or a button. Each list has one value per run, in milliseconds.
import { launch, ready, serve } from "./site.mjs";

const [dist = "dist", path = "", selector = "main input"] = process.argv.slice(2);
const PHONE = { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true };
const RUNS = 5;
const SLOW_PROCESSOR = { rate: 4 };
const SLOW_NETWORK = { offline: false, latency: 150, downloadThroughput: 1.6e6 / 8, uploadThroughput: 0.75e6 / 8 };
const KEYS = 40;
/** Answers and what follows from them change within this time; the record that is saved later does not count. */
const SETTLED = 250;

/** Notes when the page can be used, from the start of the navigation. */
function watchReady() {
  new MutationObserver((_, observer) => {
    if (document.documentElement?.dataset.ready !== "1") return;
    window.usableAt = performance.now();
    observer.disconnect();
  }).observe(document, { subtree: true, attributes: true, attributeFilter: ["data-ready"] });
}

/** Notes for each key when the last change that it caused was painted. */
function watchKeys(settled) {
  window.keys = [];
  const painted = (done) =>
    requestAnimationFrame(() => {
      const channel = new MessageChannel();
      channel.port1.onmessage = () => done(performance.now());
      channel.port2.postMessage(0);
    });
  const note = () => {
    const key = window.keys.at(-1);
    if (!key || performance.now() - key.start > settled) return;
    painted((now) => (key.took = now - key.start));
  };
  addEventListener("keydown", (event) => (window.keys.push({ start: event.timeStamp, changes: 0 }), note()), true);
  new MutationObserver(() => {
    if (window.keys.length) window.keys.at(-1).changes += 1;
    note();
  }).observe(document.body, { subtree: true, childList: true, characterData: true, attributes: true });
}

async function slowPage(context, network) {
  const page = await context.newPage();
  const devtools = await context.newCDPSession(page);
  await devtools.send("Emulation.setCPUThrottlingRate", SLOW_PROCESSOR);
  if (network) {
    await devtools.send("Network.enable");
    await devtools.send("Network.emulateNetworkConditions", network);
  }
  await page.addInitScript(watchReady);
  return page;
}

async function visit(page, url) {
  await page.goto(url);
  await ready(page);
  return page.evaluate(() => window.usableAt);
}

/** First visits, each with an empty cache, and what one of them asked the server for. */
async function firstVisits(browser, site) {
  const usable = [];
  let requests = [];
  for (let run = 0; run < RUNS; run += 1) {
    site.requests.length = 0;
    const context = await browser.newContext(PHONE);
    const page = await slowPage(context, SLOW_NETWORK);
    usable.push(await visit(page, site.url + path));
    await offlineReady(page);
    requests = [...site.requests];
    await context.close();
  }
  return { usable, requests };
}

/** Waits until the service worker has all files; false where there is none. */
function offlineReady(page) {
  return page.evaluate(async () => {
    if (!(await navigator.serviceWorker.getRegistration())) return false;
    await navigator.serviceWorker.ready;
    return true;
  });
}

/** Visits with the server gone. */
async function revisits(browser) {
  const site = await serve({ dist });
  const context = await browser.newContext(PHONE);
  const first = await context.newPage();
  await first.goto(site.url + path);
  await ready(first);
  const works = await offlineReady(first);
  await first.close();
  await site.stop();
  const usable = [];
  for (let run = 0; works && run < RUNS; run += 1) {
    const page = await slowPage(context);
    usable.push(await visit(page, site.url + path));
    await page.close();
  }
  await context.close();
  return usable;
}

/** The 95th percentile of a key press until its answer is painted, one value per run. */
async function keyPresses(browser, site) {
  const slowest = [];
  let unanswered = 0;
  for (let run = 0; run < RUNS; run += 1) {
    const context = await browser.newContext(PHONE);
    const page = await slowPage(context);
    await visit(page, site.url + path);
    await page.evaluate(watchKeys, SETTLED);
    const target = page.locator(selector).first();
    await target.focus();
    const typed = (await target.evaluate((element) => element.tagName)) === "BUTTON" ? ["Enter"] : ["5", "Backspace"];
    await page.keyboard.press("End");
    await page.waitForTimeout(2 * SETTLED);
    await page.evaluate(() => (window.keys.length = 0));
    for (let key = 0; key < KEYS; key += 1) {
      await page.keyboard.press(typed[key % typed.length]);
      await page.waitForTimeout(SETTLED + 100);
    }
    const keys = await page.evaluate(() => window.keys);
    unanswered += keys.filter(({ changes }) => changes === 0).length;
    const took = keys.map((key) => key.took).sort((a, b) => a - b);
    slowest.push(took[Math.ceil(took.length * 0.95) - 1]);
    await context.close();
  }
  return { p95: slowest, unanswered };
}

/** Memory after some edits, with the garbage collected. */
async function memory(browser, site) {
  const context = await browser.newContext(PHONE);
  const page = await context.newPage();
  await page.addInitScript(() =>
    addEventListener("TrunkApplicationStarted", (event) => (window.program = event.detail.wasm)),
  );
  await page.goto(site.url + path);
  await ready(page);
  const devtools = await context.newCDPSession(page);
  await devtools.send("Performance.enable");
  const samples = [];
  let edits = 0;
  for (const until of [200, 600, 1000]) {
    await page.evaluate(edit, { selector, count: until - edits });
    edits = until;
    for (let round = 0; round < 3; round += 1) await devtools.send("HeapProfiler.collectGarbage");
    const { metrics } = await devtools.send("Performance.getMetrics");
    const value = (name) => metrics.find((metric) => metric.name === name).value;
    const wasm = await page.evaluate(() => window.program.memory.buffer.byteLength);
    samples.push({ edits, heap: value("JSHeapUsedSize"), wasm, nodes: value("Nodes"), listeners: value("JSEventListeners") });
  }
  await context.close();
  return samples;
}

/** Edits as fast as they are painted. */
async function edit({ selector, count }) {
  const target = document.querySelector(selector);
  const typed = target.value;
  for (let edits = 0; edits < count; edits += 1) {
    if (target.tagName === "BUTTON") target.click();
    else {
      target.value = edits % 2 ? typed : `${typed}5`;
      target.dispatchEvent(new InputEvent("input", { bubbles: true }));
    }
    await new Promise(requestAnimationFrame);
  }
}

const site = await serve({ dist });
const browser = await launch();
const visits = await firstVisits(browser, site);
const keys = await keyPresses(browser, site);
const samples = await memory(browser, site);
await site.stop();
const offline = await revisits(browser);
await browser.close();
console.log(JSON.stringify({ first: visits.usable, requests: visits.requests, offline, keys, memory: samples }));

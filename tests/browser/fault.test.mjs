// A page that cannot start or has stopped: plain words, a way on, and a file of what is stored.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "node:test";
import { open, ready } from "./harness.mjs";
import { BELT, go, save, settle, sheet, stored } from "./steps.mjs";

const fault = (page) => page.locator(".fault");

for (const [what, answer] of Object.entries({
  "is refused by the server": { status: 500, body: "no" },
  "is cut": { status: 200, contentType: "application/wasm", body: Buffer.from([0, 97, 115, 109, 1, 0, 0]) },
  "is none": { status: 200, contentType: "text/html", body: "<p>Sign in to the network" },
})) {
  test(`when the program ${what}, the page says so and offers a way on`, async (t) => {
    const { page } = await open(t, {
      usable: false,
      expected: /./,
      before: (page) => page.route("**/*_bg.*", (route) => route.fulfill(answer)),
    });
    await fault(page).waitFor();
    const text = await fault(page).innerText();
    assert.match(text, /could not start/);
    assert.match(text, /still in this browser/);
    await page.unrouteAll();
    await fault(page).locator("button", { hasText: "Reload" }).click();
    await ready(page);
    assert.equal(await fault(page).count(), 0);
  });
}

test("a browser without WebAssembly is told so", async (t) => {
  const { page } = await open(t, {
    usable: false,
    expected: /./,
    before: (page) => page.addInitScript(() => delete globalThis.WebAssembly),
  });
  await fault(page).waitFor();
  assert.match(await fault(page).innerText(), /too old/);
});

test("after a crash the page says so, what was typed can still be read, and what is stored becomes a file", async (t) => {
  const { page } = await sheet(t, "travel", BELT, { expected: /unreachable/ });
  await save(page, "Heron 160", "X axis");
  await settle(page);
  await page.evaluate(() => {
    // A trap, as a panic makes one: the smallest program that is nothing but one.
    const bytes = [0, 97, 115, 109, 1, 0, 0, 0, 1, 4, 1, 96, 0, 0, 3, 2, 1, 0, 7, 5, 1, 1, 97, 0, 0, 10, 5, 1, 3, 0, 0, 11];
    const trap = new WebAssembly.Instance(new WebAssembly.Module(new Uint8Array(bytes)));
    setTimeout(() => trap.exports.a());
  });
  await fault(page).waitFor();
  assert.match(await fault(page).innerText(), /has stopped/);
  assert.equal(await page.locator("#f-teeth").inputValue(), "20");
  const before = await stored(page);
  const [download] = await Promise.all([page.waitForEvent("download"), fault(page).locator("button", { hasText: "file" }).click()]);
  const text = await readFile(await download.path(), "utf8");
  for (const record of Object.values(before).filter((record) => record.startsWith("layshaft machine"))) {
    assert.ok(text.includes(record));
  }
  await fault(page).locator("button", { hasText: "Reload" }).click();
  await ready(page);
  assert.equal(await page.locator("#f-teeth").inputValue(), "20");
  // The page reads that file again.
  await go(page, "#machines");
  await page.locator("#machine-file").setInputFiles({ name: "a.txt", mimeType: "text/plain", buffer: Buffer.from(text) });
  await page.locator("a.machine", { hasText: "Heron 160 (2)" }).waitFor();
});

test("another program's fault on the page is none of ours", async (t) => {
  const { page } = await sheet(t, "travel", BELT, { expected: /neighbour/ });
  await page.evaluate(() => setTimeout(() => { throw new Error("neighbour"); }));
  await settle(page);
  assert.equal(await fault(page).count(), 0);
});

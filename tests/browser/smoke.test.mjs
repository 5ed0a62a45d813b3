// The least that must hold of any build: the page mounts, quietly, at the root of a host and below a sub-path.
import assert from "node:assert/strict";
import { test } from "node:test";
import { open } from "./harness.mjs";

for (const base of ["/", "/some/project/"]) {
  test(`the page mounts below ${base} without an error`, async (t) => {
    const { page, site } = await open(t, { base });
    assert.ok((await page.locator("body").innerText()).includes("Layshaft"));
    const failed = site.requests.filter(({ status }) => status >= 400);
    assert.deepEqual(failed, []);
  });
}

test("the server sends types, caching and refusals as the page needs them", async (t) => {
  const { page, site } = await open(t);
  const files = site.requests.map(({ path }) => path);
  const wasm = files.find((path) => path.includes("_bg."));
  const head = async (path) => (await page.request.head(new URL(path, site.url).href)).headers();
  assert.match((await head(wasm))["cache-control"], /immutable/);
  assert.equal((await head("/"))["cache-control"], "no-cache");
  assert.equal((await page.request.get(`${site.url}nothing`)).status(), 404);
  assert.equal((await page.request.post(site.url)).status(), 405);
});

// Versions of the built page, and what a browser keeps of them.
import { createHash } from "node:crypto";
import { cp, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DIST } from "./host.mjs";

/** As the worker's list has it: W3C Subresource Integrity, section 3.1. */
const digest = (text) => `sha256-${createHash("sha256").update(text).digest("base64")}`;

/**
 * A folder with the built page as another version; `spoil` names a file that is listed and not there, `changed` has the
 * texts of files that this version has otherwise.
 */
export async function version(t, name, { spoil, changed = {} } = {}) {
  const folder = await mkdtemp(join(tmpdir(), "layshaft-"));
  t.after(() => rm(folder, { recursive: true }));
  await cp(DIST, folder, { recursive: true });
  const page = await readFile(join(folder, "index.html"), "utf8");
  const marked = page.replace("</title>", ` ${name}</title><meta name=version content=${name}>`);
  let worker = (await readFile(join(folder, "sw.js"), "utf8")).replace(/"[0-9a-f]{16}"/, `"${name}"`);
  for (const [file, text] of Object.entries({ "index.html": marked, ...changed })) {
    worker = worker.replace(digest(await readFile(join(folder, file))), digest(text));
    await writeFile(join(folder, file), text);
  }
  if (spoil) worker = worker.replace("[[", `[["${spoil}","${digest("")}"],[`);
  await writeFile(join(folder, "sw.js"), worker);
  return folder;
}

/** The name of the version that the page on show is of; `built` for what the build made. */
export const versionShown = (page) => page.evaluate(() => document.querySelector("meta[name=version]")?.content ?? "built");

/** Has the browser ask the host for a newer version now. */
export const lookForUpdate = (page) =>
  page.evaluate(async () => {
    const known = await navigator.serviceWorker.getRegistration();
    return known.update().then(() => "looked", () => "refused");
  });

/** Waits until the page says that it works offline. */
export const worksOffline = (page) => page.locator("[data-offline=yes]").waitFor();

export const cacheNames = (page) => page.evaluate(async () => (await caches.keys()).sort());

// The built page's server and a browser to open it with: what tests, screens and measurements share.
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

/** Window sizes; `text` is the browser's text size in px, 16 unless a person has changed it. */
export const SIZES = {
  320: { width: 320, height: 640 },
  360: { width: 360, height: 740 },
  768: { width: 768, height: 1024 },
  1280: { width: 1280, height: 800 },
  landscape: { width: 740, height: 360 },
  "320-large": { width: 320, height: 640, text: 32 },
  "1280-large": { width: 1280, height: 800, text: 32 },
};

/** Chromium: `CHROME`, else the first one on the path. */
function browserPath() {
  const folders = (process.env.PATH ?? "").split(delimiter);
  const files = BROWSERS.flatMap((name) => folders.map((folder) => join(folder, name)));
  const found = process.env.CHROME ?? files.find((file) => existsSync(file));
  assert.ok(found, "no Chromium on the path; name it in CHROME");
  return found;
}

/** A browser that the caller closes; `flags` beside the usual ones. */
export function launch(flags = []) {
  return chromium.launch({
    executablePath: browserPath(),
    args: CAPABILITIES["goog:chromeOptions"].args.filter((flag) => flag !== "--headless").concat(flags),
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

/** Waits until the page is mounted and can be used. */
export function ready(page) {
  return page.waitForFunction(() => document.documentElement.dataset.ready === "1");
}

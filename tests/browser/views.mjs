// Every page there is, filled as a person fills it: what the pictures are taken of and the tests of the look look at.
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { ready } from "./site.mjs";

const ROOT = fileURLToPath(new URL("../..", import.meta.url));
const LOG = readFileSync(new URL("../tests/control_logs/hot_end.csv", import.meta.url), "utf8");

/** The link of a complete calculation of every sheet, as `[name, link]`; a second one of a sheet is `sheet-2`. */
function samples() {
  const call = ["run", "-q", "-p", "layshaft-tests", "--bin", "sample_links"];
  const links = execFileSync("cargo", call, { cwd: ROOT, encoding: "utf8" }).trim().split("\n");
  const seen = {};
  return links.map((link) => {
    const sheet = link.split("?")[0];
    seen[sheet] = (seen[sheet] ?? 0) + 1;
    return [seen[sheet] > 1 ? `${sheet}-${seen[sheet]}` : sheet, link];
  });
}

const click = (selector) => (page) => page.locator(selector).first().click();
/** Goes on inside the example machine: to its page, or to what lies below it. */
const inMachine = (below = "") => async (page) => {
  await page.waitForURL(/#m\//);
  await page.evaluate((below) => (location.hash += below), below);
  await page.waitForTimeout(300);
};

/** Pages that are more than a sheet with its entries: where they are, and what is done there first. */
const SCENES = {
  first: [""],
  lost: ["nothing/here"],
  sources: ["sources"],
  "travel-blank": ["travel"],
  "travel-wrong": ["travel?pitch=2,5,1&teeth=x&gears=60/0"],
  "travel-solved": ["travel?pitch=2&teeth=20&solve=teeth&for=turn_travel:41"],
  "travel-swept": ["travel?pitch=2 ± 0.01&teeth=20&sweep=pitch:1:3&of=turn_travel"],
  "headroom-compared": [
    "headroom?mass=0.5&turn_travel=40&hold_torque=0.4&rated=1.5&set_rms=1.2&resistance=1.6&inductance=3&supply=24&speed=200&accel=3000&cost=14&pin=mass%3D0.8%26turn_travel%3D32%26hold_torque%3D0.4%26rated%3D1.5%26set_rms%3D1.2%26resistance%3D1.6%26inductance%3D3%26supply%3D24%26speed%3D200%26accel%3D3000%26cost%3D22",
  ],
  "supply-compared": [
    "supply?loads=Bed,220 W,100;Hot end,50 W,100;Motors,45 W,100&volts=24&rated=350&cost=38&pin=loads%3DHot%20end,40%20W,100;Bed,220%20W,100;Motors,45%20W,100%26volts%3D24%26rated%3D320%26cost%3D31",
  ],
  "microstep-compared": ["microstep?turn_travel=40&hold_torque=0.4&load_torque=0.1&pin=turn_travel%3D32%26hold_torque%3D0.3%26load_torque%3D0.1"],
  "control-log": ["control?target=255", (page) => page.locator("#f-log").fill(LOG)],
  "travel-save": ["travel?pitch=2&teeth=20", click("#save")],
  "machines-none": ["machines"],
  machines: [
    "example",
    async (page) => {
      await inMachine()(page);
      await page.evaluate(() => (location.hash = "machines"));
    },
  ],
  machine: ["example", inMachine()],
  "machine-open": [
    "example",
    async (page) => {
      await inMachine()(page);
      await page.evaluate(() => document.querySelectorAll("details").forEach((details) => (details.open = true)));
    },
  ],
  record: ["example", inMachine("/record")],
  "part-sheet": ["example", inMachine("/0/travel")],
  "part-list": ["example", inMachine("/0/part")],
  "title-block": ["example", inMachine("/0/title")],
};

/** Every page by name: `[link, what is done there]`. */
export const views = () => ({ ...Object.fromEntries(samples().map(([name, link]) => [name, [link]])), ...SCENES });

/** Opens a view with nothing stored before, and waits until it stands still. */
export async function show(page, site, [link, act]) {
  await page.goto("about:blank");
  await page.goto(`${site.url}#`);
  await page.evaluate(() => localStorage.clear());
  await page.goto("about:blank");
  await page.goto(`${site.url}#${link.includes("%") ? link : encodeURI(link)}`);
  await ready(page);
  await act?.(page);
  await page.evaluate(() => document.fonts.ready);
  await page.waitForTimeout(250);
}

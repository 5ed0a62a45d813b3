// What several tests do with the page, in the words of a person.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { open, ready } from "./harness.mjs";

const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

/** Opens a sheet with nothing stored before; entries by key. */
export async function sheet(t, id, entries = {}, options = {}) {
  // A page that still glides to its place is missed by the click.
  const profile = { reducedMotion: "reduce", ...options.profile };
  const opened = await open(t, { path: `#${id}`, ...options, profile });
  await type(opened.page, entries);
  return opened;
}

/** Types into the entries of a sheet. */
export async function type(page, entries) {
  for (const [key, text] of Object.entries(entries)) await page.locator(`#f-${key}`).fill(text);
}

/** The entries of a belt axis: 2 mm pitch, 20 teeth, so 40 mm a turn. */
export const BELT = { pitch: "2", teeth: "20" };

/** Saves the sheet on the page into a new part; `machine` and `part` are names, or a label that is there. */
export async function save(page, machine, part) {
  await page.locator("#save").click();
  await choose(page, "machine", machine);
  await choose(page, "part", part);
  await page.locator("form button", { hasText: /^Save$/ }).click();
  await page.waitForURL(/#m\//);
  await page.locator("#saved").waitFor();
}

async function choose(page, what, name) {
  const list = page.locator(`#save-${what}`);
  const there = await list.locator("option", { hasText: new RegExp(`^${name}$`) }).count();
  await list.selectOption(there ? { label: name } : "");
  if (!there) await page.locator(`#save-${what}-name`).fill(name);
}

/** Opens another page of the app by its fragment. */
export async function go(page, fragment) {
  await page.evaluate((hash) => (location.hash = hash), fragment);
  // The list of sheets has its own heading; every page has one.
  await page.waitForFunction((hash) => decodeURI(location.hash) === decodeURI(hash), fragment);
}

/** Loads the page again. */
export async function reload(page) {
  await page.reload();
  await ready(page);
}

/** Opens the page with this already stored. */
export const withStored = (t, records, options = {}) =>
  open(t, {
    ...options,
    profile: { reducedMotion: "reduce" },
    before: (page) =>
      page.addInitScript((records) => {
        if (sessionStorage.getItem("stored")) return;
        sessionStorage.setItem("stored", "once");
        for (const [key, record] of Object.entries(records)) localStorage.setItem(key, record);
      }, records),
  });

/** Chooses a file of this text as a backup, on the page of all machines. */
export async function readBackup(page, text, name = "backup.txt") {
  await go(page, "#machines");
  await page.locator("#machine-file").setInputFiles({ name, mimeType: "text/plain", buffer: Buffer.from(text) });
}

/** The text of the file that this click saves. */
export async function saved(page, click) {
  const [download] = await Promise.all([page.waitForEvent("download"), click()]);
  return readFile(await download.path(), "utf8");
}

/** The check digits of a text: CRC-16 with polynomial 0x1021 and start 0xFFFF. */
export function checksum(text) {
  let crc = 0xffff;
  for (const byte of Buffer.from(text)) {
    crc ^= byte << 8;
    for (let bit = 0; bit < 8; bit += 1) crc = crc & 0x8000 ? ((crc << 1) ^ 0x1021) & 0xffff : crc << 1;
  }
  return crc.toString(16).padStart(4, "0");
}

/** A machine's record as a file or the storage holds it: its lines behind the first, with their check digits. */
export function record(...lines) {
  const text = ["layshaft machine 1", ...lines, ""].join("\n");
  return `${text}k=${checksum(text)}\n`;
}

/** All that is stored of ours, key by key. */
export const stored = (page) =>
  page.evaluate(() => Object.fromEntries(Object.entries(localStorage).filter(([key]) => key.startsWith("layshaft/"))));

/** The one stored machine: its key and its record. */
export async function machine(page) {
  const all = Object.entries(await stored(page)).filter(([key]) => key.startsWith("layshaft/machine/"));
  assert.equal(all.length, 1, "there is one machine");
  return { key: all[0][0], record: all[0][1] };
}

/** Waits until all that was typed is stored. */
export const settle = (page) => page.waitForTimeout(600);

/** Waits for an answer to show this text. */
export const answer = (page, key, text) => page.locator(`[data-answer="${key}"]`).filter({ hasText: text }).waitFor();

/** Clicks a button of a notice. */
export const press = (page, label) => page.locator(".notice button", { hasText: label }).last().click();

/** Waits for a notice that holds these words. */
export const notice = (page, words) => page.locator(".notice").filter({ hasText: words }).waitFor();

/** Asks axe-core, which checks WCAG 2.2 A and AA and good practice, about the page as it stands. */
export async function accessible(page, what) {
  if (!(await page.evaluate(() => "axe" in window))) await page.evaluate(AXE);
  const { violations } = await page.evaluate(() => axe.run(document, { resultTypes: ["violations"] }));
  const found = violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html.slice(0, 160)).join(" | ")}`);
  assert.deepEqual(found, [], what);
}

/** Nothing of the page is wider than the window. */
export async function fits(page, what) {
  const beyond = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  assert.equal(beyond, 0, `${what} scrolls sideways`);
}

/** No NaN, no infinity, and nothing of the machinery shows. */
export async function sane(page, what) {
  const text = await page.evaluate(() => document.body.innerText + document.querySelector("main").innerHTML);
  for (const word of ["NaN", "Infinity", "undefined", "2147483647"]) assert.ok(!text.includes(word), `${word}: ${what}`);
  assert.ok(!/\binf\b/.test(text), `inf: ${what}`);
}

/** Words of a drawing that leave it or lie on one another, as the browser sets them. */
export const collisions = (page) =>
  page.evaluate(() => {
    const svg = document.querySelector("#drawing svg");
    if (!svg) return [];
    const frame = svg.getBoundingClientRect();
    const boxes = [...svg.querySelectorAll("text")].map((text) => [text.textContent, text.getBoundingClientRect()]);
    const found = [];
    for (const [at, [words, box]] of boxes.entries()) {
      if (box.left < frame.left - 1 || box.right > frame.right + 1 || box.bottom > frame.bottom + 1) found.push(`${words} leaves`);
      for (const [other, its] of boxes.slice(at + 1)) {
        const wide = Math.min(box.right, its.right) - Math.max(box.left, its.left);
        // A line's box is higher than its letters.
        const high = Math.min(box.bottom, its.bottom) - Math.max(box.top, its.top);
        if (wide > 1 && high > 5) found.push(`${words} on ${other}`);
      }
    }
    return found;
  });

/** The words of the drawing on the page. */
export const drawnWords = (page) => page.locator("#drawing svg").textContent();

/** The drawing says these words, to those who cannot see it too, nothing of it collides, and it comes back after a reload. */
export async function drawingKeeps(page, id, expected, agrees) {
  await agrees(page, id);
  const told = await page.locator("#drawing svg").getAttribute("aria-label");
  for (const word of expected) {
    assert.ok((await drawnWords(page)).includes(word), `${word} in ${await drawnWords(page)}`);
    assert.ok(told.includes(word), `${word} in ${told}`);
  }
  assert.deepEqual(await collisions(page), []);
  await sane(page, id);
  await fits(page, id);
  await settle(page);
  const before = await drawnWords(page);
  await reload(page);
  await page.locator("#drawing svg").waitFor();
  assert.equal(await drawnWords(page), before);
  await agrees(page, id);
}

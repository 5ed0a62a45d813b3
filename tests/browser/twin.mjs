// The page held to its headless twin: the `answer` example and the page say the same about the same entries.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { fileURLToPath } from "node:url";

const ROOT = fileURLToPath(new URL("../..", import.meta.url));

/** What the `answer` example prints for queries: one object each. */
export function ask(queries) {
  const call = ["run", "-q", "-p", "layshaft-core", "--example", "answer", "--", "-"];
  let printed;
  try {
    printed = execFileSync("cargo", call, { cwd: ROOT, input: `${queries.join("\n")}\n`, encoding: "utf8" });
  } catch (error) {
    // Queries with errors, if any, end it with 2; what it printed still counts.
    assert.equal(error.status, 2);
    printed = error.stdout;
  }
  const replies = printed.trim().split("\n").map((line) => JSON.parse(line));
  assert.equal(replies.length, queries.length);
  return replies;
}

/** Compares every number and every check on the page with a reply of the twin; gives how many numbers were compared. */
export async function same(page, { answers, checks, errors }, what) {
  let compared = 0;
  assert.deepEqual(errors, [], what);
  const shown = await page.evaluate(() => ({
    answers: Object.fromEntries([...document.querySelectorAll("[data-answer]")].map((e) => [e.dataset.answer, e.textContent])),
    checks: Object.fromEntries([...document.querySelectorAll("[data-check]")].map((e) => [e.dataset.check, e.dataset.state])),
    notes: [...document.querySelectorAll(".entries [id^=n-]")].map((e) => e.textContent),
  }));
  assert.ok(shown.notes.every((note) => !note.startsWith("from ,")), `${what}: a blank follows a sheet without a name`);
  assert.deepEqual(shown.checks, Object.fromEntries(checks.map(({ id, state }) => [id, state])), what);
  for (const [key, { value }] of Object.entries(answers)) {
    if (typeof value !== "number") continue;
    const text = shown.answers[key];
    assert.ok(text, `${what}: ${key} is not on the page`);
    const figure = Number.parseFloat(text);
    // As many digits as the page shows, no more: half a unit of its last place.
    const [, digits, exponent = "0"] = text.match(/^-?([\d.]+)(?:e(-?\d+))?/);
    const places = (digits.split(".")[1] ?? "").length;
    // Significant figures before the point may end in zeros that are not digits.
    const zeros = places === 0 ? digits.match(/0*$/)[0].length : 0;
    const half = 0.501 * 10 ** (zeros - places + Number(exponent));
    assert.ok(Math.abs(figure - value) <= half, `${what}: ${key} is ${value}, shown ${text}`);
    compared += 1;
  }
  return compared;
}

/** Opens each query as a link and compares all; gives how many numbers were compared. */
export async function agree(page, queries) {
  const replies = ask(queries);
  let compared = 0;
  for (const [at, query] of queries.entries()) {
    await page.evaluate((query) => (location.hash = `#${query}`), encodeURI(query));
    await page.waitForFunction((sheet) => location.hash === `#${sheet}`, replies[at].sheet);
    compared += await same(page, replies[at], query);
  }
  return compared;
}

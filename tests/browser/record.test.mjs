// The build record: the whole example machine on one page, held to the headless twin; its boxes, its copies, its paper.
import assert from "node:assert/strict";
import { test } from "node:test";
import { micromark } from "micromark";
import { gfm, gfmHtml } from "micromark-extension-gfm";
import { open } from "./harness.mjs";
import { accessible, fits, go, readBackup, record, reload, sane, settle, stored } from "./steps.mjs";
import { ask } from "./twin.mjs";

const SIZES = [
  { width: 360, height: 740 },
  { width: 1280, height: 800 },
];

/** Opens the record of the example machine. */
async function example(t, options = {}) {
  const profile = { reducedMotion: "reduce", permissions: ["clipboard-read", "clipboard-write"], ...options.profile };
  const opened = await open(t, { path: "#example", ...options, profile });
  await opened.page.waitForURL(/#m\//);
  await go(opened.page, `${await opened.page.evaluate(() => location.hash)}/record`);
  await opened.page.locator("#first-power").waitFor();
  return opened;
}

/** What the button copies. */
async function copied(page, format) {
  await page.locator("button", { hasText: `Copy as ${format}` }).click();
  await page.locator("#copied", { hasText: `The record is copied as ${format}.` }).waitFor();
  return page.evaluate(() => navigator.clipboard.readText());
}

/** Every sheet on the page: its place, and the cells of its answers and entries. */
const sheets = (page) =>
  page.evaluate(() =>
    [...document.querySelectorAll("article[data-sheet]")].map((article) => {
      const [answers, entries] = [...article.querySelectorAll("table")].map((table) =>
        [...table.querySelectorAll("tbody tr")].map((row) => [...row.cells].map((cell) => cell.textContent)),
      );
      return { place: article.dataset.sheet, answers, entries };
    }),
  );

/** Needs both sides of an "or", as only a machine carries them: a link has one, since both typed would be one too many. */
const ONLY_CARRIED = ["0/proof corrected_turn_travel", "0/proof corrected_turn_travel_u"];

/** Half a unit of the last place of a figure. */
function half(text) {
  const [, digits, exponent = "0"] = text.match(/^[-−]?([\d.]+)(?:e(-?\d+))?/);
  const places = (digits.split(".")[1] ?? "").length;
  const zeros = places === 0 ? digits.match(/0*$/)[0].length : 0;
  return 0.501 * 10 ** (zeros - places + Number(exponent));
}

for (const size of SIZES) {
  test(`every answer of the example machine is on its record as the headless twin has it, ${size.width} px`, async (t) => {
    const { page, site } = await example(t, size);
    const told = JSON.parse(await copied(page, "JSON"));
    const shown = await sheets(page);
    const all = told.parts.flatMap((part, at) => part.sheets.map((sheet) => ({ ...sheet, place: `${at}/${sheet.sheet}` })));
    assert.deepEqual(shown.map(({ place }) => place), all.map(({ place }) => place));
    // A part's own list has no link: it is no sheet of the twin.
    const known = all.filter(({ link }) => !/#(part|title)\?/.test(link));
    const replies = ask(known.map(({ link }) => link.slice(link.indexOf("#") + 1)));
    let compared = 0;
    for (const [at, sheet] of known.entries()) {
      assert.ok(sheet.link.startsWith(site.url), sheet.link);
      const { answers, entries } = shown.find(({ place }) => place === sheet.place);
      assert.equal(answers.length, sheet.answers.length, sheet.place);
      assert.equal(entries.length, sheet.entries.length, sheet.place);
      for (const [row, answer] of sheet.answers.entries()) {
        const what = `${sheet.place} ${answer.key}`;
        const [label, text, origin = text] = answers[row];
        assert.equal(label, answer.label, what);
        assert.ok(text.includes(answer.unit) && /Worked out|Data sheet|Measured|Proven/.test(origin), `${what}: ${answers[row]}`);
        if (answer.value === null) continue;
        if (ONLY_CARRIED.includes(what) && !replies[at].answers[answer.key]) continue;
        assert.ok(replies[at].answers[answer.key], `${what}: ${answer.value}, the twin has none; ${sheet.link}`);
        const twin = replies[at].answers[answer.key].value;
        const near = 1e-8 * Math.max(Math.abs(twin), 1e-9);
        assert.ok(Math.abs(twin - answer.value) <= near, `${what}: ${answer.value}, the twin has ${twin}`);
        assert.ok(Math.abs(Number.parseFloat(text) - twin) <= half(text), `${what}: ${twin} is shown as ${text}`);
        compared += 1;
      }
    }
    t.diagnostic(`${compared} answers compared`);
    assert.ok(compared > 200, `${compared} answers compared`);
    // Seen: "40 N.cm N·m", the field's own unit behind the one that was typed.
    const torque = shown.find(({ place }) => place === "0/microstep").entries.find(([label]) => label === "Holding torque");
    assert.equal(torque[1], "40 N.cm");
    await fits(page, "the record");
    await sane(page, "the record");
    // Seen: two tables side by side on a phone, each column three letters wide.
    const narrow = await page.evaluate(() =>
      Math.min(...[...document.querySelectorAll("article td")].map((cell) => cell.getBoundingClientRect().width)),
    );
    assert.ok(narrow > 75, `a column of ${narrow} px`);
  });
}

test("every check, caution, drawing and step of the machine is on the record", async (t) => {
  const { page } = await example(t, SIZES[1]);
  const told = JSON.parse(await copied(page, "JSON"));
  const text = await page.locator(".record").innerText();
  const all = told.parts.flatMap(({ sheets }) => sheets);
  const plain = (words) => words.replace(/\s+/g, " ");
  const page_words = plain(text);
  for (const { text } of [...told.checks, ...all.flatMap(({ checks }) => checks), ...told.first_power]) {
    assert.ok(page_words.includes(plain(text)), text);
  }
  for (const { what, first } of all.flatMap(({ cautions }) => cautions)) {
    assert.ok(page_words.includes(plain(what)) && page_words.includes(plain(first)), what);
  }
  assert.deepEqual(
    [...new Set(told.first_power.map(({ stage }) => stage))],
    ["disconnected", "measure", "set_low", "power", "watch", "stop"],
  );
  assert.ok((await page.locator("article svg[role=img]").count()) >= 10);
  for (const own of Object.values(told.title)) assert.ok(page_words.includes(own), own);
});

test("ticks are kept over a reload and in the backup, and come off again", async (t) => {
  const { page } = await example(t);
  const boxes = page.locator(".tick input");
  const [first, third] = [boxes.nth(0), boxes.nth(2)];
  await first.check();
  await third.check();
  await settle(page);
  await reload(page);
  await page.locator("#first-power").waitFor();
  assert.deepEqual([await first.isChecked(), await boxes.nth(1).isChecked(), await third.isChecked()], [true, false, true]);
  await first.uncheck();
  await settle(page);
  await reload(page);
  await page.locator("#first-power").waitFor();
  assert.deepEqual([await first.isChecked(), await third.isChecked()], [false, true]);
  assert.match(Object.values(await stored(page)).join(""), /ticked=[0-9a-f]{8}/);
});

test("a box is ticked by keyboard, and the focus stays on it", async (t) => {
  const { page } = await example(t);
  const box = page.locator(".tick input").nth(1);
  const id = await box.getAttribute("id");
  await box.focus();
  await page.keyboard.press("Space");
  assert.equal(await box.isChecked(), true);
  assert.equal(await page.evaluate(() => document.activeElement.id), id);
});

test("a step whose figures have changed since is not ticked any more", async (t) => {
  const { page } = await example(t);
  const words = () => page.locator(".tick", { hasText: "X axis: motor current" }).innerText();
  const before = await words();
  await page.locator(".tick", { hasText: "X axis: motor current" }).locator("input").check();
  const hash = await page.evaluate(() => location.hash);
  await go(page, `${hash.replace("/record", "")}/0/current`);
  await page.locator("#f-set").fill("0.8 A");
  await settle(page);
  await go(page, hash);
  await page.locator("#first-power").waitFor();
  assert.notEqual(await words(), before);
  assert.equal(await page.locator(".tick", { hasText: "X axis: motor current" }).locator("input").isChecked(), false);
});

/** The links of a text by its renderer's HTML. */
const hrefs = (html) => [...html.matchAll(/<a href="([^"]*)"/g)].map(([, href]) => href.replaceAll("&amp;", "&"));

/** A machine whose names try every mark of the formats, and script. */
const EVIL = `"><img src=x onerror="window.ran=1"><script>window.ran=1</script> [b]x[/b] [url=http://x]y[/url] |*_~\``;

test("the four copies have every sheet with its link, whatever the names", async (t) => {
  const { page, site } = await example(t, SIZES[1]);
  const hash = await page.evaluate(() => location.hash);
  for (const name of [null, EVIL]) {
    if (name !== null) {
      await go(page, hash.replace("/record", ""));
      await page.locator("#machine-name").fill("Heron");
      await page.locator("#machine-name").fill(name.slice(0, 80));
      await settle(page);
      await go(page, hash);
      await page.locator("#first-power").waitFor();
    }
    const told = JSON.parse(await copied(page, "JSON"));
    const links = told.parts.flatMap(({ sheets }) => sheets.map(({ link }) => link));

    // GitHub's own flavour, by micromark.
    const html = micromark(await copied(page, "Markdown"), { extensions: [gfm()], htmlExtensions: [gfmHtml()] });
    assert.deepEqual(new Set(hrefs(html).filter((href) => href.startsWith(site.url))), new Set(links));
    assert.ok(!/<(script|img)\b/i.test(html), "nothing in a name is markup");
    assert.ok(html.match(/<h\d>/g).length >= links.length, "every sheet has its heading");

    // Every BBCode tag is closed in its order; links are whole.
    const bbcode = await copied(page, "BBCode");
    const open_tags = [];
    for (const [, end, tag] of bbcode.matchAll(/\[(\/?)(b|i|u|url|list|table|tr|td|th|size|code|quote|img)\b[^\]]*\]/g)) {
      if (end) assert.equal(open_tags.pop(), tag, bbcode.slice(0, 300));
      else open_tags.push(tag);
    }
    assert.deepEqual(open_tags, []);
    assert.deepEqual(new Set([...bbcode.matchAll(/\[url=([^\]]*)\]/g)].map(([, href]) => href)), new Set(links));

    // RFC 4180: quotes doubled, every row as long as the head.
    const rows = [[""]];
    let quoted = false;
    for (const [piece] of (await copied(page, "CSV")).matchAll(/""|"|,|\r?\n|[^",\r\n]+/g)) {
      const row = rows.at(-1);
      if (piece === '"') quoted = !quoted;
      else if (quoted || !/^(,|\r?\n)$/.test(piece)) row[row.length - 1] += piece === '""' ? (quoted ? '"' : "") : piece;
      else if (piece === ",") row.push("");
      else rows.push([""]);
    }
    const filled = rows.filter((row) => row.length > 1);
    assert.deepEqual([...new Set(filled.map((row) => row.length))].length, 1, "every row has every column");
    for (const link of links) assert.ok(filled.some((row) => row.includes(link)), link);
  }
  assert.equal(await page.evaluate(() => window.ran), undefined);
  assert.ok((await page.locator("h1").innerText()).startsWith(EVIL.slice(0, 40)));
});

test("a link of the record opens its sheet filled in, for a stranger", async (t) => {
  const one = await example(t);
  const told = JSON.parse(await copied(one.page, "JSON"));
  const travel = told.parts[0].sheets.find(({ sheet }) => sheet === "travel");
  const steps = travel.answers.find(({ key }) => key === "steps_per_mm");
  const two = await open(t, { site: one.site, path: travel.link.slice(travel.link.indexOf("#")) });
  await two.page.locator('[data-answer="steps_per_mm"]').filter({ hasText: steps.text }).waitFor();
});

test("on paper it is A4, black on white, whole, and without what only a screen needs", async (t) => {
  const { page } = await example(t, { ...SIZES[1], profile: { colorScheme: "dark" } });
  const before = await sheets(page);
  const pdf = (await page.pdf({ format: "A4", preferCSSPageSize: true })).toString("latin1");
  const pages = pdf.match(/\/Type\s*\/Page\b/g).length;
  t.diagnostic(`${pages} pages`);
  assert.ok(pages >= 10 && pages <= 40, `${pages} pages`);
  const boxes = [...pdf.matchAll(/\/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]/g)];
  for (const [, width, height] of boxes) {
    // ISO 216: 210 mm by 297 mm, in points of 1/72 in, to half a millimetre.
    assert.ok(Math.abs(width - 595.28) < 1.5 && Math.abs(height - 841.89) < 1.5, `${width} by ${height}`);
  }
  await page.emulateMedia({ media: "print" });
  // The width between the margins, 178 mm at 96 px an inch.
  await page.setViewportSize({ width: 673, height: 1000 });
  await fits(page, "the paper");
  assert.deepEqual(await sheets(page), before);
  const seen = await page.evaluate(() => {
    const grey = (colour) => {
      const [r, g, b] = (colour.match(/[\d.]+/g) ?? []).map(Number);
      return r === undefined || (Math.abs(r - g) < 3 && Math.abs(g - b) < 3);
    };
    const drawn = [...document.querySelectorAll("body *")].filter((element) => element.getClientRects().length);
    const parts = ["color", "backgroundColor", "borderTopColor", "fill", "stroke"];
    const coloured = drawn.filter((element) => parts.some((part) => !grey(getComputedStyle(element)[part])));
    const outside = drawn.filter((element) => element.closest("table") && element.getBoundingClientRect().right > innerWidth + 1);
    return {
      coloured: coloured.map((element) => element.outerHTML.slice(0, 80)),
      outside: outside.map((element) => element.outerHTML.slice(0, 80)),
      buttons: drawn.filter((element) => element.matches("button")).length,
      boxes: drawn.filter((element) => element.matches(".tick input")).length,
      small: Math.min(...drawn.filter((element) => element.matches("td, p, .tick")).map((element) => Number.parseFloat(getComputedStyle(element).fontSize))),
    };
  });
  assert.deepEqual([seen.coloured, seen.outside, seen.buttons], [[], [], 0]);
  assert.equal(seen.boxes, await page.locator(".tick").count());
  assert.ok(seen.small >= 10.6, `8 points at least, not ${seen.small} px`);
});

for (const scheme of ["light", "dark"]) {
  for (const size of SIZES) {
    test(`the record is accessible, ${scheme}, ${size.width} px`, async (t) => {
      const { page } = await example(t, { ...size, profile: { colorScheme: scheme } });
      await accessible(page, "the build record");
    });
  }
}

test("a record of a machine with a bad entry, script in every name and no sheets says so and runs nothing", async (t) => {
  const { page } = await open(t, { profile: { reducedMotion: "reduce" } });
  const evil = encodeURIComponent(EVIL);
  await readBackup(page, record(`name=${evil}`, `part=${evil}`, `travel?pitch=${evil}&teeth=20`, `part=${evil}`, `title?owner=${evil}`));
  await page.locator("a.machine").first().click();
  await page.locator("a", { hasText: "Build record" }).click();
  await page.locator("#first-power").waitFor();
  await page.locator(".why", { hasText: "Belt pitch" }).first().waitFor();
  assert.match(await page.locator(".block").innerText(), /<script>/);
  await sane(page, "a record with script in it");
  await fits(page, "a record with script in it");
  assert.equal(await page.evaluate(() => window.ran), undefined);
});

test("the address of a record whose machine is not here says so", async (t) => {
  const { page } = await open(t, { path: "#m/nothere/record" });
  await page.locator("h1", { hasText: "No such machine" }).waitFor();
});

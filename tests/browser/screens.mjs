// Takes pictures of every page into `screens/`, with `index.html` to see many at once and `report.txt` of what can be told
// without looking; with `--tour`, those of the README into `docs/tour/`.
import { mkdirSync, rmSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { covered, faults } from "./look.mjs";
import { SIZES, launch, serve } from "./site.mjs";
import { show, views } from "./views.mjs";

const THEMES = { paper: "light", night: "dark" };
/** The README's tour: a view, a size, and what is brought into sight. */
const TOUR = [
  ["first", "360"],
  ["travel-swept", "360", "#sweeping"],
  ["headroom-compared", "360", "#compared"],
  ["machine", "360", "[data-part]"],
  ["sensor", "1280"],
  ["beam", "1280"],
];
const FOLDER = (name) => fileURLToPath(new URL(`../../${name}/`, import.meta.url));

/** The values of an option such as `--only travel,sensor`; all when it is not there. */
function chosen(option, all) {
  const at = process.argv.indexOf(option);
  const words = at < 0 ? [] : process.argv[at + 1].split(",");
  return words.length ? all.filter((name) => words.some((word) => name === word || (word.endsWith("*") && name.startsWith(word.slice(0, -1))))) : all;
}

const tour = process.argv.includes("--tour");
const pages = views();
const names = chosen("--only", Object.keys(pages));
const sizes = tour ? ["360", "1280"] : chosen("--at", Object.keys(SIZES));
const themes = tour ? ["paper"] : chosen("--theme", Object.keys(THEMES));
const out = FOLDER(tour ? "docs/tour" : "screens");
rmSync(out, { recursive: true, force: true });
mkdirSync(out, { recursive: true });
const site = await serve();
const report = [];
const taken = [];
for (const size of sizes) {
  const { text = 16, ...viewport } = SIZES[size];
  const browser = await launch([`--blink-settings=defaultFontSize=${text}`]);
  for (const theme of themes) {
    const touch = viewport.width < 1000;
    const context = await browser.newContext({ viewport, colorScheme: THEMES[theme], hasTouch: touch, isMobile: touch, serviceWorkers: "block", reducedMotion: "reduce" });
    const page = await context.newPage();
    for (const name of names) {
      const stop = TOUR.find(([view, at]) => view === name && at === size);
      if (tour && !stop) continue;
      await show(page, site, pages[name]);
      if (tour) {
        const [, , sight = "body"] = stop;
        await page.locator(sight).first().evaluate((part) => part.scrollIntoView());
        await page.waitForTimeout(300);
        await page.screenshot({ path: `${out}${name}-${size}.png` });
        continue;
      }
      const picture = `${name}-${size}-${theme}`;
      await page.screenshot({ path: `${out}${picture}.png`, fullPage: true });
      taken.push({ name, size, theme, picture });
      if (theme !== themes[0]) continue;
      for (const fault of [...(await page.evaluate(faults)), ...(await page.evaluate(covered))]) report.push(`${size} ${name}: ${fault}`);
    }
    await context.close();
    console.log(`${size}, ${theme}: ${names.length} pages`);
  }
  await browser.close();
}
await site.stop();
if (tour) process.exit();
const rows = names.map((name) => {
  const figures = taken.filter((one) => one.name === name).map(({ size, theme, picture }) => `<figure><a href="${picture}.png"><img src="${picture}.png" loading="lazy"></a><figcaption>${size} ${theme}</figcaption></figure>`);
  return `<h2>${name}</h2><div>${figures.join("")}</div>`;
});
const style = "body{font:14px sans-serif}div{display:flex;gap:8px;overflow:auto}figure{margin:0}img{height:480px;max-width:480px;object-fit:cover;object-position:top;border:1px solid #888}";
writeFileSync(`${out}index.html`, `<!doctype html><meta charset=utf-8><title>Screens</title><style>${style}</style>${rows.join("\n")}`);
writeFileSync(`${out}report.txt`, `${report.join("\n")}\n`);
console.log(`${taken.length} pictures are in ${out}; ${report.length} remarks in report.txt`);

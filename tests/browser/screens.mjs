// Takes pictures of the built page into `screens/`, and two of them for the README into `docs/`.
import { mkdirSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { launch, serve } from "./site.mjs";

const FOLDER = (name) => fileURLToPath(new URL(`../../${name}/`, import.meta.url));
const SIZES = { phone: { width: 360, height: 740 }, desk: { width: 1280, height: 800 } };
const PAGES = {
  list: "",
  travel: "#travel?drive=belt&pitch=2&teeth=20&gears=60/20",
  microstep: "#microstep?turn_travel=40&hold_torque=0.42&load_torque=0.11",
  current: "#current?rated=1.5&resistance=1.6&set=80%25&supply=24&ambient=35&mount_limit=75",
  sensor: "#sensor?r25=100k&beta=3950&pullup=4k7&give=count&value=702&as=beta&as_r25=100k&as_beta=4267",
  machines: "#machines",
};
const README = new Set(["travel-phone-paper", "sensor-desk-paper"]);

for (const folder of ["screens", "docs"]) mkdirSync(FOLDER(folder), { recursive: true });
const browser = await launch();
const site = await serve();
for (const [size, viewport] of Object.entries(SIZES)) {
  for (const [theme, colorScheme] of [["paper", "light"], ["night", "dark"]]) {
    for (const [name, path] of Object.entries(PAGES)) {
      const context = await browser.newContext({ viewport, colorScheme });
      const page = await context.newPage();
      await page.goto(site.url + path);
      await page.waitForFunction(() => document.documentElement.dataset.ready === "1");
      await page.waitForTimeout(300);
      const picture = `${name}-${size}-${theme}`;
      await page.screenshot({ path: `${FOLDER("screens")}${picture}.png` });
      await page.screenshot({ path: `${FOLDER("screens")}${picture}-whole.png`, fullPage: true });
      if (README.has(picture)) {
        await page.screenshot({ path: `${FOLDER("docs")}${name}-${size}.png` });
      }
      await context.close();
    }
  }
}
await browser.close();
await site.stop();
console.log(`Pictures are in ${FOLDER("screens")}`);

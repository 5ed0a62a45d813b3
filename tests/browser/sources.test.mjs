// The page of sources: reached from every page, complete, readable on a small phone.
import assert from "node:assert/strict";
import { test } from "node:test";
import { accessible, fits, go, sheet } from "./steps.mjs";

test("every formula with its source stands on one page, which every page leads to", async (t) => {
  const { page } = await sheet(t, "belt", {}, { width: 320, height: 640 });
  await page.locator(".foot a", { hasText: "Sources" }).click();
  await page.locator("h1", { hasText: "Sources" }).waitFor();
  const steps = await page.locator(".sources .step").evaluateAll((all) =>
    all.map((step) => ({
      label: step.querySelector("b").textContent,
      formula: step.querySelector("p").textContent,
      source: step.querySelector("cite").textContent,
    })),
  );
  assert.ok(steps.length > 200, `${steps.length} formulas`);
  for (const { label, formula, source } of steps) {
    assert.ok(label && formula.length > 2 && source && !/[{}]/.test(formula), `${label} ${formula} ${source}`);
  }
  const tension = steps.find(({ formula }) => formula === "= 4 × mass of the belt per metre × (span that is plucked × frequency of the span)²");
  assert.ok(tension, "the tension of a belt by its tone");
  await fits(page, "the page of sources");
  await accessible(page, "the page of sources");
  // The working of a sheet says the same.
  await page.locator(".sources h2 a", { hasText: /^Belt/ }).click();
  await page.locator("h1", { hasText: /^Belt/ }).waitFor();
  for (const [key, text] of Object.entries({ span: "150", frequency: "110", mass_per_m: "8.4" })) {
    if (await page.locator(`#f-${key}`).count()) await page.locator(`#f-${key}`).fill(text);
  }
  await page.locator(".step cite").first().waitFor({ state: "attached" });
  const worked = await page.locator(".step cite").allTextContents();
  assert.ok(worked.includes(tension.source), `${worked} has ${tension.source}`);
});

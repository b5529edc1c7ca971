// Manners: keyboard, contrast, sizes of type, narrow and wide windows, weight of the script.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { gzipSync } from "node:zlib";
import type { Page } from "@playwright/test";
import { SIDES } from "../src/logic/route";
import { drawn, expect, field, inked, kept, openPlan, test } from "./bench";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const SIZES = [
  [360, 740],
  [1366, 900],
  [3840, 2160],
] as const;

/** What axe-core finds against WCAG 2.2 A and AA. */
async function faults(page: Page): Promise<string[]> {
  await page.evaluate(axe);
  return page.evaluate(async () => {
    const judge = (window as unknown as { axe: { run: (what: Document, how: object) => Promise<{ violations: { id: string; nodes: { html: string; failureSummary?: string }[] }[] }> } }).axe;
    const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
    const { violations } = await judge.run(document, { runOnly: { type: "tag", values: tags } });
    return violations.map(({ id, nodes }) => `${id}: ${nodes.map((node) => `${node.html} ${node.failureSummary}`).join("\n")}`);
  });
}

/** The least size of any text that shows, px. */
function leastType(page: Page): Promise<number> {
  return page.evaluate(() => {
    let least = Infinity;
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      const holder = node.parentElement;
      // Drawings are pictures, drawn to scale.
      if (!holder || !node.textContent?.trim() || holder.closest("svg, option") || !holder.checkVisibility()) continue;
      least = Math.min(least, parseFloat(getComputedStyle(holder).fontSize));
    }
    return least;
  });
}

for (const scheme of ["light", "dark"] as const) {
  test(`accessible on every side, ${scheme}`, async ({ page, server }) => {
    await page.emulateMedia({ colorScheme: scheme });
    await page.goto(server.address);
    await expect(page.locator("article svg").first()).toBeVisible();
    expect(await faults(page)).toEqual([]);
    for (const side of SIDES) {
      await openPlan(page, server, side);
      await expect(page.locator("html")).toHaveAttribute("data-theme", scheme);
      await page.waitForTimeout(150);
      expect(await faults(page), side).toEqual([]);
    }
    await openPlan(page, server, "set");
    await page.locator('[data-setup="mounting.1"]').click();
    await drawn(page);
    expect(await faults(page), "a set-up").toEqual([]);
  });
}

for (const [width, height] of SIZES) {
  test(`nothing runs out of a window ${width} px wide, and all type can be read`, async ({ page, server }) => {
    await page.setViewportSize({ width, height });
    await page.goto(server.address);
    await expect(page.locator("article svg").first()).toBeVisible();
    const overflow = () => page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    expect(await overflow()).toBeLessThanOrEqual(0);
    expect(await leastType(page)).toBeGreaterThanOrEqual(16);
    for (const side of SIDES) {
      await openPlan(page, server, side);
      expect(await overflow(), side).toBeLessThanOrEqual(0);
      expect(await leastType(page), side).toBeGreaterThanOrEqual(16);
    }
    await openPlan(page, server, "set");
    await page.locator('[data-setup="mounting.1"]').click();
    const measure = page.locator("[data-measure] .shown").first();
    await expect(measure).toBeVisible();
    expect(await measure.evaluate((node) => parseFloat(getComputedStyle(node).fontSize))).toBeGreaterThanOrEqual(28);
    expect(await leastType(page)).toBeGreaterThanOrEqual(16);
    await expect.poll(() => inked(page)).toBeGreaterThan(0.02);
  });
}

test("everything is reached by keyboard alone", async ({ page, server }) => {
  await page.goto(server.address);
  await expect(page.locator("article h3").first()).toBeVisible();
  const tabTo = async (wanted: string) => {
    for (let presses = 0; presses < 60; presses++) {
      await page.keyboard.press("Tab");
      if (await page.evaluate((selector) => document.activeElement?.matches(selector) ?? false, wanted)) return;
    }
    throw new Error(`${wanted} is not reached by Tab`);
  };
  await tabTo("article a");
  await page.keyboard.press("Enter");
  await drawn(page);

  await tabTo(".frame");
  const outline = await page.evaluate(() => getComputedStyle(document.activeElement!).outlineStyle);
  expect(outline).not.toBe("none");
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("+");

  await tabTo(".setup");
  await page.keyboard.press("ArrowLeft");
  await expect(page.locator("[data-setup]").last()).toHaveAttribute("aria-current", "step");

  await tabTo('[role="tab"]');
  await page.keyboard.press("Home");
  await expect(page.getByRole("tab", { selected: true })).toHaveText("What to set");
  await page.keyboard.press("ArrowRight");
  await expect(field(page, "ball.diameter")).toBeVisible();
  await tabTo('[id="field-ball.diameter"]');
  await page.keyboard.press("Control+A");
  await page.keyboard.type("58mm");
  await page.keyboard.press("Enter");
  await kept(page);
  await expect.poll(() => server.plan()).toContain("58");
  await tabTo('[data-field="ball.diameter"] input[type=range], [data-field="cove.depth"] input[type=range]');
  const before = server.plan();
  await page.keyboard.press("ArrowRight");
  await expect.poll(() => server.plan()).not.toBe(before);
  await page.keyboard.press("Control+z");
  await expect.poll(() => server.plan()).toBe(before);
});

test("the theme follows the switch and is remembered", async ({ page, server }) => {
  await openPlan(page, server);
  await page.getByRole("combobox", { name: "Light" }).selectOption("dark");
  await expect(page.locator("html")).toHaveAttribute("data-theme", "dark");
  await page.reload();
  await drawn(page);
  await expect(page.locator("html")).toHaveAttribute("data-theme", "dark");
  await expect.poll(() => inked(page)).toBeGreaterThan(0.02);
  await expect(field(page, "ball.diameter")).toBeVisible();
});

test("the page's script weighs less than 300 kB packed, and none stands in the page", async ({ page, server }) => {
  const scripts: string[] = [];
  page.on("response", (answer) => {
    if (answer.request().resourceType() === "script") scripts.push(answer.url());
  });
  await openPlan(page, server);
  let weight = 0;
  for (const script of scripts) weight += gzipSync(await (await page.request.get(script)).body()).length;
  console.log(`script, packed: ${(weight / 1000).toFixed(0)} kB in ${scripts.length} files`);
  expect(scripts.length).toBeGreaterThan(0);
  expect(weight).toBeLessThan(300_000);
  const policy = (await page.request.get(server.address)).headers()["content-security-policy"] ?? "";
  expect(policy).toContain("default-src");
  expect(policy).not.toContain("unsafe-eval");
  expect(/script-src[^;]*unsafe-inline/.test(policy)).toBe(false);
});

// The pictures of docs/first-use.md, taken anew with RONDURE_PICTURES naming their folder.
import { join } from "node:path";
import type { Page } from "@playwright/test";
import { drawn, expect, openPlan, slider, test } from "./bench";

const folder = process.env.RONDURE_PICTURES;
test.skip(!folder, "pictures are taken on demand");

/** Waits until nothing is under way, and keeps what shows. */
async function picture(page: Page, name: string): Promise<void> {
  await expect(page.locator(".slow.on")).toHaveCount(0);
  await page.waitForTimeout(2500);
  await page.screenshot({ path: join(folder ?? "", `page-${name}.png`), animations: "disabled" });
}

test("the shelf", async ({ page, server }) => {
  await page.goto(server.address);
  await expect(page.locator("article svg").first()).toBeVisible();
  await picture(page, "shelf");
});

test("numbers, with a finding beside the value that mends it", async ({ page, server }) => {
  await openPlan(page, server);
  await slider(page, "cove.depth").fill("9");
  await expect(page.locator('[data-field="cove.depth"] [data-finding]').first()).toBeVisible();
  await slider(page, "cove.depth").focus();
  await expect(page.locator('[data-field="cove.depth"] .limits li').first()).toBeVisible({ timeout: 120_000 });
  await page.locator('[data-field="cove.depth"]').evaluate((node) => node.scrollIntoView({ block: "start" }));
  await picture(page, "numbers");
});

test("a set-up on the lathe", async ({ page, server }) => {
  await openPlan(page, server, "set");
  await page.locator('[data-setup="mounting.2"]').click();
  await expect(page.getByLabel("Before and after")).toBeEnabled();
  await picture(page, "set");
});

test("by night", async ({ page, server }) => {
  await page.emulateMedia({ colorScheme: "dark" });
  await openPlan(page, server, "set");
  await page.locator('[data-setup="mounting.3"]').click();
  await expect(page.getByLabel("Before and after")).toBeEnabled();
  await picture(page, "dark");
});

test("coloured by thickness and cut open, with the section drawn", async ({ page, server }) => {
  await openPlan(page, server, "drawings");
  await page.getByRole("combobox", { name: "Coloured by" }).selectOption("thickness");
  await expect(page.locator(".legend li").first()).toBeVisible();
  await page.getByRole("button", { name: "Cut open" }).click();
  await expect(page.locator(".sheet svg")).toBeVisible();
  await picture(page, "drawings");
});

test("on a phone", async ({ page, server }) => {
  await page.setViewportSize({ width: 360, height: 740 });
  await openPlan(page, server, "set");
  await page.locator('[data-setup="mounting.2"]').click();
  await drawn(page);
  await page.locator("#side").evaluate((node) => node.scrollIntoView());
  await picture(page, "phone");
});

// The shelf: plans made, copied, renamed, removed and taken back.
import { drawn, expect, test } from "./bench";

test("the shelf shows the demo plan and opens it", async ({ page, server }) => {
  await page.goto(server.address);
  const cards = page.locator("article");
  await expect(cards.first().locator("h3")).toHaveText("Lavender ball, middle size");
  await expect(cards.first().locator(".picture svg")).toBeVisible();
  await cards.first().getByRole("link").click();
  await drawn(page);
  await expect(page.getByRole("heading", { level: 1 })).toHaveText("Lavender ball, middle size");
});

test("a plan is made, copied, renamed, removed and taken back", async ({ page, server }) => {
  await page.goto(server.address);
  await page.getByLabel("Diameter").fill("2 3/8 in");
  await page.getByLabel("Units").selectOption("in");
  await page.getByRole("textbox", { name: /^Name/ }).fill("hanging-three");
  await page.getByRole("button", { name: "Make the plan" }).click();
  await drawn(page);
  expect(server.plan("hanging-three")).toContain("2 3/8");

  await page.getByRole("link", { name: "Shelf", exact: true }).click();
  const card = page.locator("article").filter({ has: page.locator('a[href*="hanging-three"]') });
  await card.getByRole("button", { name: /^Copy/ }).click();
  await page.getByLabel("New name").fill("hanging-four");
  await page.getByRole("button", { name: "Save" }).click();
  const copied = page.locator("article").filter({ has: page.locator('a[href*="hanging-four"]') });
  await expect(copied).toBeVisible();

  await copied.getByRole("button", { name: /^Rename/ }).click();
  await page.getByLabel("New name").fill("hanging-five");
  await page.getByLabel("New name").press("Enter");
  const renamed = page.locator("article").filter({ has: page.locator('a[href*="hanging-five"]') });
  await expect(renamed).toBeVisible();
  await expect(copied).toHaveCount(0);

  await renamed.getByRole("button", { name: /^Remove/ }).click();
  await expect(renamed).toHaveCount(0);
  await page.getByRole("button", { name: "Take it back" }).click();
  await expect(renamed).toBeVisible();
  expect(server.plan("hanging-five")).toBe(server.plan("hanging-three"));
});

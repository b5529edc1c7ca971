// The same piece at another size: numbers found, kept, refused with reasons, put on the shelf.
import { drawn, expect, kept, openPlan, test } from "./bench";

test("another size is found, a number kept, and the plan put on the shelf", async ({ page, server }) => {
  await openPlan(page, server, "size");
  await page.getByLabel("New diameter").fill("45 mm");
  await page.getByRole("button", { name: "Find its numbers" }).click();
  const row = (label: string) => page.getByRole("row", { name: new RegExp(`^${label}`) });
  await expect(row("Pierced holes")).toContainText("9 mm");
  await expect(row("Room for glue")).toContainText("held");

  await page.getByRole("checkbox", { name: "Keep Bore as it is" }).check();
  await expect(row("Bore")).toContainText("kept");
  await page.getByRole("checkbox", { name: "Keep Bore as it is" }).uncheck();
  await expect(row("Bore")).toContainText("15 mm");

  await page.getByLabel("Name of the new plan").fill("ball-45");
  await page.getByRole("button", { name: "Put it on the shelf" }).click();
  await expect(page).toHaveURL(/plan\/ball-45/);
  await drawn(page);
  await kept(page);
  expect(server.plan("ball-45")).toContain('diameter = "45 mm"');
  expect(server.plan("ball-45")).toContain("# ball surface left between neighbouring coves");
  expect(server.plan()).toContain('diameter = "60 mm"');
});

test("a size that cannot be says why and what works", async ({ page, server }) => {
  await openPlan(page, server, "size");
  await page.getByLabel("New diameter").fill("20 mm");
  await page.getByRole("button", { name: "Find its numbers" }).click();
  await expect(page.getByRole("heading", { name: "In the way" })).toBeVisible();
  await expect(page.getByText("The nearest size that works is")).toBeVisible();
});

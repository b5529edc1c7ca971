// Numbers: typed, taken from the rack, slid until something breaks, mended, undone.
import { drawn, expect, field, grab, inked, kept, openPlan, slider, test, UNREADABLE, worked, write } from "./bench";

test("a diameter typed is kept, worked out and drawn", async ({ page, server }) => {
  await openPlan(page, server);
  await expect.poll(() => inked(page)).toBeGreaterThan(0.03);
  await write(page, "ball.diameter", "2 1/4 in");
  await kept(page);
  await expect.poll(() => server.plan()).toContain("2 1/4 in");
  await expect(field(page, "ball.diameter")).toHaveValue("2 1/4 in");
  await page.getByRole("tab", { name: "What to set" }).click();
  await expect(page.locator("#side")).toContainText("cm³");
});

test("a value typed while the one before is still worked out stays as it was typed", async ({ page, server }) => {
  // The answers about the findings are held back until the test lets them go.
  const held: (() => void)[] = [];
  await openPlan(page, server);
  await page.route("**/api/work", async (route) => {
    const response = await route.fetch();
    await new Promise<void>((go) => held.push(go));
    await route.fulfill({ response });
  });
  await page.route("**/api/change", async (route) => {
    if (held.length === 1) held[0]!();
    await page.waitForTimeout(400);
    await route.continue();
  });
  const shown: string[] = [];
  await page.exposeFunction("shows", (value: string) => shown.push(value));
  await write(page, "bore.diameter", "22 mm");
  await expect.poll(() => held.length).toBe(1);
  await field(page, "bore.diameter").evaluate((node: HTMLInputElement) => {
    const each = () => {
      (window as unknown as { shows: (value: string) => void }).shows(node.value);
      requestAnimationFrame(each);
    };
    each();
  });
  await write(page, "bore.diameter", "23 mm");
  await expect.poll(() => held.length).toBe(2);
  held[1]!();
  await worked(page);
  await expect(field(page, "bore.diameter")).toHaveValue("23 mm");
  const last = shown.lastIndexOf("22 mm");
  expect(shown.indexOf("23 mm")).toBeGreaterThan(last);
  await expect.poll(() => server.plan()).toContain('"23 mm"');
  // The server may end while the page still asks.
  await page.unrouteAll({ behavior: "ignoreErrors" });
});

test("what is no length is refused with what is allowed, and changes nothing", async ({ page, server, expected }) => {
  expected.push(UNREADABLE);
  await openPlan(page, server);
  const before = server.plan();
  await write(page, "ball.diameter", "sixty");
  await expect(page.locator('[data-field="ball.diameter"] [role=alert]')).toContainText("sixty");
  await expect(field(page, "ball.diameter")).toHaveAttribute("aria-invalid", "true");
  expect(server.plan()).toBe(before);
  await write(page, "ball.diameter", "58 mm");
  await expect(page.locator('[data-field="ball.diameter"] [role=alert]')).toHaveCount(0);
  await expect.poll(() => server.plan()).toContain("58 mm");
});

test("the rack offers its bits", async ({ page, server }) => {
  await openPlan(page, server);
  await field(page, "pierce.diameter").focus();
  await page.keyboard.press("ArrowDown");
  const list = page.getByRole("listbox", { name: /rack offers/ }).first();
  await expect(list).toBeVisible();
  const chosen = await list.getByRole("option", { selected: true }).textContent();
  await page.keyboard.press("ArrowUp");
  await page.keyboard.press("Enter");
  await kept(page);
  await expect(field(page, "pierce.diameter")).not.toHaveValue("12 mm");
  expect(chosen).toContain("12 mm");
  await expect.poll(() => server.plan()).not.toContain('diameter = "12 mm"');
});

test("depth is slid until something breaks; its mend is applied and undone", async ({ page, server }) => {
  await openPlan(page, server);
  const grave = page.locator('[data-field="cove.depth"] [data-finding]');
  await expect(grave).toHaveCount(0);
  const kept_before = server.plan();

  // While it is dragged the finding arrives; nothing is kept before it is let go.
  const place = await grab(page, "cove.depth", 0.35);
  for (let share = 0.35; share <= 0.97; share += 0.04) {
    await page.mouse.move(...place(share));
    await page.waitForTimeout(40);
  }
  await expect(grave.first()).toBeVisible();
  expect(server.plan()).toBe(kept_before);
  await page.mouse.up();
  await kept(page);
  await expect.poll(() => server.plan()).not.toBe(kept_before);
  const deep = server.plan();

  const mend = page.locator('[data-field="cove.depth"] [data-mend="cove.depth"]').first();
  await expect(mend).toBeVisible();
  await mend.click();
  await expect.poll(() => server.plan()).not.toBe(deep);
  await kept(page);

  await page.getByRole("button", { name: "Undo" }).first().click();
  await expect.poll(() => server.plan()).toBe(deep);
  await page.getByRole("button", { name: "Redo" }).click();
  await expect.poll(() => server.plan()).not.toBe(deep);
});

test("the limits are shown on the slider", async ({ page, server }) => {
  await openPlan(page, server);
  await slider(page, "cove.depth").focus();
  await expect(page.locator('[data-field="cove.depth"] .limits li').first()).toBeVisible({ timeout: 120_000 });
  const spans = page.locator('[data-field="cove.depth"] .band span');
  expect(await spans.count()).toBeGreaterThan(0);
});

test("units are switched without changing a length, and back", async ({ page, server }) => {
  await openPlan(page, server, "set");
  await page.locator('[data-setup="ball"]').click();
  const shown = page.locator("[data-measure] .shown");
  await expect(shown.first()).toContainText("mm");
  await page.getByRole("button", { name: "inch", exact: true }).click();
  await expect(shown.first()).toContainText("in");
  await expect.poll(() => server.plan()).toContain('units = "in"');
  await page.getByRole("button", { name: "mm", exact: true }).click();
  await expect(shown.first()).toContainText("mm");
});

test("a reload finds everything: plan, set-up, side, change, and the way back", async ({ page, server }) => {
  await openPlan(page, server);
  const before = server.plan();
  await write(page, "bore.diameter", "22 mm");
  await kept(page);
  await page.locator('[data-setup="mounting.2"]').click();
  await drawn(page);
  await page.reload();
  await drawn(page);
  await expect(page.locator('[data-setup="mounting.2"]')).toHaveAttribute("aria-current", "step");
  await expect(field(page, "bore.diameter")).toHaveValue("22 mm");
  await page.getByRole("button", { name: "Undo" }).first().click();
  await expect.poll(() => server.plan()).toBe(before);
  await expect(field(page, "bore.diameter")).toHaveValue("20 mm");
});

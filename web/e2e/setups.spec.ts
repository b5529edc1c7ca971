// The job set-up by set-up: the piece on the lathe, what to set, ticks that stay.
import { drawn, expect, inked, openPlan, test } from "./bench";

test("every set-up is stepped through, drawn, and says what to set", async ({ page, server }) => {
  await openPlan(page, server, "set");
  const setups = page.locator("[data-setup]");
  const count = await setups.count();
  expect(count).toBe(11);
  await page.getByRole("button", { name: "Go to set-up 1" }).click();
  for (let at = 0; at < count; at++) {
    await expect(setups.nth(at)).toHaveAttribute("aria-current", "step");
    await expect(setups.nth(at).locator("svg")).toBeVisible();
    await expect(page.locator("#side h2").first()).toHaveText((await setups.nth(at).locator(".title").textContent())!);
    await drawn(page);
    await expect.poll(() => inked(page)).toBeGreaterThan(0.02);
    await page.getByRole("button", { name: "Later set-up" }).click();
  }
  await expect(page.getByRole("button", { name: "Finished piece" })).toHaveAttribute("aria-current", "step");
});

test("ticks stay after a reload and are no part of the plan", async ({ page, server }) => {
  await openPlan(page, server, "set");
  await page.locator('[data-setup="mounting.1"]').click();
  const before = server.plan();
  const tick = page.locator("[data-measure] input").first();
  await tick.check();
  await expect(page.locator('[data-setup="mounting.1"] .done')).toContainText("1 of");
  await page.reload();
  await drawn(page);
  await expect(page.locator("[data-measure] input").first()).toBeChecked();
  expect(server.plan()).toBe(before);
});

test("the piece is coloured, cut open, touched, and compared with the wood before", async ({ page, server }) => {
  await openPlan(page, server);
  await page.getByRole("combobox", { name: "Coloured by" }).selectOption("thickness");
  await expect(page.locator(".legend li").first()).toContainText("mm");
  await page.getByRole("combobox", { name: "Coloured by" }).selectOption("step");
  await expect(page.locator(".legend")).toContainText("cove");
  await page.getByRole("button", { name: "Cut open" }).click();
  await expect.poll(() => inked(page)).toBeGreaterThan(0.02);
  await page.getByRole("button", { name: "Cut open" }).click();
  const box = (await page.locator(".frame canvas").boundingBox())!;
  await page.mouse.click(box.x + box.width / 2, box.y + box.height * 0.4);
  await expect(page.locator(".touched li").first()).toBeVisible();
  await page.locator('[data-setup="mounting.2"]').click();
  await expect(page.getByLabel("Before and after")).toBeEnabled();
});

test("a finding is flown to", async ({ page, server }) => {
  await openPlan(page, server, "findings");
  const finding = page.locator("[data-finding]").filter({ has: page.getByRole("button", { name: /^Show the place/ }) }).first();
  await finding.getByRole("button", { name: /^Show the place/ }).click();
  await expect(finding).toHaveClass(/pointed/);
  await expect.poll(() => inked(page)).toBeGreaterThan(0.02);
});

test("drawings, paper and files are there", async ({ page, server }) => {
  await openPlan(page, server, "drawings");
  const which = page.getByRole("combobox", { name: "Drawing", exact: true });
  await expect(which).toHaveValue("ball.section.axis");
  await expect(page.locator(".sheet svg")).toBeVisible();
  await which.selectOption("strip");
  await expect(page.locator(".sheet svg")).toBeVisible();
  await page.getByRole("tab", { name: "Paper and files" }).click();
  for (const [link, kind] of [
    ["Packet on A4 (PDF)", "application/pdf"],
    ["Packet on Letter (PDF)", "application/pdf"],
    ["Save 3MF", "3mf"],
    ["Save STL", "stl"],
    ["Save glTF", "gltf"],
  ] as const) {
    const address = await page.getByRole("link", { name: link }).getAttribute("href");
    const answer = await page.request.get(`${server.address}${address}`);
    expect(answer.status(), link).toBe(200);
    expect(answer.headers()["content-type"], link).toContain(kind);
  }
});

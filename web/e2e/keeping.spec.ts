// Nothing is lost and nothing is overwritten: power cuts, two tabs, an editor beside the page.
import { AWAY, built, CONFLICT, drawn, expect, field, kept, listen, openPlan, test, UNREADABLE, write } from "./bench";

test("a server killed in the middle of edits loses nothing", async ({ page, server, expected }) => {
  expected.push(AWAY);
  await openPlan(page, server);
  await write(page, "bore.diameter", "22 mm");
  await kept(page);
  await server.kill();
  await write(page, "pierce.diameter", "11 mm");
  await expect(page.getByRole("alert").filter({ hasText: "does not answer" })).toBeVisible();
  await expect(field(page, "pierce.diameter")).toHaveValue("11 mm");
  await server.start();
  await kept(page);
  await expect(page.getByRole("alert").filter({ hasText: "does not answer" })).toHaveCount(0);
  await expect.poll(() => server.plan()).toContain('"11 mm"');
  expect(server.plan()).toContain('"22 mm"');
  // The way back reaches over the power cut.
  await page.getByRole("button", { name: "Undo" }).first().click();
  await expect.poll(() => server.plan()).toContain('"12 mm"');
  await page.getByRole("button", { name: "Undo" }).first().click();
  await expect.poll(() => server.plan()).toContain('"20 mm"');
});

test("a change made while the server was gone outlives a closed page", async ({ page, server, expected, context }) => {
  expected.push(AWAY);
  await openPlan(page, server);
  await server.kill();
  await write(page, "bore.diameter", "22 mm");
  await expect(page.getByRole("alert").filter({ hasText: "does not answer" })).toBeVisible();
  await page.close();
  await server.start();
  const again = await context.newPage();
  await openPlan(again, server);
  await kept(again);
  await expect(field(again, "bore.diameter")).toHaveValue("22 mm");
  await expect.poll(() => server.plan()).toContain('"22 mm"');
});

test("two tabs on one plan show each other's changes", async ({ page, server, context }) => {
  await openPlan(page, server);
  const other = await context.newPage();
  const complaints = listen(other, server);
  await openPlan(other, server);
  await write(page, "bore.diameter", "22 mm");
  await expect(field(other, "bore.diameter")).toHaveValue("22 mm");
  await write(other, "pierce.diameter", "11 mm");
  await expect(field(page, "pierce.diameter")).toHaveValue("11 mm");
  expect(server.plan()).toContain('"22 mm"');
  expect(server.plan()).toContain('"11 mm"');
  expect(complaints).toEqual([]);
});

test("two browsers never overwrite each other silently", async ({ page, server, browser, expected }) => {
  expected.push(CONFLICT);
  await openPlan(page, server);
  const elsewhere = await browser.newContext();
  await built(elsewhere, server);
  const other = await elsewhere.newPage();
  await openPlan(other, server);
  await write(other, "bore.diameter", "22 mm");
  await kept(other);

  await write(page, "bore.diameter", "18 mm");
  const clash = page.getByRole("alert").filter({ hasText: "changed elsewhere" });
  await expect(clash).toBeVisible();
  await expect(field(page, "bore.diameter")).toHaveValue("22 mm");
  expect(server.plan()).toContain('"22 mm"');
  await clash.getByRole("button", { name: "Put mine in its place" }).click();
  await expect.poll(() => server.plan()).toContain('"18 mm"');
  await expect(clash).toHaveCount(0);
  await page.getByRole("button", { name: "Undo" }).first().click();
  await expect.poll(() => server.plan()).toContain('"22 mm"');
  await elsewhere.close();
});

test("bad plan text is told at its line, kept, and mended", async ({ page, server, expected }) => {
  expected.push(UNREADABLE);
  await openPlan(page, server, "text");
  const area = page.getByLabel("The plan's text");
  const good = await area.inputValue();
  const bad = good.replace('diameter = "60 mm"', 'diameter = "sixty"');
  const line = bad.split("\n").findIndex((each) => each.includes("sixty")) + 1;
  await area.fill(bad);
  const problem = page.locator(`.problem[data-line="${line}"]`);
  await expect(problem).toContainText("sixty");
  await expect(page.locator("ol li.wrong")).toHaveText(String(line));
  await expect.poll(() => server.plan()).toBe(bad);
  await problem.getByRole("button").click();
  const chosen = await area.evaluate((node: HTMLTextAreaElement) => node.value.slice(node.selectionStart, node.selectionEnd));
  expect(chosen).toContain("sixty");
  await area.fill(good);
  await expect(problem).toHaveCount(0);
  await expect.poll(() => server.plan()).toBe(good);
});

test("a plan changed by an editor is taken up", async ({ page, server }) => {
  await openPlan(page, server);
  server.write("lavender-ball-60", server.plan().replace('"20 mm"', '"22 mm"'));
  await page.evaluate(() => document.dispatchEvent(new Event("visibilitychange", { bubbles: true })));
  await expect(field(page, "bore.diameter")).toHaveValue("22 mm");
  await drawn(page);
});

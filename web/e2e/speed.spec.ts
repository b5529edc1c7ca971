// How fast: reported, not asserted. A machine under load would fail for no fault of the page.
import { expect, field, grab, kept, openPlan, test, worked, write } from "./bench";

/** The value below which such a share of them lies. */
function quantile(times: number[], share: number): number {
  const sorted = [...times].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.ceil(share * sorted.length) - 1)]!;
}

const ms = (time: number) => `${time.toFixed(0)} ms`;

test("from a changed number to the new picture, over 50 changes", async ({ page, server }) => {
  test.setTimeout(900_000);
  await openPlan(page, server);
  const times = () =>
    page.evaluate(() => performance.getEntriesByName("rondure.picture").map((entry) => entry.duration));
  const firsts = () => page.evaluate(() => performance.getEntriesByName("rondure.first-picture").map((entry) => entry.duration));
  await expect.poll(async () => (await firsts()).length).toBe(1);
  const [first = NaN] = await firsts();
  console.log(`first picture after the page opens: ${ms(first)}`);

  for (let change = 0; change < 50; change++) {
    const before = (await times()).length;
    await write(page, "ball.diameter", `${58 + ((change * 7) % 50) / 10} mm`);
    await expect.poll(async () => (await times()).length, { intervals: [10], timeout: 180_000 }).toBeGreaterThan(before);
    // The next is written when nothing of this one is under way: each picture is that of one change.
    await worked(page);
    await kept(page);
  }
  const typed = await times();
  expect(typed.length).toBeGreaterThanOrEqual(50);
  console.log(`typed, to the new picture: median ${ms(quantile(typed, 0.5))}, 95th percentile ${ms(quantile(typed, 0.95))} of ${typed.length}`);

  await page.evaluate(() => performance.clearMeasures("rondure.picture"));
  const place = await grab(page, "cove.depth", 0.3);
  for (let move = 0; move < 120; move++) {
    await page.mouse.move(...place(0.3 + 0.12 * Math.sin(move / 9)));
    await page.waitForTimeout(16);
  }
  await page.mouse.up();
  const dragged = await times();
  expect(dragged.length).toBeGreaterThan(3);
  console.log(`dragged, to the new picture: median ${ms(quantile(dragged, 0.5))}, 95th percentile ${ms(quantile(dragged, 0.95))} of ${dragged.length}`);
  await expect(field(page, "cove.depth")).toBeVisible();
});

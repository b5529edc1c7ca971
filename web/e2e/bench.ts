// What every browser test shares: a server of its own, a page that may not complain, and the
// few moves a turner makes again and again.
import { join } from "node:path";
import { type BrowserContext, type ConsoleMessage, expect, test as base, type Locator, type Page } from "@playwright/test";
import { DEMO, Server } from "./server";

/** As strict as the server's own. */
const POLICY =
  "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; img-src 'self' blob:; connect-src 'self'; base-uri 'none'; form-action 'none'";

interface Bench {
  server: Server;
  /** Complaints of the page that a test brings about on purpose. */
  expected: RegExp[];
}

export const test = base.extend<Bench>({
  server: async ({}, use) => {
    const server = new Server();
    await server.start();
    await use(server);
    await server.end();
  },
  context: async ({ context, server }, use) => {
    await built(context, server);
    await use(context);
  },
  expected: async ({}, use) => use([]),
  page: async ({ page, server, expected }, use) => {
    const complaints = listen(page, server);
    await use(page);
    expect(complaints.filter((line) => !expected.some((known) => known.test(line)))).toEqual([]);
  },
});

/** With `RONDURE_PAGE`, a page just built stands in for the one the binary carries. */
export async function built(context: BrowserContext, server: Server): Promise<void> {
  const folder = process.env.RONDURE_PAGE;
  if (!folder) return;
  const own = (address: URL) => address.origin === server.address && !address.pathname.startsWith("/api/");
  await context.route(own, async (route) => {
    const { pathname } = new URL(route.request().url());
    const headers = { "content-security-policy": POLICY };
    await route.fulfill({ path: join(folder, pathname === "/" ? "index.html" : pathname), headers });
  });
}

/** Gathers what a page complains of, and every address it asks that is not the server's. */
export function listen(page: Page, server: Server): string[] {
  const complaints: string[] = [];
  page.on("console", (message: ConsoleMessage) => {
    if (message.type() === "error" || message.type() === "warning") complaints.push(`${message.text()} ${message.location().url}`);
  });
  page.on("pageerror", (error) => complaints.push(String(error)));
  page.on("request", (request) => {
    const address = request.url();
    if (!address.startsWith(server.address) && !address.startsWith("blob:")) complaints.push(`asked ${address}`);
  });
  return complaints;
}

/** The server is expected to be away, or to say no. */
export const AWAY = /ERR_CONNECTION_REFUSED|ERR_EMPTY_RESPONSE|ERR_CONNECTION_RESET|ERR_INCOMPLETE_CHUNKED|ERR_SOCKET_NOT_CONNECTED/;
export const CONFLICT = /status of 409/;
export const UNREADABLE = /status of 422/;

export async function openPlan(page: Page, server: Server, side = "numbers", name = DEMO): Promise<void> {
  await page.goto(`${server.address}/#/plan/${name}?side=${side}`);
  await expect(page.locator(`[data-side=${side}]`)).toBeVisible();
  await drawn(page);
}

/** Waits until the piece is there, and the numbers of the text that shows. */
export async function drawn(page: Page): Promise<void> {
  await expect(page.locator(".frame[data-ready=true]")).toBeVisible();
  await worked(page);
}

/** Waits until what shows is worked out from the text as it stands. */
export async function worked(page: Page): Promise<void> {
  await expect(page.locator("[data-worked=true]")).toBeVisible();
}

export const field = (page: Page, key: string): Locator => page.locator(`[id="field-${key}"]`);
export const slider = (page: Page, key: string): Locator => page.locator(`[data-field="${key}"] input[type=range]`);

/** Takes a slider's thumb at a share of the track, when nothing moves it from its place any
 * more; gives the place on the page of each share. */
export async function grab(page: Page, key: string, share: number): Promise<(share: number) => [number, number]> {
  await worked(page);
  const track = slider(page, key);
  await track.scrollIntoViewIfNeeded();
  const there = (share: number) =>
    track.evaluate((node, share) => {
      const { x, y, width, height } = node.getBoundingClientRect();
      return { x, y, width, height, bare: document.elementFromPoint(x + share * width, y + height / 2) === node };
    }, share);
  let box = await there(share);
  await expect(async () => {
    const before = box;
    await page.waitForTimeout(200);
    box = await there(share);
    expect(box).toEqual({ ...before, bare: true });
  }).toPass();
  const { x, y, width, height } = box;
  const place = (share: number): [number, number] => [x + width * share, y + height / 2];
  await page.mouse.move(...place(share));
  await page.mouse.down();
  await expect(track).toBeFocused();
  return place;
}

/** Writes a value as a turner does. */
export async function write(page: Page, key: string, value: string): Promise<void> {
  await field(page, key).fill(value);
  await expect(field(page, key)).toHaveValue(value);
  await field(page, key).press("Enter");
}

export async function kept(page: Page): Promise<void> {
  await expect(page.locator("[data-kept=true]")).toBeVisible();
}

/** Share of the canvas whose colour differs from its corner's: 0 of an empty picture. */
export async function inked(page: Page): Promise<number> {
  const png = await page.locator(".frame canvas").screenshot();
  return page.evaluate(async (bytes) => {
    const picture = await createImageBitmap(new Blob([new Uint8Array(bytes)], { type: "image/png" }));
    const canvas = new OffscreenCanvas(picture.width, picture.height);
    const context = canvas.getContext("2d")!;
    context.drawImage(picture, 0, 0);
    const { data } = context.getImageData(0, 0, picture.width, picture.height);
    let differ = 0;
    for (let at = 0; at < data.length; at += 4) {
      const away = Math.abs(data[at]! - data[0]!) + Math.abs(data[at + 1]! - data[1]!) + Math.abs(data[at + 2]! - data[2]!);
      if (away > 24) differ += 1;
    }
    return (4 * differ) / data.length;
  }, [...png]);
}

export { expect };

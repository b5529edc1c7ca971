// The page in Debian's Chromium, against the release binary. Solids are drawn in software, so
// that a machine without a graphics card draws the same.
import { existsSync } from "node:fs";
import { defineConfig } from "@playwright/test";

const chromium = [process.env.RONDURE_CHROMIUM, "/usr/bin/chromium", "/usr/bin/chromium-browser"].find(
  (path) => path && existsSync(path),
);

export default defineConfig({
  testDir: "e2e",
  outputDir: process.env.RONDURE_E2E_OUT ?? "test-results",
  workers: 1,
  timeout: 480_000,
  expect: { timeout: 60_000 },
  reporter: [["list"], ["./e2e/counting.ts"]],
  use: {
    viewport: { width: 1366, height: 900 },
    deviceScaleFactor: 1,
    locale: "en-GB",
    timezoneId: "UTC",
    screenshot: "only-on-failure",
    launchOptions: {
      ...(chromium && { executablePath: chromium }),
      args: ["--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--force-color-profile=srgb"],
    },
  },
});

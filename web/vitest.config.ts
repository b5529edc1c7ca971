import { defineConfig } from "vitest/config";

export default defineConfig({
  test: { reporters: ["default", "./tests/counting.ts"], include: ["tests/**/*.test.ts", "src/**/*.test.ts"] },
});

// Counts the tests of the page's logic in the line that the whole test command reads.
import type { Reporter, TestModule } from "vitest/node";

export default class Counting implements Reporter {
  onTestRunEnd(modules: readonly TestModule[]): void {
    let passed = 0;
    let failed = 0;
    for (const module of modules) {
      for (const test of module.children.allTests()) {
        if (test.result().state === "passed") passed += 1;
        else if (test.result().state === "failed") failed += 1;
      }
    }
    console.log(`checks: ${passed} passed, ${failed} failed`);
  }
}

// Counts the browser tests in the line that the whole test command reads.
import type { Reporter, TestCase, TestResult } from "@playwright/test/reporter";

export default class Counting implements Reporter {
  private ends = new Map<string, boolean>();

  onTestEnd(test: TestCase, result: TestResult): void {
    if (result.status !== "skipped") this.ends.set(test.id, test.outcome() !== "unexpected");
  }

  onEnd(): void {
    const ends = [...this.ends.values()];
    const passed = ends.filter(Boolean).length;
    console.log(`checks: ${passed} passed, ${ends.length - passed} failed`);
  }
}

import type { Reporter, TestModule } from 'vitest/node';

/** Prints each skipped test with its reason, then one closing line with the counts: `N passed, N failed, N skipped`. */
export default class ClosingLine implements Reporter {
  onTestRunEnd(modules: readonly TestModule[]): void {
    let passed = 0;
    let failed = 0;
    let skipped = 0;
    for (const module of modules) {
      // A file that can't even be loaded has no tests to count, yet it has failed.
      if (module.errors().length > 0) failed += 1;
      for (const test of module.children.allTests()) {
        const result = test.result();
        if (result.state === 'passed') passed += 1;
        else if (result.state === 'failed') failed += 1;
        else if (result.state === 'skipped') {
          skipped += 1;
          console.log(`SKIPPED: ${test.fullName}: ${result.note ?? 'no reason given'}`);
        }
      }
    }
    console.log(`${passed} passed, ${failed} failed, ${skipped} skipped`);
  }
}

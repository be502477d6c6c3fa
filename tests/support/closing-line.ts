import type { Reporter, TestModule } from 'vitest/node';

/** Prints each skipped test with its reason and each that was tried again, then one closing line with the counts: `N passed, N failed, N skipped`. */
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
        const again = test.diagnostic()?.retryCount ?? 0;
        if (again > 0) console.log(`TRIED AGAIN: ${test.fullName}: ${result.state} after ${again} more`);
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

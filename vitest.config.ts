import { defineConfig } from 'vitest/config';

const shared = { testTimeout: 30_000, hookTimeout: 120_000 };

/**
 * Two groups, one after the other: everything that needs only Node, side by side; then the tests that drive a browser
 * with a running camera, one file at a time, because they need both cores to keep the camera's pace.
 */
export default defineConfig({
  test: {
    reporters: ['default', './tests/support/closing-line.ts'],
    coverage: { provider: 'v8', include: ['core/**/*.ts'], reporter: ['text-summary', 'json-summary'] },
    projects: [
      {
        test: {
          ...shared,
          name: 'node',
          include: ['tests/{core,electron,renderer,build}/**/*.test.{ts,tsx}'],
          maxWorkers: 2,
          sequence: { groupOrder: 0 },
        },
      },
      {
        test: {
          ...shared,
          name: 'browser',
          include: ['tests/e2e/**/*.test.ts'],
          setupFiles: ['tests/support/failure-report.ts'],
          fileParallelism: false,
          maxWorkers: 1,
          // As long as the pages themselves are waited for. How quick something must be is measured in tests/bench.
          expect: { poll: { timeout: 20_000 } },
          testTimeout: 240_000,
          hookTimeout: 240_000,
          sequence: { groupOrder: 1 },
        },
      },
    ],
  },
});

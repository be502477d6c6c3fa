import { defineConfig } from 'vitest/config';

// Long enough for two cores that something else is using: a limit here ends what hangs, it measures nothing.
const shared = { testTimeout: 120_000, hookTimeout: 120_000 };

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
          fileParallelism: false,
          maxWorkers: 1,
          // The recorded hands hold each place for 1.7 s: a machine that loses half a second of frames there loses a stamp.
          // The closing lines name what passed only at the second time.
          retry: 1,
          testTimeout: 240_000,
          hookTimeout: 240_000,
          sequence: { groupOrder: 1 },
        },
      },
    ],
  },
});

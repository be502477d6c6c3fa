import { defineConfig } from 'vitest/config';

/** The tests that must notice a broken formula: those of the measurement maths, without the picture code. */
export default defineConfig({
  test: {
    include: ['tests/core/**/*.test.ts'],
    exclude: ['tests/core/wheel/**', 'tests/core/mockup/**', 'tests/core/contract/**', 'node_modules/**'],
    testTimeout: 10_000,
    maxWorkers: 1,
  },
});

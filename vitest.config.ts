import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts', 'tests/**/*.test.tsx'],
    exclude: ['tests/bench/**', 'tests/prove/**', 'node_modules/**'],
    reporters: ['default', './tests/support/closing-line.ts'],
    testTimeout: 30_000,
    hookTimeout: 120_000,
    maxWorkers: 2,
    coverage: { provider: 'v8', include: ['core/**/*.ts'], reporter: ['text-summary', 'json-summary'] },
  },
});

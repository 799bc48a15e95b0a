import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    setupFiles: ['tests/support/setup.ts'],
    testTimeout: 300_000,
    hookTimeout: 300_000,
    reporters: ['default', './tests/support/totals-reporter.ts'],
  },
});

import { defineConfig } from 'vitest/config';

/** The tests of one area of scripts/mutate.mjs, handed over in GULLET_MUTATE_TESTS. */
export default defineConfig({
  test: {
    include: (process.env['GULLET_MUTATE_TESTS'] ?? 'tests/**/*.test.ts').split(','),
    setupFiles: ['tests/seed.ts'],
    testTimeout: 60_000,
    hookTimeout: 120_000,
  },
});

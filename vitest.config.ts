import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    exclude: ['tests/bench/**', 'tests/output/**'],
    setupFiles: ['tests/seed.ts'],
    // On two cores the default is one worker.
    maxWorkers: '100%',
    testTimeout: 180_000,
    hookTimeout: 120_000,
  },
});

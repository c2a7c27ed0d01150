import { defineConfig } from 'vitest/config';
import FLAGS from './scripts/node-flags.json' with { type: 'json' };

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    exclude: ['tests/bench/**', 'tests/output/**'],
    setupFiles: ['tests/seed.ts'],
    // The files of a worker share what they import and the plans that they ask for: to load the
    // code again for each of them took more than half of all the time. No test may leave a mark on
    // the process: what it sets, it puts back.
    isolate: false,
    // One worker: a second one makes every plan and loads every file again, a fifth more work in all.
    maxWorkers: 1,
    execArgv: [
      // Room for what is short-lived: a tenth of the time went into sweeping it up; one sweeper, for
      // several at once wait for each other: another thirtieth; and the slow compiler, which works on
      // a core of its own, later, for what runs a few seconds is not worth it: a twentieth.
      ...FLAGS,
      // Most code runs a few times only: the quick compiler at once saves a twentieth.
      '--always-sparkplug',
      '--no-lazy-feedback-allocation',
    ],
    testTimeout: 180_000,
    hookTimeout: 120_000,
  },
});

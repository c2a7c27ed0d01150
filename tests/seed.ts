/**
 * One seed for every property test, so that the same commit gives the same verdict each time.
 * `npm run nightly` brings new cases: GULLET_FUZZ_SEED takes the place of this one.
 */
import fc from 'fast-check';

fc.configureGlobal({ seed: Number(process.env['GULLET_FUZZ_SEED'] ?? 606) });

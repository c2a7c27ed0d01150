import { it } from 'vitest';

/**
 * `npm test` runs an eighth of the cases of every property, always the same ones; `npm run nightly`
 * sets GULLET_RUNS to 3 and brings new ones.
 */
const SHARE = Number(process.env['GULLET_RUNS'] ?? 1 / 8);

/** Number of cases of a property: n, times the share of this run. */
export function runs(n: number): number {
  return Math.max(1, Math.round(n * SHARE));
}

/** Whether checks that take many seconds each are run, too: `npm run nightly` sets GULLET_LONG. */
export const LONG = process.env['GULLET_LONG'] === '1';

/** A test of a kind that `npm test` runs others of; this one is for the night. */
export const nightly = (LONG ? it : it.skip) as typeof it;

import fc from 'fast-check';
import { runs } from './cam/oracle/runs.js';

/**
 * How often a fuzz test runs: a share of `usual`, or what GULLET_FUZZ_RUNS says; and after how long
 * it is taken to hang, ms.
 */
export function fuzzRuns(usual: number): { readonly numRuns: number; readonly timeout: number } {
  const numRuns = Number(process.env['GULLET_FUZZ_RUNS'] ?? runs(usual));
  return { numRuns, timeout: 600_000 * Math.max(1, numRuns / usual) };
}

/** Growth of the heap that a whole fuzz test may leave behind. bytes */
export const HEAP_GROWTH = 600e6;

/** Text of any code points at all, half pairs too: the library's own takes two seconds to set up. */
export function anyText(maxLength: number): fc.Arbitrary<string> {
  const unit = fc.integer({ min: 0, max: 0x10ffff }).map((code) => String.fromCodePoint(code));
  const plain = fc.integer({ min: 0, max: 0xff }).map((code) => String.fromCharCode(code));
  return fc.string({ unit: fc.oneof(unit, plain), maxLength });
}

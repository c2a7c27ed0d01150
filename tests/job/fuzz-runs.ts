import fc from 'fast-check';

/**
 * How often a fuzz test runs: a few thousand texts in a normal run, GULLET_FUZZ_RUNS=100000 in
 * `npm run nightly`, where GULLET_FUZZ_SEED gives each night its own.
 */
export function fuzzRuns(usual: number): { readonly numRuns: number; readonly seed?: number } {
  const runs = process.env['GULLET_FUZZ_RUNS'];
  const seed = process.env['GULLET_FUZZ_SEED'];
  return {
    numRuns: runs === undefined ? usual : Number(runs),
    ...(seed === undefined ? {} : { seed: Number(seed) }),
  };
}

/** Longest that one text may take. ms */
export const HANG_MS = 2000;

/** Growth of the heap that a whole fuzz test may leave behind. bytes */
export const HEAP_GROWTH = 600e6;

/** Text of any code points at all, half pairs too: the library's own takes two seconds to set up. */
export function anyText(maxLength: number): fc.Arbitrary<string> {
  const unit = fc.integer({ min: 0, max: 0x10ffff }).map((code) => String.fromCodePoint(code));
  const plain = fc.integer({ min: 0, max: 0xff }).map((code) => String.fromCharCode(code));
  return fc.string({ unit: fc.oneof(unit, plain), maxLength });
}

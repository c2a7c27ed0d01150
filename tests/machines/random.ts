/** Repeatable random numbers for tests: the seed is all they depend on. */
export interface Random {
  /** Even in [0, 1). */
  readonly even: () => number;
  /** Standard normal. */
  readonly normal: () => number;
}

/** Mulberry32 (T. Ettinger, public domain) and the Box-Muller transform. */
export function seeded(seed: number): Random {
  let state = seed >>> 0;
  const even = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), state | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  const normal = (): number =>
    Math.sqrt(-2 * Math.log(1 - even())) * Math.cos(2 * Math.PI * even());
  return { even, normal };
}

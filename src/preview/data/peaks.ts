/** Greatest value in any stretch of entries, quickly: maxima of twos, fours, eights and so on. */
export interface Peaks {
  /** levels[0] is the values; levels[k][i] the greatest of the 2^k from i 2^k. */
  readonly levels: readonly Float32Array[];
}

export function peaksOf(values: Float32Array): Peaks {
  const levels = [values];
  for (let below = values; below.length > 1;) {
    const level = new Float32Array(Math.ceil(below.length / 2));
    for (let i = 0; i < level.length; i++) {
      level[i] = Math.max(below[2 * i]!, below[2 * i + 1] ?? -Infinity);
    }
    levels.push(level);
    below = level;
  }
  return { levels };
}

/** Index of the greatest value among `from` up to but without `to`; -1 for an empty stretch. */
export function greatestIn({ levels }: Peaks, from: number, to: number): number {
  let best = -1;
  let most = -Infinity;
  const look = (level: number, i: number) => {
    const value = levels[level]![i]!;
    if (value <= most) return;
    most = value;
    // Down to the entry that holds it.
    let at = i;
    for (let k = level; k > 0; k--) {
      at *= 2;
      if (levels[k - 1]![at] !== value) at += 1;
    }
    best = at;
  };
  let level = 0;
  let a = from;
  let b = to;
  while (a < b) {
    if (a & 1) look(level, a++);
    if (b & 1) look(level, --b);
    a >>= 1;
    b >>= 1;
    level++;
  }
  return best;
}

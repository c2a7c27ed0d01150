/**
 * Columns with few different rows. A program repeats itself level by level, so its entries and
 * its lines are a short table and a long list of numbers that mostly count up by one.
 */
export interface RowTable {
  /** Row number of each entry. */
  readonly rowOf: Uint32Array;
  /** Entry at which each row is first met. */
  readonly firstEntry: readonly number[];
}

/** @param keyOf  text that is equal for two entries exactly when they share a row */
export function rowTable(count: number, keyOf: (entry: number) => string): RowTable {
  const rowOf = new Uint32Array(count);
  const firstEntry: number[] = [];
  const known = new Map<string, number>();
  for (let i = 0; i < count; i++) {
    const key = keyOf(i);
    let row = known.get(key);
    if (row === undefined) {
      row = firstEntry.length;
      known.set(key, row);
      firstEntry.push(i);
    }
    rowOf[i] = row;
  }
  return { rowOf, firstEntry };
}

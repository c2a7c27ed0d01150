/** Clock, medians, fits and tables for the benchmarks. */

/** Milliseconds that a call takes, with what it returned. */
export function timed<T>(make: () => T): { ms: number; value: T } {
  const start = performance.now();
  const value = make();
  return { ms: performance.now() - start, value };
}

/** Median of several runs after one to warm up. */
export function medianMs(times: number, make: () => unknown): number {
  make();
  const list = Array.from({ length: times }, () => timed(make).ms).sort((a, b) => a - b);
  return list[Math.floor(list.length / 2)]!;
}

/** Exponent k of y = c x^k, least squares of the logarithms. */
export function exponent(points: readonly (readonly [x: number, y: number])[]): number {
  const logs = points.map(([x, y]) => [Math.log(x), Math.log(y)] as const);
  const n = logs.length;
  const mx = logs.reduce((sum, [x]) => sum + x, 0) / n;
  const my = logs.reduce((sum, [, y]) => sum + y, 0) / n;
  let xy = 0;
  let xx = 0;
  for (const [x, y] of logs) {
    xy += (x - mx) * (y - my);
    xx += (x - mx) ** 2;
  }
  return xy / xx;
}

export type Row = Readonly<Record<string, string | number | null>>;

/** Rows under their keys, numbers to three digits. */
export function table(title: string, rows: readonly Row[]): string {
  if (rows.length === 0) return `${title}: nothing\n`;
  const keys = Object.keys(rows[0]!);
  const cell = (value: string | number | null | undefined): string => {
    if (value === null || value === undefined) return '-';
    if (typeof value === 'string') return value;
    if (Number.isInteger(value)) return String(value);
    return Math.abs(value) >= 100 ? value.toFixed(0) : value.toPrecision(3);
  };
  const widths = keys.map((key) =>
    Math.max(key.length, ...rows.map((row) => cell(row[key]).length)),
  );
  const line = (cells: readonly string[]): string =>
    cells
      .map((text, i) => (i === 0 ? text.padEnd(widths[i]!) : text.padStart(widths[i]!)))
      .join('  ')
      .trimEnd();
  const body = rows.map((row) => line(keys.map((key) => cell(row[key]))));
  return `\n${title}\n${line(keys)}\n${body.join('\n')}\n`;
}

/**
 * Rows as text in columns under a heading; numbers line up on the right. Columns are as wide as
 * their widest cell and the last one is not padded.
 */
export function textTable(
  heading: readonly string[],
  rows: readonly (readonly (string | number | null)[])[],
): string {
  const cells = rows.map((row) => row.map((cell) => (cell === null ? '-' : String(cell))));
  const isNumber = heading.map((_, i) =>
    rows.every((row) => row[i] === null || typeof row[i] === 'number'),
  );
  const width = heading.map((head, i) =>
    Math.max(head.length, ...cells.map((row) => (row[i] ?? '').length)),
  );
  const line = (row: readonly string[]) =>
    row
      .map((cell, i) => (isNumber[i] ? cell.padStart(width[i] ?? 0) : cell.padEnd(width[i] ?? 0)))
      .join('  ')
      .trimEnd();
  return [line(heading), line(width.map((w) => '-'.repeat(w))), ...cells.map(line)].join('\n');
}

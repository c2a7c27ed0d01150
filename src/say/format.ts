/**
 * Figures as text. Of the folder: what command line and page say alike: results of identify, inspect,
 * check and tap, tables that fit a terminal, and how what a person gave is read.
 */
import { MM_PER_INCH } from '../text/units.js';

export type LengthUnit = 'mm' | 'in' | 'both';

/**
 * Length for reading: "12.70 mm", "0.5000 in" or "12.70 mm (0.5000 in)".
 * @param digits  decimals in mm; inches get two more, which is about as fine
 */
export function formatLength(mm: number, units: LengthUnit, digits = 2): string {
  const inches = `${(mm / MM_PER_INCH).toFixed(digits + 2)} in`;
  if (units === 'in') return inches;
  const metric = `${mm.toFixed(digits)} mm`;
  return units === 'both' ? `${metric} (${inches})` : metric;
}

/** Minutes as "48 s", "12 min" or "1 h 05 min". */
export function formatMinutes(minutes: number): string {
  if (minutes < 1) return `${Math.round(minutes * 60)} s`;
  const whole = Math.round(minutes);
  if (whole < 60) return `${whole} min`;
  return `${Math.floor(whole / 60)} h ${two(whole % 60)} min`;
}

/** A whole number with two digits, "05". */
export const two = (n: number): string => String(n).padStart(2, '0');

/** The day of a moment where this runs, as 2026-05-03. */
export function dayOf(moment: Date): string {
  return `${moment.getFullYear()}-${two(moment.getMonth() + 1)}-${two(moment.getDate())}`;
}

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

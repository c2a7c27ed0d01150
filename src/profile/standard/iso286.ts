/** Widths of the ISO 286 tolerance fields that a sprocket needs. */
import data from './iso286.json' with { type: 'json' };

export type ToleranceGrade = 7 | 8 | 11 | 14;

/**
 * Width of tolerance grade IT7, IT8, IT11 or IT14, mm: a hole H8 lies from 0 to + this, a shaft
 * or width h14 from 0 to - this.
 * @throws RangeError for a size outside the table
 */
export function toleranceWidthMm(grade: ToleranceGrade, sizeMm: number): number {
  const row = data.rows.find(({ upToMm }) => sizeMm <= upToMm);
  if (!(sizeMm > 0) || row === undefined) {
    throw new RangeError(`no ISO 286 tolerance for a size of ${sizeMm} mm; over 0 to 250 mm`);
  }
  return row[`${grade}`] / 1000;
}

/** Where the widths of a grade are printed. */
export function toleranceSource(grade: ToleranceGrade): string {
  return data._sources[`${grade}`];
}

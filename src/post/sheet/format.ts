import { plainNumber } from '../drawings/markup.js';
import type { Job } from '../../model/job.js';
import { unsignedZero } from '../../text/show.js';
import { MM_PER_INCH } from '../../text/units.js';

/** How figures are written on the sheet. */
export interface Format {
  /** Length with its unit. */
  readonly length: (mm: number, digits?: number) => string;
  /** Length for a drawing, in mm without the unit; inches in brackets where they are asked for. */
  readonly onDrawing: (mm: number, digits?: number) => string;
  /** The same on one line or two, for narrow places. */
  readonly stacked: (mm: number, digits?: number) => readonly string[];
}

export function formatFor({ units = 'mm' }: SheetOptions): Format {
  const inMm = (mm: number, digits: number): string => unsignedZero(mm.toFixed(digits));
  const inInch = (mm: number, places: number): string =>
    `${unsignedZero((mm / MM_PER_INCH).toFixed(places))} in`;
  const inches = units === 'mm-and-inch';
  const stacked = (mm: number, digits = 2): readonly string[] =>
    inches ? [inMm(mm, digits), `[${inInch(mm, Math.max(2, digits + 1))}]`] : [inMm(mm, digits)];
  return {
    length: (mm, digits = 2) =>
      `${inMm(mm, digits)} mm${inches ? ` (${inInch(mm, digits + 2)})` : ''}`,
    onDrawing: (mm, digits) => stacked(mm, digits).join(' '),
    stacked,
  };
}

/** Minutes, or hours and minutes from 90 minutes on. */
export function duration(minutes: number): string {
  if (minutes < 1) return `${plainNumber(minutes * 60, 0)} s`;
  if (minutes < 90) return `${plainNumber(minutes, minutes < 10 ? 1 : 0)} min`;
  const whole = Math.round(minutes);
  return `${Math.floor(whole / 60)} h ${String(whole % 60).padStart(2, '0')} min`;
}

/** "312 to 455", or one figure where they are alike. */
export function range(low: number, high: number): string {
  const [a, b] = [low.toFixed(0), high.toFixed(0)];
  return a === b ? a : `${a} to ${b}`;
}

/** Newtons, to what a person can set: three figures, no more. */
export function newtons(forceN: number): string {
  return `${forceN >= 1000 ? `${(forceN / 1000).toFixed(1)} k` : `${forceN.toFixed(0)} `}N`;
}

export interface SheetOptions {
  /** Lengths in mm alone, or with inches behind. Default 'mm'. */
  readonly units?: 'mm' | 'mm-and-inch';
  /** Whether an insert is brazed into the bore. By default what the job suggests. */
  readonly brazed?: boolean;
}

/**
 * Whether the sheet must speak of brazing: where it is asked to, or where the joint is brazed.
 */
export function isBrazed(job: Job, options: SheetOptions): boolean {
  if (options.brazed !== undefined) return options.brazed;
  return job.joint.kind === 'brazed-insert';
}

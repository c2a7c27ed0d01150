import { plainNumber } from '../drawings/markup.js';
import type { SheetOptions } from './options.js';

const MM_PER_INCH = 25.4;

/** How figures are written on the sheet. */
export interface Format {
  /** Length with its unit. */
  readonly length: (mm: number, digits?: number) => string;
  /** Length for a drawing, in mm without the unit; inches in brackets where they are asked for. */
  readonly onDrawing: (mm: number, digits?: number) => string;
}

export function formatFor({ units = 'mm' }: SheetOptions): Format {
  const mmText = (mm: number, digits: number): string => noMinusZero(mm.toFixed(digits));
  // An inch figure needs one more place and a bit to be as fine as the mm figure.
  const inText = (mm: number, digits: number): string =>
    noMinusZero((mm / MM_PER_INCH).toFixed(Math.max(3, digits + 2)));
  if (units === 'mm') {
    return {
      length: (mm, digits = 2) => `${mmText(mm, digits)} mm`,
      onDrawing: (mm, digits = 2) => mmText(mm, digits),
    };
  }
  return {
    length: (mm, digits = 2) => `${mmText(mm, digits)} mm (${inText(mm, digits)} in)`,
    onDrawing: (mm, digits = 2) => `${mmText(mm, digits)} [${inText(mm, digits)} in]`,
  };
}

function noMinusZero(text: string): string {
  return /^-0(\.0*)?$/.test(text) ? text.slice(1) : text;
}

/** Minutes, or hours and minutes from 90 minutes on. */
export function duration(minutes: number): string {
  if (minutes < 1) return `${plainNumber(minutes * 60, 0)} s`;
  if (minutes < 90) return `${plainNumber(minutes, minutes < 10 ? 1 : 0)} min`;
  const whole = Math.round(minutes);
  return `${Math.floor(whole / 60)} h ${String(whole % 60).padStart(2, '0')} min`;
}

/** "312 to 455", or one figure where they are alike. */
export function range(low: number, high: number, digits = 0): string {
  const [a, b] = [low.toFixed(digits), high.toFixed(digits)];
  return a === b ? a : `${a} to ${b}`;
}

/** Newtons, to what a person can set: three figures, no more. */
export function newtons(forceN: number): string {
  return `${forceN >= 1000 ? `${(forceN / 1000).toFixed(1)} k` : `${forceN.toFixed(0)} `}N`;
}

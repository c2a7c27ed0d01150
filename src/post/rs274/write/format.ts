/**
 * Numbers as RS-274 words want them, from whole output steps: no sign for plus, no exponent, no
 * negative zero, no trailing zeros.
 * @param steps     whole number of steps of 10^-decimals
 * @param decimals  0 to 6
 */
export function formatSteps(steps: number, decimals: number): string {
  const size = Math.abs(steps);
  const sign = steps < 0 ? '-' : '';
  const scale = SCALES[decimals] as number;
  const whole = Math.floor(size / scale);
  const rest = size - whole * scale;
  if (rest === 0) return sign + String(whole);
  let digits = String(rest + scale).slice(1);
  let length = digits.length;
  while (digits.charCodeAt(length - 1) === 48) length--;
  if (length < digits.length) digits = digits.slice(0, length);
  return `${sign}${whole}.${digits}`;
}

const SCALES = [1, 10, 100, 1e3, 1e4, 1e5, 1e6];

/** Steps per mm for a number of decimals. */
export function scaleOf(decimals: number): number {
  return SCALES[decimals] as number;
}

/** Nearest whole step; never negative zero. */
export function toSteps(valueMm: number, scale: number): number {
  return Math.round(valueMm * scale) + 0;
}

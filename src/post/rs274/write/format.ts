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

const MAX_FEED_MM_PER_MIN = 99999;
/** Feeds are written in tenths, rounded down so that rounding never raises the load. */
const FEED_DECIMALS = 1;

/** Feed as a word, ` F120.5`. @throws WriteError where it is not above zero, or too high */
export function feedWord(index: number, feedMmPerMin: number): string {
  if (!(feedMmPerMin > 0 && feedMmPerMin <= MAX_FEED_MM_PER_MIN)) {
    throw new WriteError(index, `feed ${feedMmPerMin} is not above 0 and up to 99999 mm/min`);
  }
  // The small share keeps a feed that is a whole number of steps from losing one to rounding.
  const steps = Math.floor(feedMmPerMin * 10 ** FEED_DECIMALS * (1 + 1e-12));
  if (steps < 1) throw new WriteError(index, `feed ${feedMmPerMin} mm/min is below 0.1 mm/min`);
  return ` F${formatSteps(steps, FEED_DECIMALS)}`;
}

/** A toolpath that cannot be written. */
export class WriteError extends RangeError {
  /** Index into `toolpath.moves`, or -1 for the toolpath as a whole. */
  readonly moveIndex: number;
  constructor(moveIndex: number, message: string) {
    super(moveIndex < 0 ? message : `move ${moveIndex}: ${message}`);
    this.name = 'WriteError';
    this.moveIndex = moveIndex;
  }
}

import { formatSteps } from './format.js';
import { WriteError } from './write-error.js';

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

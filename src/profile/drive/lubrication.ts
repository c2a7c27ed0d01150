/** Which oiling a chain asks for at its speed, and what is left of its rating with less. */
import { LUBRICATIONS, type Lubrication } from '../../model/job.js';

/** Fastest chain that a kind of oiling serves, m/s: by hand at least every 8 h, drip 4 to 10 drops a
 *  minute. Kettenfabrik Unna, Schmierung (kettenfabrik-unna.de); McGuire Bearing gives the two as
 *  one, so the lower figures are taken. */
const BY_HAND_M_PER_S = 0.5;
const DRIP_M_PER_S = 1.5;
/** Pitch up to, mm; fastest chain in a bath, m/s. McGuire Bearing, better chain performance, chains
 *  40, 50, 60, 80 and 100: 2300, 2000, 1800, 1500, 1300 ft/min. */
const BATH_M_PER_S: readonly (readonly [number, number])[] = [
  [12.7, 11.7],
  [15.875, 10.2],
  [19.05, 9.1],
  [25.4, 7.6],
  [Infinity, 6.6],
];
export const LUBRICATION_SOURCE =
  'kettenfabrik-unna.de, Schmierung; McGuire Bearing, better chain performance (baths)';

/** Share of the rating left: oiled regularly, but in a poorer way than the speed asks for, below and
 *  above the speed of drip feed; and never oiled. From memory, order of magnitude only: no published
 *  figure was found. */
const SHORT_OF_IT = { slow: 0.6, fast: 0.3 } as const;
const NEVER = 0.15;
export const DERATING_SOURCE = 'from memory, order of magnitude; no published figure was found';

/** The least way of oiling that a speed asks for. */
export function lubricationFor(pitchMm: number, speedMPerS: number): Lubrication {
  if (speedMPerS <= BY_HAND_M_PER_S) return 'manual';
  if (speedMPerS <= DRIP_M_PER_S) return 'drip';
  const [, bath] = BATH_M_PER_S.find(([mm]) => pitchMm <= mm + 0.01)!;
  return speedMPerS <= bath ? 'bath' : 'forced';
}

/** Share of a rating that is left with a way of oiling. */
export function ratingShare(pitchMm: number, speedMPerS: number, given: Lubrication): number {
  if (given === 'none') return NEVER;
  const rank = (way: Lubrication): number => LUBRICATIONS.indexOf(way);
  if (rank(given) >= rank(lubricationFor(pitchMm, speedMPerS))) return 1;
  return speedMPerS <= DRIP_M_PER_S ? SHORT_OF_IT.slow : SHORT_OF_IT.fast;
}

export const LUBRICATION_WORDS: Readonly<Record<Lubrication, string>> = {
  none: 'no oil',
  manual: 'oil by hand every 8 hours',
  drip: 'drip oil',
  bath: 'an oil bath',
  forced: 'an oil jet',
};

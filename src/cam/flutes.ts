/** Whether flutes, or a neck above them, are long enough for the walls that are cut. */
import { surfaceSpeedMPerMin } from '../machines/bear/spindle.js';
import { bodyClears, completeCutter, cuttersWithFlutes, listCutters } from '../machines/cutters.js';
import type { Job } from '../model/job.js';
import type { Cutter } from '../model/machine.js';
import { Refusal } from '../model/refusal.js';
import type { Wheel } from '../profile/wheel/sprocket.js';
import { OVERRUN_MM } from './process.js';

/** Length of flutes over the walls: the cutter runs a little below them, and the last of a flute runs
 *  out on the shank. mm. Common practice, no source. */
const OVER_WALL_MM = 0.5;

/** Whether edges, or what stands back behind them, are all that is beside a wall. */
function reaches(cutter: Cutter, needMm: number): boolean {
  return bodyClears(cutter) || cutter.fluteLengthMm >= needMm;
}

/** @throws Refusal 'flute-too-short' where the shank would rub on a wall, with what would do */
export function checkFlutes(cutter: Cutter, depthMm: number): void {
  const needMm = depthMm + OVER_WALL_MM;
  const { diameterMm, fluteLengthMm, shankDiameterMm } = cutter;
  if (reaches(cutter, needMm)) return;
  const long = cuttersWithFlutes(diameterMm, needMm).map(({ id }) => id);
  const such = long.length > 0 ? ` (as ${long.join(', ')})` : '';
  throw new Refusal(
    'flute-too-short',
    `flutes of ${fluteLengthMm} mm leave the ${shankDiameterMm} mm shank to rub on walls ${depthMm.toFixed(2)} mm deep: take ${diameterMm} mm flutes of ${needMm.toFixed(1)} mm or more${such}, or a cutter whose neck is ground thinner than its edges, and give its neck-diameter`,
    fluteLengthMm,
    needMm,
  );
}

/** A cutter over the seating curve, at most: a larger one lies against much of the seat at once.
 *  Judgement, no source. */
const SEAT_SHARE = 0.8;

/**
 * Diameter on file that goes well with the gaps of a wheel: flutes long enough, room in the seat; of
 * those that the slowest speed of the spindle does not burn the largest, or else the smallest. mm
 */
export function cutterForGaps(
  { machine, material }: Pick<Job, 'machine' | 'material'>,
  { seatRadiusMm, thicknessMm }: Wheel,
): number {
  const needMm = thicknessMm + OVERRUN_MM + OVER_WALL_MM;
  const all = listCutters().map(({ diameterMm }) => completeCutter({ diameterMm }).cutter);
  const fit = all.filter(
    (cutter) => cutter.diameterMm <= 2 * SEAT_SHARE * seatRadiusMm && reaches(cutter, needMm),
  );
  const { high } = material.surfaceSpeedMPerMin;
  const cool = fit.filter(
    ({ diameterMm }) => surfaceSpeedMPerMin(diameterMm, machine.spindle.minRpm) <= high,
  );
  return (cool.at(-1) ?? fit[0] ?? all[0]!).diameterMm;
}

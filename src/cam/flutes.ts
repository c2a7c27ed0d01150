/** Whether flutes, or a neck above them, are long enough for the walls that are cut. */
import { bodyClears, cuttersWithFlutes } from '../machines/cutters.js';
import type { Cutter } from '../model/machine.js';
import { Refusal } from '../model/refusal.js';

/** Length of flutes over the walls: the cutter runs a little below them, and the last of a flute runs
 *  out on the shank. mm. Common practice, no source. */
const OVER_WALL_MM = 0.5;

/** @throws Refusal 'flute-too-short' where the shank would rub on a wall, with what would do */
export function checkFlutes(cutter: Cutter, depthMm: number): void {
  const needMm = depthMm + OVER_WALL_MM;
  const { diameterMm, fluteLengthMm, shankDiameterMm } = cutter;
  if (bodyClears(cutter) || fluteLengthMm >= needMm) return;
  const long = cuttersWithFlutes(diameterMm, needMm).map(({ id }) => id);
  const such = long.length > 0 ? ` (as ${long.join(', ')})` : '';
  throw new Refusal(
    'flute-too-short',
    `flutes of ${fluteLengthMm} mm leave the ${shankDiameterMm} mm shank to rub on walls ${depthMm.toFixed(2)} mm deep: take ${diameterMm} mm flutes of ${needMm.toFixed(1)} mm or more${such}, or a cutter whose neck is ground thinner than its edges, and give its neck-diameter`,
    fluteLengthMm,
    needMm,
  );
}

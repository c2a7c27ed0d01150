/** Force on the machine from the stretches of rim that are in material. */
import { cos, sin } from '../../../maths/elementary.js';
import { type CutConditions, type MachineLoad, machineLoad } from '../../../machines/load/force.js';
import type { EngagementInterval } from '../../../model/machine.js';
import type { RimStretches } from '../stock-front.js';
import { radFromDeg } from '../../../maths/angle.js';

/** Engagement below this is rounding of the text, not a cut. rad (a third of a degree is a bite of
 *  0.03 um on a 3 mm cutter) */
export const TOUCH_RAD = radFromDeg(0.3);

/** Area swept per travel: the forward component of the rim in material, per radius. */
export function sweptWidth(rim: RimStretches, headingRad: number): number {
  let width = 0;
  for (let i = 0; i < rim.count; i++) {
    width += sin(rim.angles[2 * i + 1]! - headingRad) - sin(rim.angles[2 * i]! - headingRad);
  }
  return width;
}

/**
 * Peak force of the rim stretches.
 * @param headingRad  direction of travel, counter-clockwise from +X
 */
export function rimForce(
  cut: CutConditions,
  feedMmPerMin: number,
  rim: RimStretches,
  headingRad: number,
): MachineLoad {
  const { intervals, climb } = fromTheWall(rim, headingRad);
  return machineLoad(cut, feedMmPerMin, intervals, headingRad, climb);
}

/**
 * Rim stretches as angles from the wall's normal towards the travel. The wall is on the right hand
 * where the rim in material lies to the right of the travel; otherwise the cut is conventional and
 * angles count from the left-hand normal.
 */
export function fromTheWall(
  { count, angles }: RimStretches,
  headingRad: number,
): { readonly intervals: readonly EngagementInterval[]; readonly climb: boolean } {
  let right = 0;
  for (let i = 0; i < count; i++) {
    // Integral of -sin over the stretch: > 0 to the right.
    right += cos(angles[2 * i + 1]! - headingRad) - cos(angles[2 * i]! - headingRad);
  }
  const climb = right >= 0;
  const intervals: EngagementInterval[] = [];
  for (let i = 0; i < count; i++) {
    const a = angles[2 * i]! - headingRad;
    const b = angles[2 * i + 1]! - headingRad;
    // From the right-hand normal (heading - 90 deg) forwards, or mirrored from the left; what of it
    // lies ahead is for the load model to say.
    if (climb) intervals.push({ fromRad: a + Math.PI / 2, toRad: b + Math.PI / 2 });
    else intervals.push({ fromRad: Math.PI / 2 - b, toRad: Math.PI / 2 - a });
  }
  return { intervals, climb };
}

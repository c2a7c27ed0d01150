/** A word on a blank far larger than the wheel: most of the time goes into what a saw takes off. */
import { type CamPlan, closeBlankMm } from '../cam/sequence.js';
import type { Job, PlanWarning } from '../model/job.js';
import type { Wheel } from '../profile/wheel/sprocket.js';

/** Worth a word where the ring takes more than this share of roughing, and this long. min */
const RING_SHARE = 0.5;
const RING_MIN = 20;

/**
 * The share of roughing that goes into the ring outside the teeth is taken by volume: a ring is cut
 * at the same limits as a gap.
 * @returns null where the blank is close enough
 */
export function largeBlankWarning(
  job: Job,
  profile: Wheel,
  cam: Pick<CamPlan, 'blank' | 'roughVolumeMm3' | 'times'>,
): PlanWarning | null {
  const { diameterMm } = cam.blank;
  const { roughCutMin } = cam.times;
  const closeMm = closeBlankMm(job, profile);
  const ringMm3 = (Math.PI / 4) * (diameterMm ** 2 - closeMm ** 2) * profile.thicknessMm;
  const share = ringMm3 / cam.roughVolumeMm3;
  const ringMin = share * roughCutMin;
  if (!(share > RING_SHARE && ringMin > RING_MIN)) return null;
  return {
    code: 'blank-large',
    text: `about ${span(ringMin)} of the ${span(roughCutMin)} of roughing go into the ring outside the teeth: saw or turn the blank to about ${closeMm} mm first, or take the ring off with a larger cutter`,
    value: diameterMm,
    limit: closeMm,
  };
}

const span = (min: number): string =>
  min < 90 ? `${min.toFixed(0)} min` : `${(min / 60).toFixed(1)} h`;

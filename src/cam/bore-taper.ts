/**
 * What a router would leave of a bore: stock from the last pass and taper over its depth.
 *
 * A bore through plate and hub is deep for a small cutter: the stick-out has to be the depth and a
 * little more, and the cantilever bends with its third power. The last passes are run with the model
 * that finishing uses, in light steps of depth.
 */
import type { Job } from '../model/job.js';
import { tipBendMmPerN, wallCompliance } from '../machines/bear/wall-shift.js';
import { feedLimitsOf, limitsOf } from '../machines/bear/limits.js';
import { chooseSpindleRpm } from '../machines/bear/spindle.js';
import { type Cutter, bodyDiameterMm } from '../model/machine.js';
import { runPasses } from './finish-error.js';
import { conditionsFor, fewestLevels } from './choose.js';
import type { BorePrediction } from '../profile/joint/method.js';

/** Collet nut over the face of the hub, and run-out below. mm. Common practice, no source. */
const CLEAR_MM = 2;
/** Stock left for the finishing passes of a bore. mm. Common practice, no source. */
const STOCK_MM = 0.15;
/** Depth of a finishing step in a bore, where the machine allows as much. mm. Finer steps rub more
 *  than they cut, and take an hour. Judgement, no source. */
const STEP_MM = 0.25;
/** One cut and three spring passes. */
const OFFSETS = [0, 0, 0, 0];

/**
 * @param boreRadiusMm  least radius of curvature of the bore's wall
 * @param depthMm       through plate and hub
 */
export function predictBore(job: Job, boreRadiusMm: number, depthMm: number): BorePrediction {
  const { machine, material } = job;
  const cutter: Cutter = {
    ...job.cutter,
    stickOutMm: Math.max(job.cutter.stickOutMm, depthMm + CLEAR_MM),
  };
  const long: Job = { ...job, cutter };
  const spindleRpm = job.limits.spindleRpm ?? chooseSpindleRpm(machine, material, cutter).rpm;
  const { maxStepdownMm, maxEngagementRad } = limitsOf(long);
  const levels = fewestLevels(depthMm, Math.min(STEP_MM, maxStepdownMm));
  const passes = runPasses(
    {
      conditions: conditionsFor(long, spindleRpm, depthMm / levels),
      limits: feedLimitsOf(long, spindleRpm, depthMm / levels),
      seatRadiusMm: boreRadiusMm,
      compliance: wallCompliance(machine, cutter, spindleRpm),
      stockMm: STOCK_MM,
      maxEngagementRad,
    },
    OFFSETS,
  );
  const last = passes?.[passes.length - 1];
  const shankRubs = bodyDiameterMm(cutter) > cutter.diameterMm && cutter.fluteLengthMm < depthMm;
  const stickOutMm = cutter.stickOutMm;
  if (!last) return { reaches: false, stickOutMm, errorMm: NaN, taperMm: NaN };
  return {
    reaches: !shankRubs,
    stickOutMm,
    errorMm: last.errorMm,
    taperMm: last.normalN * tipBendMmPerN(cutter, depthMm),
  };
}

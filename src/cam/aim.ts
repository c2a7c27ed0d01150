/**
 * Where finishing is aimed. The standard's sizes are upper limits: root diameter and size over pins
 * may be smaller by their tolerance, never larger, and a cutter that is pushed off leaves metal.
 * So the outline that is cut lies inside the drawn one by what finishing is predicted to leave, and
 * by a quarter of the tolerance besides (half of it on the radius, half of that to the middle):
 *
 *   over pins = nominal - 2 k (inset - left),   k = 1, or cos(90 deg / z) for an odd count
 *   middle of the limits:  inset = left + T / (4 k)
 *
 * Twice as much left as predicted, or none, is then still inside for T = 0.25 mm and left to 0.06 mm.
 */
import type { Job } from '../model/job.js';
import { inspectedPart, limitsFor, standardOf } from '../profile/inspect/limits.js';
import { acrossShare } from '../profile/standard/limits.js';
import { type Making, expectedSizes } from '../profile/inspect/predict.js';
import { settingMm } from '../profile/wheel/blank.js';
import { perimeter } from '../profile/geometry/loop.js';
import { TOOTH_RULES } from '../profile/tooth/forms.js';
import { insetWheel } from '../profile/wheel/inset.js';
import type { Wheel } from '../profile/wheel/sprocket.js';
import { planFinish } from './finish.js';
import { type Process, chooseProcess } from './process.js';
import { type BlankSize, blankSize, gapSize } from './sequence.js';

/** What finishing is aimed at, beside the wheel as it is drawn. */
export interface Aimed {
  readonly drawn: Wheel;
  /** The wheel whose outline is cut. */
  readonly cut: Wheel;
  /** How far its outline lies inside the drawn one. mm */
  readonly insetMm: number;
  /** Turned for the drawn wheel. */
  readonly blank: BlankSize;
  /** Chosen for the drawn wheel, whose gaps are the tighter ones. */
  readonly process: Process;
}

/** Least that the finished outline is aimed inside the limit, where the form has no room for more:
 *  over pins this is twice as much, more than two standard deviations of a reading. mm */
const LEAST_INSIDE_MM = 0.02;

/**
 * @param edgeScale  as for `chooseProcess`
 * @throws Refusal where the part cannot be cut this way on this machine
 */
export function aimOf(job: Job, drawn: Wheel, edgeScale = 1): Aimed {
  const blank = blankSize(job, drawn);
  const process = chooseProcess(job, gapSize(job, drawn, blank), edgeScale);
  const { errorMm } = planFinish(job, drawn, process, perimeter(drawn.outline));
  const insetMm = insideMm(job, drawn) + errorMm;
  const cut = insetWheel({ ...job.chain, ...job.sprocket }, drawn, insetMm);
  return { drawn, cut, insetMm, blank, process };
}

/** How far the finished outline is to lie inside the drawn one. mm */
function insideMm(job: Job, drawn: Wheel): number {
  const { minMm, maxMm } = limitsFor('overPins', inspectedPart(job, drawn), standardOf(job));
  const middleMm = (maxMm - minMm) / (4 * acrossShare(job.sprocket.teeth));
  const roomMm = TOOTH_RULES[job.sprocket.toothForm].seatRoomMm(job.chain.rollerDiameterMm);
  return Math.max(LEAST_INSIDE_MM, Math.min(middleMm, roomMm));
}

/**
 * What the finished part is expected to measure, and how near to the zero its bore is to be set.
 * @param formErrorMm  what finishing is predicted to leave
 */
export function sizesOf(
  job: Job,
  { drawn, insetMm }: Pick<Aimed, 'drawn' | 'insetMm'>,
  formErrorMm: number,
) {
  const { machine, blank, bore } = job;
  const asItIs = blank.thicknessMm !== null && blank.thicknessMm <= drawn.thicknessMm;
  const oneSetting = bore.madeBy === 'router';
  const making: Making = {
    insetMm,
    formErrorMm,
    backlashMm: Math.max(machine.backlashMm.x, machine.backlashMm.y),
    centringErrorMm: oneSetting ? 0 : blank.centringErrorMm,
    thicknessMm: asItIs ? blank.thicknessMm : null,
    turnedBore: !oneSetting,
  };
  const sizes = expectedSizes(inspectedPart(job, drawn), standardOf(job), making);
  const { maxMm } = sizes.radialRunout.limits;
  return { sizes, settingMm: oneSetting ? blank.centringErrorMm : settingMm(making, maxMm) };
}

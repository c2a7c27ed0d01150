/**
 * Cutting force of a straight-tooth end mill: Kienzle force of each tooth in the cut, summed and
 * resolved. A helix spreads the same force over more of the turn, so these peaks bound it; at
 * the light depths planned here (0.3 mm, 45 deg helix, 3 mm cutter: 11.5 deg of lag) they are
 * close. Angles as in EngagementInterval. For a tooth at angle t (derived, cutter clockwise):
 *
 *   wall on the right hand (climb):    feed   = +Ft cos t - Fr sin t
 *                                      normal = -(Ft sin t + Fr cos t)      + is into the wall
 *   wall on the left hand (conventional, angles from the left-hand normal):
 *                                      feed   = -(Ft cos t + Fr sin t)
 *                                      normal = +Ft sin t - Fr cos t
 *
 * Of the folder: engagement of a wall, chip thickness, teeth summed over a turn; spectrum and slope are
 * what swings and what a chip's change does; feed is the way back, from a force to the feed.
 */
import { cos, pow, sin } from '../../maths/elementary.js';
import { TURN_RAD } from '../../maths/angle.js';
import { S_PER_MIN } from '../../maths/motion.js';
import { effectiveFeedPerToothMm, feedPerToothMm, radialRatio } from './chip.js';
import { edgeForceNPerMm, landMm } from './slope.js';
import { ALONG_X, ALONG_Y, PUSH_OFF, RESULTANT, ToothSum } from './teeth.js';
import type { Cutter, EngagementInterval, Material } from '../../model/machine.js';

/** What a cut is made with, apart from its feed and engagement. */
export interface CutConditions {
  readonly material: Material;
  readonly cutter: Cutter;
  /** Total indicator reading at the cutter. mm */
  readonly runoutMm: number;
  /** Multiplies every force: 1 sharp, 1.3 worn, 1.5 badly worn (Dietrich/Tschaetsch). */
  readonly wearFactor: number;
  readonly spindleRpm: number;
  readonly axialDepthMm: number;
}

/** Load of a steady cut over one revolution. Forces act on the cutter. */
export interface PeakForce {
  /** Greatest force in the cutting plane. It bounds every axis. */
  readonly resultantN: number;
  /** Greatest push off the wall; 0 when the cut only ever pulls the cutter in. */
  readonly normalN: number;
  /** Greatest force along X and Y, either way; the resultant when no heading was given. */
  readonly xN: number;
  readonly yN: number;
  /** Mean push off the wall over a revolution; negative pulls the cutter in. */
  readonly meanNormalN: number;
  /** Thickest chip at the nominal feed per tooth: what cap and floor are compared with. */
  readonly hMaxMm: number;
  /** Mean power at the cutter. */
  readonly powerW: number;
}

const IN_PLANE = [RESULTANT, PUSH_OFF];
const ALL = [...IN_PLANE, ALONG_X, ALONG_Y];
const RESULTANT_ALONE = [RESULTANT];
const ON_MACHINE = [RESULTANT, ALONG_X, ALONG_Y];
/** Working state, reused by every call: each sets all of it and is done with it when it returns, and
 *  none yields or calls back in between, so that two plans made in turns do not meet. */
const teeth = new ToothSum();

/** kc1.1 ap wear: tangential force of one tooth at a chip of 1 mm. N */
export function forceScale(cond: CutConditions): number {
  return cond.material.kc11NPerMm2 * cond.axialDepthMm * cond.wearFactor;
}

/** @throws RangeError for a feed, speed or depth that is negative or not finite */
export function checkConditions(cond: CutConditions, feedMmPerMin: number): void {
  if (!(feedMmPerMin >= 0 && feedMmPerMin < Infinity)) {
    throw new RangeError(`feed must be finite and >= 0 mm/min: ${feedMmPerMin}`);
  }
  if (!(cond.spindleRpm > 0)) throw new RangeError(`spindle speed must be > 0: ${cond.spindleRpm}`);
  if (!(cond.axialDepthMm >= 0)) {
    throw new RangeError(`axial depth must be >= 0 mm: ${cond.axialDepthMm}`);
  }
}

/**
 * Load of a steady cut.
 * @param feedMmPerMin  feed of the cutter's centre, mm/min
 * @param intervals     arcs of the rim in material; only their part with 0 < t < pi makes a chip
 * @param headingRad    direction of travel, counter-clockwise from +X; without it `xN` and `yN`
 *                      are the resultant
 * @param climb         true: wall on the right hand; false: wall on the left hand, with the
 *                      intervals measured from the left-hand normal
 * @throws RangeError for a feed, speed or depth that is negative or not finite
 *
 * Power: Fm vc zE with Fm = ap hm kc(hm) for each arc (Dietrich/Tschaetsch); the mean of
 * h^(1-mc) never exceeds (mean h)^(1-mc), so this is the exact mean power or a little above.
 */
export function peakForce(
  cond: CutConditions,
  feedMmPerMin: number,
  intervals: readonly EngagementInterval[],
  headingRad?: number,
  climb = true,
): PeakForce {
  const quantities = headingRad === undefined ? IN_PLANE : ALL;
  const load = machineLoad(cond, feedMmPerMin, intervals, headingRad ?? 0, climb, quantities);
  const fzMm = feedPerToothMm(feedMmPerMin, cond.cutter.flutes, cond.spindleRpm);
  return {
    ...load,
    xN: headingRad === undefined ? load.resultantN : load.xN,
    yN: headingRad === undefined ? load.resultantN : load.yN,
    normalN: teeth.peaks[PUSH_OFF] as number,
    meanNormalN: teeth.meanPushOffN(fzMm),
  };
}

/** The part of {@link PeakForce} that moves a cutter off its wall. */
export type WallForce = Pick<PeakForce, 'normalN' | 'meanNormalN'>;

/**
 * What pushes the cutter off the wall while a climb cut forms it: the wall is left where a tooth leaves
 * the cut, at t = 0, when its own chip has run out. What pushes then are its worn edge and the other
 * teeth in the cut; the peak of a tooth comes when it is far from the wall.
 * `meanNormalN` counts the edges that press, where that is more than their chips do.
 */
export function wallForce(
  cond: CutConditions,
  feedMmPerMin: number,
  intervals: readonly EngagementInterval[],
): WallForce {
  const { flutes } = cond.cutter;
  const fzMm = setTeeth(cond, feedMmPerMin, intervals, 0, true);
  const edgeN = edgeForceNPerMm(cond.material, landMm(cond.wearFactor)) * cond.axialDepthMm;
  const chipsN = teeth.meanPushOffN(fzMm);
  let [normalN, arcRad] = [0, 0];
  const fzEffMm = effectiveFeedPerToothMm(fzMm, cond.runoutMm, flutes);
  const { from, to, count } = teeth.arcs;
  for (let i = 0; i < count; i++) {
    arcRad += to[i]! - from[i]!;
    for (let k = 1; k < flutes; k++) {
      const t = (TURN_RAD * k) / flutes;
      if (t < from[i]! || t > to[i]!) continue;
      teeth.sumAlone(t, fzEffMm);
      normalN -= teeth.normalN;
    }
  }
  const pressingN = (edgeN * flutes * arcRad) / TURN_RAD;
  return {
    normalN: Math.max(0, normalN) + (count > 0 ? edgeN : 0),
    meanNormalN: Math.max(chipsN, pressingN),
  };
}

/** The part of {@link PeakForce} that a machine feels. */
export type MachineLoad = Pick<PeakForce, 'resultantN' | 'xN' | 'yN' | 'hMaxMm' | 'powerW'>;

/** As {@link peakForce}, less what a replay has no use for: for tens of thousands of places. */
export function machineLoad(
  cond: CutConditions,
  feedMmPerMin: number,
  intervals: readonly EngagementInterval[],
  headingRad: number,
  climb: boolean,
  quantities: readonly number[] = ON_MACHINE,
): MachineLoad {
  const fzMm = setTeeth(cond, feedMmPerMin, intervals, headingRad, climb);
  teeth.findPeaks(quantities);
  const { peaks } = teeth;
  const mean = meanOf(cond, fzMm);
  return {
    resultantN: peaks[RESULTANT] as number,
    xN: peaks[ALONG_X] as number,
    yN: peaks[ALONG_Y] as number,
    hMaxMm: fzMm * mean.sineMax,
    powerW: mean.powerW,
  };
}

/** Puts a cut into `teeth`. @returns its feed per tooth, mm @throws as {@link peakForce} */
function setTeeth(
  cond: CutConditions,
  feedMmPerMin: number,
  intervals: readonly EngagementInterval[],
  headingRad: number,
  climb: boolean,
): number {
  checkConditions(cond, feedMmPerMin);
  const flutes = cond.cutter.flutes;
  const fzMm = feedPerToothMm(feedMmPerMin, flutes, cond.spindleRpm);
  const fzEffMm = effectiveFeedPerToothMm(fzMm, cond.runoutMm, flutes);
  teeth.setTooth(forceScale(cond), 1 - cond.material.mc, fzEffMm, flutes);
  teeth.arcs.set(intervals);
  teeth.setTravel(climb, headingRad);
  return fzMm;
}

/** What rests on the mean over a revolution, and the steepest place of the arcs in `teeth`. */
function meanOf(cond: CutConditions, fzMm: number): { sineMax: number; powerW: number } {
  let sineMax = 0;
  let workPerRad = 0; // sum over arcs of ap hm kc(hm) x arc, N rad
  for (let i = 0; i < teeth.arcs.count; i++) {
    const from = teeth.arcs.from[i] as number;
    const to = teeth.arcs.to[i] as number;
    const arc = to - from;
    sineMax = Math.max(
      sineMax,
      from <= Math.PI / 2 && to >= Math.PI / 2 ? 1 : Math.max(sin(from), sin(to)),
    );
    workPerRad += teeth.tangentialN((fzMm * (cos(from) - cos(to))) / arc) * arc;
  }
  const torqueNm =
    (workPerRad * cond.cutter.flutes * cond.cutter.diameterMm) / (2 * TURN_RAD * 1000);
  return { sineMax, powerW: (torqueNm * TURN_RAD * cond.spindleRpm) / S_PER_MIN };
}

/** Resultant of one tooth at chip `hMm`. N; rises with h, see `radialRatio`. */
export function toothResultantN(cond: CutConditions, hMm: number): number {
  if (!(hMm > 0)) return 0;
  const kr = radialRatio(hMm);
  return forceScale(cond) * pow(hMm, 1 - cond.material.mc) * Math.sqrt(1 + kr * kr);
}

/** Peak resultant over the arc [0, phi] at a given effective feed per tooth. N */
export function resultantAtFeedPerToothN(
  cond: CutConditions,
  fzEffectiveMm: number,
  phiRad: number,
): number {
  if (!(phiRad > 0) || !(fzEffectiveMm > 0)) return 0;
  if (phiRad * cond.cutter.flutes <= TURN_RAD) {
    return toothResultantN(cond, fzEffectiveMm * sin(Math.min(phiRad, Math.PI / 2)));
  }
  teeth.setTooth(forceScale(cond), 1 - cond.material.mc, fzEffectiveMm, cond.cutter.flutes);
  teeth.setTravel(true, 0);
  teeth.arcs.setSingle(phiRad);
  teeth.findPeaks(RESULTANT_ALONE);
  return teeth.peaks[RESULTANT] as number;
}

/**
 * Peak resultant over the single arc [0, phi]: the fast path, closed form while no two teeth
 * are in the cut together (phi <= 2 pi / flutes). Same value as `peakForce(...).resultantN`.
 * @param phiRad  engagement, radians; 0 or less is air
 * @returns N
 */
export function resultantPeakN(cond: CutConditions, feedMmPerMin: number, phiRad: number): number {
  checkConditions(cond, feedMmPerMin);
  const flutes = cond.cutter.flutes;
  const fzMm = feedPerToothMm(feedMmPerMin, flutes, cond.spindleRpm);
  const fzEffMm = effectiveFeedPerToothMm(fzMm, cond.runoutMm, flutes);
  return resultantAtFeedPerToothN(cond, fzEffMm, phiRad);
}

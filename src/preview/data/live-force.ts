/**
 * Force of the cut at one moment, from the rim that is in material, and how far it pushes the
 * cutter off the wall: the plan's own models.
 */
import { type PeakForce, peakForce } from '../../machines/load/load.js';
import { cutterComplianceMmPerN } from '../../machines/bear/deflection.js';
import type { EngagementInterval } from '../../model/machine.js';
import { wallCompliance, wallShiftMm } from '../../machines/bear/wall-shift.js';
import type { Rim } from '../stock/rim.js';
import type { PageFigures } from './page-data.js';

export interface LiveForce {
  readonly force: PeakForce;
  /** Direction in which the cutter is pushed, counter-clockwise from +X. rad */
  readonly pushRad: number;
  /** Shift at a height above the tip. mm */
  readonly shiftMm: (heightMm: number) => number;
}

/** @returns null where nothing is cut */
export function liveForce(
  figures: PageFigures,
  rim: Rim,
  feedMmPerMin: number,
  spindleRpm: number,
  axialMm: number,
): LiveForce | null {
  if (rim.totalRad === 0 || spindleRpm <= 0 || axialMm <= 0) return null;
  const { job } = figures;
  const { intervals, climb } = intervalsOf(rim);
  const force = peakForce(
    {
      material: job.material,
      cutter: job.cutter,
      runoutMm: job.machine.spindle.runoutMm,
      wearFactor: job.limits.wearFactor,
      spindleRpm,
      axialDepthMm: axialMm,
    },
    feedMmPerMin,
    intervals,
    rim.headingRad,
    climb,
  );
  const tipMm = wallShiftMm(wallCompliance(job.machine, job.cutter, spindleRpm), force);
  const bends = (heightMm: number) =>
    cutterComplianceMmPerN(job.cutter, Math.min(heightMm, job.cutter.stickOutMm), 0);
  return {
    force,
    pushRad: rim.headingRad + (climb ? Math.PI / 2 : -Math.PI / 2),
    shiftMm: (heightMm) => tipMm - force.normalN * (bends(0) - bends(heightMm)),
  };
}

/** Arcs from the wall's normal towards the travel; the wall is where more of the rim is engaged. */
export function intervalsOf({ stretchesRad, headingRad }: Rim): {
  intervals: EngagementInterval[];
  climb: boolean;
} {
  let right = 0;
  for (const [from, to] of stretchesRad)
    right += Math.cos(to - headingRad) - Math.cos(from - headingRad);
  const climb = right >= 0;
  const intervals: EngagementInterval[] = [];
  for (const [from, to] of stretchesRad) {
    const a = climb ? from - headingRad + Math.PI / 2 : Math.PI / 2 - (to - headingRad);
    const span = to - from;
    // The same stretch a turn on or back; the back half of the rim cuts nothing.
    for (let turn = -2; turn <= 2; turn++) {
      const start = a + 2 * Math.PI * turn;
      const fromRad = Math.max(0, start);
      const toRad = Math.min(Math.PI, start + span);
      if (toRad > fromRad) intervals.push({ fromRad, toRad });
    }
  }
  intervals.sort((p, q) => p.fromRad - q.fromRad);
  return { intervals, climb };
}

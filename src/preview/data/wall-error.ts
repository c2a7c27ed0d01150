/**
 * Form error that is predicted at one place of the finished wall: the finishing passes of the plan
 * run at the curvature of that place instead of at the seating curve, by the same model.
 */
import { type FinishSetting, runPasses } from '../../cam/finish-error.js';
import { cutterComplianceMmPerN } from '../../machines/bear/deflection.js';
import { wallCompliance } from '../../machines/bear/wall-shift.js';
import { edgeRadius } from '../../profile/geometry/edge.js';
import type { Edge } from '../../model/edges.js';
import type { PageFigures } from './page-data.js';

/** Radius at which a wall counts as straight. mm: the engagement differs by less than 1e-3. */
const STRAIGHT_MM = 1e4;

/** Error at a height of the teeth: z = 0 is the top face. mm off the outline, into the air */
export type WallError = (zMm: number) => number;

/**
 * @param edge  edge of the outline; a convex one is taken as straight, which takes no less stock
 */
export function wallErrorOf(figures: PageFigures, edge: Edge): WallError {
  const { job, process, finish, profile } = figures;
  const concave = edge.kind === 'arc' && !edge.ccw;
  const setting: FinishSetting = {
    conditions: {
      material: job.material,
      cutter: job.cutter,
      runoutMm: job.machine.spindle.runoutMm,
      wearFactor: job.limits.wearFactor,
      spindleRpm: process.spindleRpm,
      axialDepthMm: finish.stepdownMm,
    },
    limits: process,
    seatRadiusMm: concave ? edgeRadius(edge) : STRAIGHT_MM,
    cutterRadiusMm: job.cutter.diameterMm / 2,
    compliance: wallCompliance(job.machine, job.cutter, process.spindleRpm),
    stockMm: process.allowanceMm + process.roughDeflectionMm,
    maxEngagementRad: Math.PI,
  };
  const passes = runPasses(
    setting,
    finish.passes.map((pass) => pass.offsetMm),
  );
  const last = passes?.[passes.length - 1];
  if (!last) return () => finish.errorMm;
  const tip = cutterComplianceMmPerN(job.cutter, 0, 0);
  const lowest = finish.levelsMm[finish.levelsMm.length - 1] ?? -profile.thicknessMm;
  // The lowest pass runs along the whole wall: above its tip the cutter bends less and cuts nearer.
  return (zMm) => {
    const bent = cutterComplianceMmPerN(job.cutter, Math.max(0, zMm - lowest), 0);
    return Math.max(0, last.errorMm - last.normalN * (tip - bent));
  };
}

/** As {@link wallErrorOf} for each edge of an outline; edges of one curvature share the work. */
export function wallErrors(figures: PageFigures): (edgeIndex: number) => WallError {
  const known = new Map<string, WallError>();
  return (edgeIndex) => {
    const edge = figures.profile.outline[edgeIndex] as Edge;
    const key = edge.kind === 'arc' && !edge.ccw ? edgeRadius(edge).toFixed(4) : 'straight';
    let error = known.get(key);
    if (!error) known.set(key, (error = wallErrorOf(figures, edge)));
    return error;
  };
}

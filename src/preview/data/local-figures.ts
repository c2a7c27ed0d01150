/**
 * The plan's own models at one place: the force of the cut at a moment, from the rim that is in
 * material, with how far it pushes the cutter off the wall; and the form error that is predicted at
 * a place of the finished wall.
 */
import type { Edge } from '../../model/edges.js';
import type { PageData, PageFigures } from './page-data.js';
import type { Rim } from '../stock/rim.js';
import { tipBendMmPerN, wallCompliance, wallShiftMm } from '../../machines/bear/wall-shift.js';
import { edgeRadius } from '../../profile/geometry/edge.js';
import { fromTheWall } from '../../cam/stock/replay/rim-load.js';
import { type FinishSetting, runPasses } from '../../cam/finish-error.js';
import { conditionsFor } from '../../cam/choose.js';
import { type PeakForce, peakForce } from '../../machines/load/force.js';

export interface LiveForce {
  readonly force: PeakForce;
  /** Direction in which the cutter is pushed, counter-clockwise from +X. rad */
  readonly pushRad: number;
  /** Shift at a height above the tip. mm */
  readonly shiftMm: (heightMm: number) => number;
}

/** @returns null where nothing is cut */
export function liveForce(
  { figures, track }: PageData,
  rim: Rim | null,
  entry: number,
): LiveForce | null {
  const feedMmPerMin = track.feedMmPerMin[entry]!;
  const spindleRpm = track.spindleRpm[entry]!;
  const axialMm = track.axialMm[entry]!;
  if (!rim || rim.totalRad === 0 || spindleRpm <= 0 || axialMm <= 0) return null;
  const { job } = figures;
  const { intervals, climb } = fromTheWall(rim.stretches, rim.headingRad);
  const force = peakForce(
    conditionsFor(job, spindleRpm, axialMm),
    feedMmPerMin,
    intervals,
    rim.headingRad,
    climb,
  );
  const tipMm = wallShiftMm(wallCompliance(job.machine, job.cutter, spindleRpm), force);
  return {
    force,
    pushRad: rim.headingRad + (climb ? Math.PI / 2 : -Math.PI / 2),
    shiftMm: (heightMm) => tipMm - force.normalN * tipBendMmPerN(job.cutter, heightMm),
  };
}

/** Radius at which a wall counts as straight. mm: the engagement differs by less than 1e-3. */
const STRAIGHT_MM = 1e4;

/** Error at a height of the teeth: z = 0 is the top face. mm off the outline, into the air */
type WallError = (zMm: number) => number;

/**
 * The finishing passes of the plan run at the curvature of one place instead of at the seating
 * curve, by the same model.
 * @param edge  edge of the outline; a convex one is taken as straight, which takes no less stock
 */
function wallErrorOf(figures: PageFigures, edge: Edge): WallError {
  const { job, process, finish, profile } = figures;
  const concave = edge.kind === 'arc' && !edge.ccw;
  const setting: FinishSetting = {
    conditions: conditionsFor(job, process.spindleRpm, finish.stepdownMm),
    limits: process,
    seatRadiusMm: concave ? edgeRadius(edge) : STRAIGHT_MM,
    compliance: wallCompliance(job.machine, job.cutter, process.spindleRpm),
    stockMm: process.allowanceMm + process.roughDeflectionMm,
    maxEngagementRad: Math.PI,
  };
  const offsets = finish.passes.map((pass) => pass.offsetMm);
  const last = runPasses(setting, offsets)?.at(-1);
  if (!last) return () => finish.errorMm;
  const lowest = finish.levelsMm[finish.levelsMm.length - 1] ?? -profile.thicknessMm;
  // The lowest pass runs along the whole wall: above its tip the cutter bends less and cuts nearer.
  return (zMm) =>
    Math.max(0, last.errorMm - last.normalN * tipBendMmPerN(job.cutter, zMm - lowest));
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

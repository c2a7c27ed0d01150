/**
 * Roughing of one level, clockwise: the ring while it is thicker than one pass, then every gap, and
 * on the way from each to the next the pillar on the tip between them. All levels repeat the same
 * planar moves; a gap is planned once and turned from tooth to tooth.
 */
import type { Pt } from '../model/edges.js';
import type { Job } from '../model/job.js';
import { Refusal } from '../model/refusal.js';
import { atRadius, polar, rotatePt } from '../profile/geometry/edge.js';
import type { Wheel } from '../profile/wheel/sprocket.js';
import { outOfRoom } from './gap/front-shape.js';
import { type GapPlan, GapTooTight, planGap } from './gap/front.js';
import { type PillarCut, gapMoves } from './gap/moves.js';
import { Pen, type PlanarMove, rotateMoves } from './planar.js';
import type { Process } from './process.js';
import { TURN_RAD } from '../maths/angle.js';
import { PLACE_TOL_MM } from '../maths/tolerance.js';
import { planRing, rimInDisc } from './ring.js';

/** Air between the cutter's path from gap to gap and the stock. mm */
const TRAVEL_GAP_MM = 0.2;
/** Length kept at cutting feed on either side of a pillar, beyond where the air begins. mm */
const PILLAR_MARGIN_MM = 0.06;

export interface RoughLevel {
  /** In air, outside the blank: every level starts and ends here. */
  readonly start: Pt;
  readonly moves: readonly PlanarMove[];
  readonly gap: GapPlan;
}

/**
 * @param blankRadiusMm  blank radius with the centring error added
 * @throws Refusal 'cutter-too-large'
 */
export function planRoughLevel(
  job: Job,
  profile: Wheel,
  blankRadiusMm: number,
  process: Process,
): RoughLevel {
  try {
    return levelOf(job, profile, blankRadiusMm, process);
  } catch (error) {
    if (!(error instanceof GapTooTight)) throw error;
    throw new Refusal(
      'cutter-too-large',
      `a ${job.cutter.diameterMm} mm cutter cannot clear this tooth gap inside ${process.maxEngagementDeg.toFixed(0)} deg of engagement: ${error.message}; use a smaller cutter`,
      job.cutter.diameterMm,
      null,
    );
  }
}

function levelOf(
  { sprocket: { teeth, tipRoundingMm }, cutter }: Job,
  profile: Wheel,
  blankRadiusMm: number,
  process: Process,
): RoughLevel {
  const cutterRadiusMm = cutter.diameterMm / 2;
  const { allowanceMm, planEngagementRad: maxEngagementRad, linkFeedMmPerMin: link } = process;
  const wallRadiusMm = profile.tipDiameterMm / 2 + allowanceMm;
  const pitchAngle = TURN_RAD / teeth;
  const ring = planRing({
    blankRadiusMm,
    wallRadiusMm,
    cutterRadiusMm,
    maxEngagementRad,
    touchRad: pitchAngle / 2,
    feed: process.feed,
    linkFeedMmPerMin: link,
  });
  const gap = planGap({
    gap: profile.gap,
    rootRadiusMm: profile.rootDiameterMm / 2,
    tipRoundingMm,
    stockRadiusMm: ring.stockRadiusMm,
    cutterRadiusMm,
    allowanceMm,
    maxEngagementRad,
  });
  const travelRadiusMm = gap.ring.radiusMm + TRAVEL_GAP_MM;
  const one = gapMoves({
    plan: gap,
    halfPitchRad: pitchAngle / 2,
    travelRadiusMm,
    pillar: pillarCut(gap, ring.stockRadiusMm, wallRadiusMm, pitchAngle, process),
    direction: process.direction,
    feed: process.feed,
    linkFeedMmPerMin: link,
    accelerationMmPerS2: process.accelerationMmPerS2,
  });
  const pen = new Pen(ring.start).append(ring.moves);
  const travelTo = (to: Pt): Pen =>
    pen.line(atRadius(pen.at, travelRadiusMm), link, 'link').travel(to, link);
  for (let i = 0; i < teeth; i++) {
    const turn = -i * pitchAngle;
    if (i === 0 || !one.leadsToNext) travelTo(rotatePt(one.start, turn));
    pen.append(rotateMoves(one.moves, turn));
  }
  travelTo(atRadius(ring.start, travelRadiusMm)).line(ring.start, link, 'link');
  return { start: ring.start, moves: pen.moves, gap };
}

function pillarCut(
  gap: GapPlan,
  stockRadiusMm: number,
  wallRadiusMm: number,
  pitchAngle: number,
  process: Process,
): PillarCut | null {
  if (stockRadiusMm - wallRadiusMm < PLACE_TOL_MM) return null;
  const r = gap.cutterRadiusMm;
  const pathRadiusMm = wallRadiusMm + r;
  return {
    pathRadiusMm,
    airRad: airAngle(gap, pathRadiusMm, pitchAngle),
    feedMmPerMin: process.feed(rimInDisc(pathRadiusMm, r, stockRadiusMm)),
  };
}

/** Steps of half a pitch in which the end of the air is looked for: the last one in air counts, so
 *  that a coarser search would only cut more air. */
const AIR_STEPS = 200;

/** Angle from a gap's axis up to which a circle about the wheel's centre is in the cut room. */
function airAngle(gap: GapPlan, pathRadiusMm: number, pitchAngle: number): number {
  const inAir = (angle: number): boolean => {
    const [x, y] = polar(pathRadiusMm, angle);
    return gap.passes.some((pass) => outOfRoom(pass.front, x, y) <= PLACE_TOL_MM);
  };
  for (let i = 0; i <= AIR_STEPS; i++) {
    const angle = (pitchAngle / 2) * (i / AIR_STEPS);
    if (!inAir(angle)) {
      const sure = (pitchAngle / 2) * (Math.max(0, i - 1) / AIR_STEPS);
      return Math.max(0, sure - PILLAR_MARGIN_MM / pathRadiusMm);
    }
  }
  return pitchAngle / 2;
}

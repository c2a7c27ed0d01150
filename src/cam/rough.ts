/**
 * Roughing of one level: the ring while it is thicker than one pass, then every gap, clockwise,
 * and on the way from each to the next the pillar on the tip between them. All levels repeat the
 * same planar moves; a gap is planned once and turned from tooth to tooth.
 */
import type { Pt } from '../model/edges.js';
import { atRadius, polar, rotatePt } from '../profile/geometry/edge.js';
import type { SprocketProfile } from '../profile/wheel/sprocket.js';
import { outOfRoom } from './gap/front-shape.js';
import { type GapPlan, planGap } from './gap/front.js';
import { type PillarCut, gapMoves, travelTo } from './gap/moves.js';
import { Pen, type PlanarMove, rotateMoves } from './planar.js';
import type { RoughProcess } from './process.js';
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
  readonly ringPasses: number;
  readonly peakEngagementRad: number;
}

/**
 * @param blankRadiusMm  blank radius with the centring error added
 * @throws GapTooTight
 */
export function planRoughLevel(
  profile: SprocketProfile,
  teeth: number,
  tipRoundingMm: number,
  cutterRadiusMm: number,
  blankRadiusMm: number,
  process: RoughProcess,
): RoughLevel {
  const tipRadiusMm = profile.tipDiameterMm / 2;
  const wallRadiusMm = tipRadiusMm + process.allowanceMm;
  const pitchAngle = TURN_RAD / teeth;
  const link = process.linkFeedMmPerMin;
  const ring = planRing({
    blankRadiusMm,
    wallRadiusMm,
    cutterRadiusMm,
    maxEngagementRad: process.planEngagementRad,
    touchRad: pitchAngle / 2,
    feed: process.feed,
    linkFeedMmPerMin: link,
  });
  const gap = planGap({
    gap: profile.gap,
    tipRadiusMm,
    rootRadiusMm: profile.rootDiameterMm / 2,
    tipRoundingMm,
    stockRadiusMm: ring.stockRadiusMm,
    cutterRadiusMm,
    allowanceMm: process.allowanceMm,
    maxEngagementRad: process.planEngagementRad,
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
  const pen = new Pen(ring.start);
  pen.append(ring.moves);
  for (let i = 0; i < teeth; i++) {
    const turn = -i * pitchAngle;
    if (i === 0 || !one.leadsToNext) {
      pen.line(atRadius(pen.at, travelRadiusMm), link, 'link');
      travelTo(pen, rotatePt(one.start, turn), link);
    }
    pen.append(rotateMoves(one.moves, turn));
  }
  pen.line(atRadius(pen.at, travelRadiusMm), link, 'link');
  travelTo(pen, atRadius(ring.start, travelRadiusMm), link);
  pen.line(ring.start, link, 'link');
  return {
    start: ring.start,
    moves: pen.moves,
    gap,
    ringPasses: ring.passes,
    peakEngagementRad: Math.max(
      ring.peakEngagementRad,
      ...gap.passes.map((p) => p.peakEngagementRad),
    ),
  };
}

function pillarCut(
  gap: GapPlan,
  stockRadiusMm: number,
  wallRadiusMm: number,
  pitchAngle: number,
  process: RoughProcess,
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

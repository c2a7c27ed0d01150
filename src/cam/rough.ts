/**
 * Roughing of one level: the ring round the blank, then every gap, clockwise. All levels repeat
 * the same planar moves; a gap is planned once and turned from tooth to tooth.
 */
import type { Pt } from '../profile/edges.js';
import { rotatePt } from '../profile/edge.js';
import type { SprocketProfile } from '../profile/sprocket.js';
import { type GapPlan, GapTooTight, planGap } from './gap-front.js';
import { gapMoves, raise, travelTo } from './gap-moves.js';
import { Pen, type PlanarMove, rotateMoves } from './planar.js';
import type { RoughProcess } from './process.js';
import { planRing } from './ring.js';

/** Air between the cutter's path from gap to gap and the tooth tips. mm */
const TRAVEL_GAP_MM = 0.25;

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
  cutterRadiusMm: number,
  blankRadiusMm: number,
  process: RoughProcess,
): RoughLevel {
  const tipRadiusMm = profile.tipDiameterMm / 2;
  const pitchAngle = (2 * Math.PI) / teeth;
  const gap = planGap({
    gap: profile.gap,
    tipRadiusMm,
    rootRadiusMm: profile.rootDiameterMm / 2,
    cutterRadiusMm,
    allowanceMm: process.allowanceMm,
    maxEngagementRad: process.planEngagementRad,
  });
  const ring = planRing({
    blankRadiusMm,
    wallRadiusMm: tipRadiusMm + process.allowanceMm,
    cutterRadiusMm,
    maxEngagementRad: process.planEngagementRad,
    touchRad: pitchAngle / 2,
    feed: process.feed,
    linkFeedMmPerMin: process.linkFeedMmPerMin,
  });
  const link = process.linkFeedMmPerMin;
  const travelRadiusMm = gap.ringCentreRadiusMm + TRAVEL_GAP_MM;
  const one = gapMoves({
    plan: gap,
    travelRadiusMm,
    direction: process.direction,
    feed: process.feed,
    linkFeedMmPerMin: link,
  });
  const pen = new Pen(ring.start);
  pen.append(ring.moves);
  pen.line(raise(pen.at, travelRadiusMm), link, 'link');
  for (let i = 0; i < teeth; i++) {
    const turn = -i * pitchAngle;
    travelTo(pen, rotatePt(one.start, turn), link);
    pen.append(rotateMoves(one.moves, turn));
  }
  travelTo(pen, raise(ring.start, travelRadiusMm), link);
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

export { GapTooTight };

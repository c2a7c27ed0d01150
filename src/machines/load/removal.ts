/** The greatest removal rate a straight wall allows: the bound that roughing is measured against. */
import { minimise } from '../../maths/solve.js';
import { stepForEngagementStraightMm } from './engagement.js';
import type { FeedLimit } from './feed.js';
import { feedForLimits } from './feed.js';
import type { CutConditions } from './force.js';

export interface RemovalLimits {
  readonly maxEngagementRad: number;
  readonly forceLimitN: number;
  readonly chipCapMm: number;
  readonly maxFeedMmPerMin: number;
  /** Greatest mean power at the cutter. W; no limit when left out. */
  readonly powerLimitW?: number;
}

export interface BestRemoval {
  readonly removalMm3PerMin: number;
  /** Stepover. mm */
  readonly aeMm: number;
  readonly feedMmPerMin: number;
  readonly phiRad: number;
  /** What holds the feed there. */
  readonly limitedBy: FeedLimit;
}

const SCAN_STEPS = 180;
/** A 90th of the range shortened so often to 0.618: as far as doubles go. */
const REFINEMENTS = 40;

/**
 * Greatest removal rate ap ae feed that any pair of stepover and feed reaches on a straight wall
 * at this axial depth, within the engagement, force, chip, power and feed limits. For each
 * engagement the feed is the highest allowed; the engagement is scanned and the best place
 * refined by golden section. (With chip or force limiting and no runout the rate goes as
 * tan(phi / 2), so the limit itself is best; runout and several teeth in the cut can move it.)
 */
export function bestStraightRemoval(cond: CutConditions, limits: RemovalLimits): BestRemoval {
  const rMm = cond.cutter.diameterMm / 2;
  const top = Math.min(Math.PI, limits.maxEngagementRad);
  const feedLimits = { ...limits, chipFloorMm: 0 };
  const rate = (phiRad: number): number =>
    cond.axialDepthMm *
    stepForEngagementStraightMm(phiRad, rMm) *
    feedForLimits(cond, phiRad, feedLimits).feedMmPerMin;

  let best = 0;
  let bestRate = -1;
  for (let i = 1; i <= SCAN_STEPS; i++) {
    const r = rate((top * i) / SCAN_STEPS);
    if (r > bestRate) {
      bestRate = r;
      best = i;
    }
  }
  let phiRad = (top * best) / SCAN_STEPS;
  const low = (top * (best - 1)) / SCAN_STEPS;
  const high = Math.min(top, (top * (best + 1)) / SCAN_STEPS);
  const refined = minimise((phi) => -rate(phi), low, high, REFINEMENTS);
  if (rate(refined) > bestRate) phiRad = refined;

  const choice = feedForLimits(cond, phiRad, feedLimits);
  const aeMm = stepForEngagementStraightMm(phiRad, rMm);
  return {
    removalMm3PerMin: cond.axialDepthMm * aeMm * choice.feedMmPerMin,
    aeMm,
    feedMmPerMin: choice.feedMmPerMin,
    phiRad,
    limitedBy: choice.limitedBy,
  };
}

/**
 * Form error that finishing leaves, and the passes that bring it inside a tolerance.
 *
 * A pass set to wall w0 meets stock up to w1 and is pushed off by e. What it removes is
 * w1 - w0 - e, and e is what the force of that cut pushes machine, holder and cutter off the wall;
 * the two are solved together. The next pass at the same wall meets w1' = w0 + e, removes less,
 * is pushed off less: a spring pass. All at the seating curve, where the engagement for a given
 * depth is greatest.
 */
import { engagementConcaveRad } from '../machines/load/engagement.js';
import { feedForLimits, type FeedLimits } from '../machines/load/feed.js';
import { type CutConditions, wallForce, type WallForce } from '../machines/load/force.js';
import { bisect } from '../maths/solve.js';
import { type WallCompliance, wallShiftMm } from '../machines/bear/wall-shift.js';

export interface FinishSetting {
  readonly conditions: CutConditions;
  readonly limits: FeedLimits;
  readonly seatRadiusMm: number;
  readonly compliance: WallCompliance;
  /** Stock over the outline before finishing: allowance and what roughing's deflection leaves. */
  readonly stockMm: number;
  readonly maxEngagementRad: number;
}

/** One finishing pass. */
export interface FinishPass {
  /** Distance that the pass is set off the outline. mm; 0 on the outline itself */
  readonly offsetMm: number;
  /** Stock met over the outline, in the worst place, before the pass. mm */
  readonly stockBeforeMm: number;
  /** Form error after the pass. mm */
  readonly errorMm: number;
  /** Feed at the seating curve. mm/min */
  readonly feedMmPerMin: number;
  readonly engagementRad: number;
  readonly normalN: number;
}

/** Half a millimetre of stock halved so often is 2e-6 mm. */
const ERROR_HALVINGS = 18;

/** Pushed-off distance of one pass. mm */
function passError(setting: FinishSetting, offsetMm: number, stockMm: number): FinishPass {
  const r = setting.conditions.cutter.diameterMm / 2;
  const wall = setting.seatRadiusMm - offsetMm;
  const depth = stockMm - offsetMm;
  const phi = wall > r ? engagementConcaveRad(depth, r, wall) : Math.PI;
  const feed = feedForLimits(setting.conditions, phi, setting.limits).feedMmPerMin;
  const forceAt = (removed: number): WallForce => {
    const toRad = removed > 0 ? engagementConcaveRad(removed, r, wall) : 0;
    return wallForce(setting.conditions, feed, [{ fromRad: 0, toRad }]);
  };
  const pushedFarther = (e: number): boolean =>
    wallShiftMm(setting.compliance, forceAt(depth - e)) > e;
  const [, shift] = bisect(pushedFarther, 0, depth, ERROR_HALVINGS);
  return {
    offsetMm,
    stockBeforeMm: stockMm,
    errorMm: offsetMm + shift,
    feedMmPerMin: feed,
    engagementRad: phi,
    normalN: forceAt(depth - shift).normalN,
  };
}

/** Runs offsets one after the other; null where one would pass the engagement limit. */
export function runPasses(
  setting: FinishSetting,
  offsetsMm: readonly number[],
): FinishPass[] | null {
  const passes: FinishPass[] = [];
  return offsetsMm.every((offset) => addPass(setting, passes, offset)) ? passes : null;
}

/** Adds a pass that meets what the one before it left; false where it is engaged too far. */
function addPass(setting: FinishSetting, passes: FinishPass[], offsetMm: number): boolean {
  const stock = passes[passes.length - 1]?.errorMm ?? setting.stockMm;
  const pass = passError(setting, offsetMm, stock);
  if (pass.engagementRad > setting.maxEngagementRad) return false;
  passes.push(pass);
  return true;
}

/** Most passes on the outline itself: one and five springs. */
const MAX_FINAL_PASSES = 6;

/** Shares of the stock at which light passes off the outline are set. */
const LIGHT_PASSES: readonly (readonly number[])[] = [[], [0.3], [0.5, 0.2]];

/**
 * Ways of splitting the stock: light passes off the outline, then one to MAX_FINAL_PASSES on it.
 * A way ends where a pass would go over the engagement limit.
 * @param springs  whether one more pass on the outline may be of use after these
 */
export function passPlans(
  setting: FinishSetting,
  springs: (passes: readonly FinishPass[]) => boolean = () => true,
): FinishPass[][] {
  const plans: FinishPass[][] = [];
  for (const light of LIGHT_PASSES) {
    const passes = runPasses(
      setting,
      light.map((share) => share * setting.stockMm),
    );
    for (let n = 0; passes && n < MAX_FINAL_PASSES && addPass(setting, passes, 0); n++) {
      plans.push([...passes]);
      if (!springs(passes)) break;
    }
  }
  return plans;
}

/**
 * Feed from limits: the highest feed at which chip, force, power and travel speed all hold.
 *
 * While one tooth is in the cut at a time (phi <= 2 pi / flutes, which covers every engagement
 * planned on a light machine), force depends on the thickest chip alone. So the chip at which
 * the force limit is met is found once, and the feed follows from it in closed form:
 *
 *   fz_eff = h / sin(min(phi, 90 deg)),  fz = max(fz_eff - TIR, fz_eff / z),  feed = fz z n
 */
import { exp, log, pow, sin } from '../../maths/elementary.js';
import { TURN_RAD } from '../../maths/angle.js';
import { S_PER_MIN } from '../../maths/motion.js';
import { bisect, minimise } from '../../maths/solve.js';
import {
  RADIAL_KNEE_THIN_MM,
  feedPerToothMm,
  maxChipMm,
  meanChipMm,
  nominalFeedPerToothMm,
} from './chip.js';
import type { CutConditions } from './force.js';
import { forceScale, resultantAtFeedPerToothN, resultantPeakN, toothResultantN } from './force.js';
import { stepForEngagementStraightMm } from './engagement.js';

export interface FeedLimits {
  /** Thickest chip, at the nominal feed per tooth. mm */
  readonly chipCapMm: number;
  /** Greatest resultant in the cutting plane. N */
  readonly forceLimitN: number;
  readonly maxFeedMmPerMin: number;
  /** Greatest mean power at the cutter. W; no limit when left out. */
  readonly powerLimitW?: number;
}

type FeedLimit = 'chip' | 'force' | 'feed' | 'power';

export interface FeedChoice {
  readonly feedMmPerMin: number;
  /** The limit that is met; `force` with feed 0 when the limit allows no cutting at all. */
  readonly limitedBy: FeedLimit;
  /** Thickest chip at the nominal feed per tooth. mm */
  readonly hMaxMm: number;
  readonly resultantN: number;
}

/** Result is taken this much inside a limit that is met by iteration, so that rounding cannot
 *  put it outside. Relative; far below any figure that enters the model. */
const INSIDE = 1 - 1e-9;

/** How closely that chip is found, relative, and a bound on the halvings for it. */
const CHIP_TOL = 1e-10;
const CHIP_HALVINGS = 60;

/** What was asked for last, and what came of it: one force limit is asked for at one engagement after
 *  the other. */
let asked: {
  readonly cond: CutConditions;
  readonly limitN: number;
  readonly chipMm: number;
} | null = null;

/**
 * Thickest chip at which one tooth's resultant stays within a limit.
 * @returns mm; 0 for a limit of 0 or less; Infinity when there is no axial depth
 */
export function chipForForceMm(cond: CutConditions, forceLimitN: number): number {
  if (asked?.cond !== cond || asked.limitN !== forceLimitN) {
    asked = { cond, limitN: forceLimitN, chipMm: solvedChipMm(cond, forceLimitN) };
  }
  return asked.chipMm;
}

function solvedChipMm(cond: CutConditions, forceLimitN: number): number {
  if (!(forceLimitN > 0)) return 0;
  const scale = forceScale(cond);
  const power = 1 / (1 - cond.material.mc);
  // Kr = 1 up to the first knee: closed form. It is also a lower bound beyond it.
  const thin = pow(forceLimitN / (scale * Math.SQRT2), power);
  if (thin <= RADIAL_KNEE_THIN_MM) return thin * INSIDE;
  // Without any radial force the chip could be this thick: an upper bound.
  const thick = pow(forceLimitN / scale, power);
  const holds = (hMm: number): boolean => toothResultantN(cond, hMm) <= forceLimitN;
  return bisect(holds, thin, thick, CHIP_HALVINGS, thin * CHIP_TOL)[0] * INSIDE;
}

/**
 * Effective feed per tooth at which the resultant over [0, phi] meets the limit when several
 * teeth are in the cut. The force goes as a power between 0.2 and 1 of the feed, so secant steps
 * in logarithms, kept inside a bracket, settle in a few evaluations.
 */
function overlapFeedPerToothMm(cond: CutConditions, phiRad: number, limitN: number): number {
  if (!(limitN > 0)) return 0;
  if (!(cond.axialDepthMm > 0) || limitN === Infinity) return Infinity;
  const target = log(limitN);
  let lo = -Infinity; // log feed known to be inside the limit
  let hi = Infinity; // ... outside
  let x = log(RADIAL_KNEE_THIN_MM);
  let slope = 1 - cond.material.mc;
  let lastX = NaN;
  let lastY = NaN;
  for (let i = 0; i < 40; i++) {
    const y = log(resultantAtFeedPerToothN(cond, exp(x), phiRad));
    if (y <= target) lo = x;
    else hi = x;
    if (hi - lo < 1e-7 || (y <= target && target - y < 1e-7)) break;
    const secant = (y - lastY) / (x - lastX);
    if (secant > 0) slope = secant;
    lastX = x;
    lastY = y;
    // Aim a hair inside, so that the last step lands on the right side.
    x += (target - 5e-8 - y) / slope;
    if (x <= lo || x >= hi) x = (lo + hi) / 2;
  }
  return exp(lo);
}

/** Mean chip at which the power limit is met over [0, phi], from P = ap hm kc(hm) K z phi/2pi vc. */
function meanChipForPowerMm(cond: CutConditions, phiRad: number, powerW: number): number {
  const speedMPerS = (Math.PI * cond.cutter.diameterMm * cond.spindleRpm) / (1000 * S_PER_MIN);
  const teeth = (cond.cutter.flutes * phiRad) / TURN_RAD;
  const scale = forceScale(cond);
  return pow(powerW / (scale * teeth * speedMPerS), 1 / (1 - cond.material.mc));
}

/** Result of `limitFeeds`, read at once by its caller: nothing is called in between. */
const scratch = { chip: 0, force: 0, power: 0 };

/** Feed per limit at one engagement; `chipAtForceMm` from `chipForForceMm`. Written to `scratch`. */
function limitFeeds(
  cond: CutConditions,
  phiRad: number,
  limits: FeedLimits,
  chipAtForceMm: number,
): void {
  const flutes = cond.cutter.flutes;
  const perTooth = flutes * cond.spindleRpm;
  const sine = sin(Math.min(phiRad, Math.PI / 2));
  const fzEff =
    phiRad * flutes <= TURN_RAD
      ? chipAtForceMm / sine
      : overlapFeedPerToothMm(cond, phiRad, limits.forceLimitN);
  scratch.chip = (limits.chipCapMm / sine) * perTooth;
  scratch.force = nominalFeedPerToothMm(fzEff, cond.runoutMm, flutes) * perTooth * INSIDE;
  scratch.power = Infinity;
  if (limits.powerLimitW !== undefined) {
    const unitMean = meanChipMm(1, phiRad);
    const hm = meanChipForPowerMm(cond, phiRad, Math.max(0, limits.powerLimitW));
    scratch.power = (hm / unitMean) * perTooth * INSIDE;
  }
}

/**
 * Highest feed at which the thickest chip stays within the cap, the peak resultant within the
 * force limit, the power within its limit and the feed within the machine's.
 * @param phiRad  engagement of the arc [0, phi], radians; 0 or less is air, fed at the maximum
 */
export function feedForLimits(cond: CutConditions, phiRad: number, limits: FeedLimits): FeedChoice {
  if (!(phiRad > 0)) {
    const feedMmPerMin = limits.maxFeedMmPerMin;
    return { feedMmPerMin, limitedBy: 'feed', hMaxMm: 0, resultantN: 0 };
  }
  const phi = Math.min(phiRad, Math.PI);
  limitFeeds(cond, phi, limits, chipForForceMm(cond, limits.forceLimitN));
  let feedMmPerMin = limits.maxFeedMmPerMin;
  let limitedBy: FeedLimit = 'feed';
  for (const limit of ['chip', 'power', 'force'] as const) {
    if (scratch[limit] < feedMmPerMin) [feedMmPerMin, limitedBy] = [scratch[limit], limit];
  }
  const fzMm = feedPerToothMm(feedMmPerMin, cond.cutter.flutes, cond.spindleRpm);
  return {
    feedMmPerMin,
    limitedBy,
    hMaxMm: maxChipMm(fzMm, phi),
    resultantN: resultantPeakN(cond, feedMmPerMin, phi),
  };
}

/** Cells of the table over the engagements at which several teeth cut together. */
const TABLE_CELLS = 180;
/** Room for what the feed does between the three places that a cell is looked at. Relative. */
const CELL_MARGIN = 0.999;

/**
 * `feedForLimits(...).feedMmPerMin` as a function of engagement, for calls by the hundred
 * thousand: closed form while one tooth cuts at a time; beyond that a table whose cells hold the
 * least feed found at their ends and middle, so that it errs to the slower side.
 */
export function feedTable(cond: CutConditions, limits: FeedLimits): (phiRad: number) => number {
  const flutes = cond.cutter.flutes;
  const overlapRad = Math.min(Math.PI, TURN_RAD / flutes);
  const chipAtForceMm = chipForForceMm(cond, limits.forceLimitN);
  const at = (phiRad: number): number => {
    limitFeeds(cond, phiRad, limits, chipAtForceMm);
    return Math.min(limits.maxFeedMmPerMin, scratch.chip, scratch.force, scratch.power);
  };
  const span = Math.PI - overlapRad;
  let table: Float64Array | null = null;
  const build = (): Float64Array => {
    const cells = new Float64Array(TABLE_CELLS);
    let left = at(overlapRad + span * 1e-12);
    for (let i = 0; i < TABLE_CELLS; i++) {
      const right = at(overlapRad + (span * (i + 1)) / TABLE_CELLS);
      const middle = at(overlapRad + (span * (i + 0.5)) / TABLE_CELLS);
      cells[i] = Math.min(left, middle, right) * CELL_MARGIN;
      left = right;
    }
    return cells;
  };
  return (phiRad) => {
    if (!(phiRad > 0)) return limits.maxFeedMmPerMin;
    if (phiRad <= overlapRad) return at(phiRad);
    table ??= build();
    const cell = Math.floor(((phiRad - overlapRad) / span) * TABLE_CELLS);
    return table[Math.min(TABLE_CELLS - 1, cell)] as number;
  };
}

const SCAN_STEPS = 180;
/** A 90th of the range shortened so often to 0.618: as far as doubles go. */
const REFINEMENTS = 40;

/**
 * The bound that roughing is measured against: the greatest removal rate ap ae feed that any pair of stepover and feed reaches on a straight wall
 * at this axial depth, within the engagement, force, chip, power and feed limits. For each
 * engagement the feed is the highest allowed; the engagement is scanned and the best place
 * refined by golden section. (With chip or force limiting and no runout the rate goes as
 * tan(phi / 2), so the limit itself is best; runout and several teeth in the cut can move it.)
 */
export function bestStraightRemoval(
  cond: CutConditions,
  limits: FeedLimits & { readonly maxEngagementRad: number },
) {
  const rMm = cond.cutter.diameterMm / 2;
  const top = Math.min(Math.PI, limits.maxEngagementRad);
  const rate = (phiRad: number): number =>
    cond.axialDepthMm *
    stepForEngagementStraightMm(phiRad, rMm) *
    feedForLimits(cond, phiRad, limits).feedMmPerMin;

  const rates = Array.from({ length: SCAN_STEPS }, (_, i) => rate((top * (i + 1)) / SCAN_STEPS));
  const bestRate = Math.max(...rates);
  const best = rates.indexOf(bestRate) + 1;
  let phiRad = (top * best) / SCAN_STEPS;
  const low = (top * (best - 1)) / SCAN_STEPS;
  const high = Math.min(top, (top * (best + 1)) / SCAN_STEPS);
  const refined = minimise((phi) => -rate(phi), low, high, REFINEMENTS);
  if (rate(refined) > bestRate) phiRad = refined;

  const choice = feedForLimits(cond, phiRad, limits);
  const aeMm = stepForEngagementStraightMm(phiRad, rMm);
  return {
    ...choice,
    phiRad,
    aeMm,
    removalMm3PerMin: cond.axialDepthMm * aeMm * choice.feedMmPerMin,
  };
}

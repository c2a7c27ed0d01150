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
 */
import { effectiveFeedPerToothMm } from './chip.js';
import { radialRatio } from './kienzle.js';
import type { Cutter, EngagementInterval, Material } from './types.js';

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
  /** Greatest force along the travel, either way. */
  readonly feedN: number;
  /** Greatest force along X and Y, either way; the resultant when no heading was given. */
  readonly xN: number;
  readonly yN: number;
  /** Mean push off the wall over a revolution; negative pulls the cutter in. */
  readonly meanNormalN: number;
  /** Thickest chip at the nominal feed per tooth: what cap and floor are compared with. */
  readonly hMaxMm: number;
  /** Thickest chip of the tooth that stands out by the runout: what the forces rest on. */
  readonly hMaxRunoutMm: number;
  /** Mean power at the cutter. */
  readonly powerW: number;
  readonly torqueNm: number;
  readonly meanTeethInCut: number;
}

const TURN = 2 * Math.PI;
/** A tooth this close to the end of its arc counts as in the cut. rad; far above rounding of
 *  angle sums (1e-15), far below any angle that changes a force. */
const ANGLE_TOL_RAD = 1e-9;
/** Sampling step of tooth position; a parabola through three samples then places the peak to
 *  better than 1e-5 of its height. rad */
const SAMPLE_STEP_RAD = (3 * Math.PI) / 180;

// Gauss-Legendre, 8 points on [-1, 1] (Abramowitz and Stegun, table 25.4).
const GAUSS_X = [0.1834346424956498, 0.525532409916329, 0.7966664774136267, 0.9602898564975363];
const GAUSS_W = [0.362683783378362, 0.3137066458778873, 0.2223810344533745, 0.1012285362903763];

/** Working state of one evaluation, reused so that the hot path allocates nothing. */
const MAX_ARCS = 32;
const arcFrom = new Float64Array(MAX_ARCS);
const arcTo = new Float64Array(MAX_ARCS);
let arcCount = 0;
let toothForceScale = 0; // kc1.1 ap wear, N/mm^(1-mc)
let toothExponent = 0; // 1 - mc
let toothFeedMm = 0; // effective feed per tooth
let toothCount = 0;
let onlyOneTooth = true;
let handSign = 1; // +1 climb, -1 conventional
let sumFeedN = 0;
let sumNormalN = 0;

/** Tangential force of one tooth at chip `hMm`, from the state above. N */
function tangentialN(hMm: number): number {
  return toothForceScale * Math.pow(hMm, toothExponent);
}

function setTooth(cond: CutConditions, fzEffectiveMm: number): void {
  toothForceScale = cond.material.kc11NPerMm2 * cond.axialDepthMm * cond.wearFactor;
  toothExponent = 1 - cond.material.mc;
  toothFeedMm = fzEffectiveMm;
  toothCount = cond.cutter.flutes;
}

function addArc(fromRad: number, toRad: number): void {
  const from = Math.max(0, fromRad);
  const to = Math.min(Math.PI, toRad);
  if (!(to > from)) return;
  if (arcCount >= MAX_ARCS) throw new RangeError(`more than ${MAX_ARCS} engagement intervals`);
  // Keep arcs in order of their start; merge with a neighbour that they touch.
  let i = arcCount;
  while (i > 0 && (arcFrom[i - 1] as number) > from) {
    arcFrom[i] = arcFrom[i - 1] as number;
    arcTo[i] = arcTo[i - 1] as number;
    i--;
  }
  arcFrom[i] = from;
  arcTo[i] = to;
  arcCount++;
}

/** Clips the intervals to the half turn in which a tooth makes a chip, sorted and merged. */
function setArcs(intervals: readonly EngagementInterval[]): void {
  arcCount = 0;
  for (let i = 0; i < intervals.length; i++) {
    const interval = intervals[i] as EngagementInterval;
    const shift = -TURN * Math.floor((interval.fromRad + Math.PI) / TURN);
    addArc(interval.fromRad + shift, interval.toRad + shift);
    addArc(interval.fromRad + shift - TURN, interval.toRad + shift - TURN);
  }
  let kept = 0;
  for (let i = 1; i < arcCount; i++) {
    if ((arcFrom[i] as number) <= (arcTo[kept] as number)) {
      arcTo[kept] = Math.max(arcTo[kept] as number, arcTo[i] as number);
    } else {
      kept++;
      arcFrom[kept] = arcFrom[i] as number;
      arcTo[kept] = arcTo[i] as number;
    }
  }
  if (arcCount > 0) arcCount = kept + 1;
}

/** Adds the tooth at angle `t` to the sums. */
function addTooth(t: number): void {
  const sine = Math.sin(t);
  const hMm = toothFeedMm * sine;
  if (!(hMm > 0)) return;
  const cosine = Math.cos(t);
  const ft = tangentialN(hMm);
  const fr = ft * radialRatio(hMm);
  sumFeedN += handSign * ft * cosine - fr * sine;
  sumNormalN += -handSign * ft * sine - fr * cosine;
}

/** Force of all teeth in the cut when one of them is at angle `t`, into sumFeedN, sumNormalN. */
function sumTeeth(t: number): void {
  sumFeedN = 0;
  sumNormalN = 0;
  if (onlyOneTooth) {
    addTooth(t);
    return;
  }
  const pitch = TURN / toothCount;
  for (let k = 0; k < toothCount; k++) {
    let angle = (t + k * pitch) % TURN;
    if (angle > TURN - ANGLE_TOL_RAD) angle -= TURN;
    for (let i = 0; i < arcCount; i++) {
      const from = arcFrom[i] as number;
      const to = arcTo[i] as number;
      if (angle < from - ANGLE_TOL_RAD) break;
      if (angle <= to + ANGLE_TOL_RAD) {
        addTooth(Math.min(to, Math.max(from, angle)));
        break;
      }
    }
  }
}

/** Peaks found so far: resultant, push off the wall, |feed|, |x|, |y|. */
const PEAKS = 5;
const peaks = new Float64Array(PEAKS);
let headX = 1; // travel direction
let headY = 0;

function quantity(which: number): number {
  switch (which) {
    case 0:
      return Math.sqrt(sumFeedN * sumFeedN + sumNormalN * sumNormalN);
    case 1:
      return -sumNormalN;
    case 2:
      return Math.abs(sumFeedN);
    case 3:
      // The right-hand normal of (hx, hy) is (hy, -hx); the left-hand one its opposite.
      return Math.abs(sumFeedN * headX + handSign * sumNormalN * headY);
    default:
      return Math.abs(sumFeedN * headY - handSign * sumNormalN * headX);
  }
}

const MAX_SAMPLES = 128;
const samples = new Float64Array(PEAKS * MAX_SAMPLES);

/** Raises `peaks` by what happens while the leading tooth goes over [lo, hi]. */
function scan(lo: number, hi: number, quantities: number): void {
  const count = Math.min(MAX_SAMPLES, Math.max(5, Math.ceil((hi - lo) / SAMPLE_STEP_RAD) + 1));
  const step = (hi - lo) / (count - 1);
  for (let i = 0; i < count; i++) {
    sumTeeth(i === count - 1 ? hi : lo + i * step);
    for (let q = 0; q < quantities; q++) samples[q * MAX_SAMPLES + i] = quantity(q);
  }
  for (let q = 0; q < quantities; q++) {
    const base = q * MAX_SAMPLES;
    let best = 0;
    for (let i = 1; i < count; i++) {
      if ((samples[base + i] as number) > (samples[base + best] as number)) best = i;
    }
    const top = samples[base + best] as number;
    if (top > (peaks[q] as number)) peaks[q] = top;
    if (best === 0 || best === count - 1) continue;
    const left = samples[base + best - 1] as number;
    const right = samples[base + best + 1] as number;
    const curve = left - 2 * top + right;
    if (!(curve < 0)) continue;
    sumTeeth(lo + (best + (left - right) / (2 * curve)) * step);
    const refined = quantity(q);
    if (refined > (peaks[q] as number)) peaks[q] = refined;
  }
}

const breaks = new Float64Array(2 * MAX_ARCS + 3);

/** Fills `peaks[0 .. quantities)` with the greatest values over one revolution. */
function findPeaks(quantities: number): void {
  peaks.fill(0);
  if (arcCount === 0) return;
  const pitch = TURN / toothCount;
  const first = arcFrom[0] as number;
  const last = arcTo[arcCount - 1] as number;
  onlyOneTooth = last - first < pitch;
  if (onlyOneTooth) {
    for (let i = 0; i < arcCount; i++) {
      const from = arcFrom[i] as number;
      const to = arcTo[i] as number;
      if (from < Math.PI / 2 && to > Math.PI / 2) {
        scan(from, Math.PI / 2, quantities);
        scan(Math.PI / 2, to, quantities);
      } else scan(from, to, quantities);
    }
    return;
  }
  // Several teeth at once: over one pitch the sum is smooth between the positions at which a
  // tooth enters or leaves, so those positions and what lies between them are enough.
  let n = 0;
  breaks[n++] = 0;
  breaks[n++] = pitch;
  breaks[n++] = (Math.PI / 2) % pitch;
  for (let i = 0; i < arcCount; i++) {
    breaks[n++] = (arcFrom[i] as number) % pitch;
    breaks[n++] = (arcTo[i] as number) % pitch;
  }
  const sorted = breaks.subarray(0, n).sort();
  for (let i = 1; i < n; i++) {
    const lo = sorted[i - 1] as number;
    const hi = sorted[i] as number;
    if (hi - lo > ANGLE_TOL_RAD) scan(lo, hi, quantities);
  }
}

/** Mean over a revolution of the push off the wall, at the nominal feed per tooth. N */
function meanNormal(fzMm: number): number {
  let sum = 0;
  for (let i = 0; i < arcCount; i++) {
    const half = ((arcTo[i] as number) - (arcFrom[i] as number)) / 2;
    const middle = ((arcTo[i] as number) + (arcFrom[i] as number)) / 2;
    sumFeedN = 0;
    for (let g = 0; g < GAUSS_X.length; g++) {
      const offset = half * (GAUSS_X[g] as number);
      sumNormalN = 0;
      toothFeedMm = fzMm;
      addTooth(middle - offset);
      addTooth(middle + offset);
      sum += (GAUSS_W[g] as number) * half * sumNormalN;
    }
  }
  return (-sum * toothCount) / TURN;
}

function checkConditions(cond: CutConditions, feedMmPerMin: number): void {
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
  checkConditions(cond, feedMmPerMin);
  const flutes = cond.cutter.flutes;
  const fzMm = feedMmPerMin / (flutes * cond.spindleRpm);
  const fzEffMm = effectiveFeedPerToothMm(fzMm, cond.runoutMm, flutes);
  setTooth(cond, fzEffMm);
  setArcs(intervals);
  handSign = climb ? 1 : -1;
  const heading = headingRad ?? 0;
  headX = Math.cos(heading);
  headY = Math.sin(heading);
  findPeaks(headingRad === undefined ? 3 : PEAKS);
  const resultantN = peaks[0] as number;
  const normalN = peaks[1] as number;
  const feedN = peaks[2] as number;
  const xN = headingRad === undefined ? resultantN : (peaks[3] as number);
  const yN = headingRad === undefined ? resultantN : (peaks[4] as number);

  let sineMax = 0;
  let arcSum = 0;
  let workPerRad = 0; // sum over arcs of hm kc(hm) ap x arc, N rad
  for (let i = 0; i < arcCount; i++) {
    const from = arcFrom[i] as number;
    const to = arcTo[i] as number;
    const arc = to - from;
    arcSum += arc;
    sineMax = Math.max(
      sineMax,
      from <= Math.PI / 2 && to >= Math.PI / 2 ? 1 : Math.max(Math.sin(from), Math.sin(to)),
    );
    workPerRad += tangentialN((fzMm * (Math.cos(from) - Math.cos(to))) / arc) * arc;
  }
  const torqueNm = (workPerRad * flutes * cond.cutter.diameterMm) / (2 * TURN * 1000);
  const meanNormalN = meanNormal(fzMm);
  return {
    resultantN,
    normalN,
    feedN,
    xN,
    yN,
    meanNormalN,
    hMaxMm: fzMm * sineMax,
    hMaxRunoutMm: fzEffMm * sineMax,
    powerW: (torqueNm * TURN * cond.spindleRpm) / 60,
    torqueNm,
    meanTeethInCut: (arcSum * flutes) / TURN,
  };
}

/** Resultant of one tooth at chip `hMm`. N; rises with h, see `radialRatio`. */
export function toothResultantN(cond: CutConditions, hMm: number): number {
  if (!(hMm > 0)) return 0;
  const kr = radialRatio(hMm);
  return (
    cond.material.kc11NPerMm2 *
    cond.axialDepthMm *
    cond.wearFactor *
    Math.pow(hMm, 1 - cond.material.mc) *
    Math.sqrt(1 + kr * kr)
  );
}

/** Peak resultant over the arc [0, phi] at a given effective feed per tooth. N */
export function resultantAtFeedPerToothN(
  cond: CutConditions,
  fzEffectiveMm: number,
  phiRad: number,
): number {
  if (!(phiRad > 0) || !(fzEffectiveMm > 0)) return 0;
  if (phiRad * cond.cutter.flutes <= TURN) {
    return toothResultantN(cond, fzEffectiveMm * Math.sin(Math.min(phiRad, Math.PI / 2)));
  }
  setTooth(cond, fzEffectiveMm);
  handSign = 1;
  arcCount = 0;
  addArc(0, phiRad);
  findPeaks(1);
  return peaks[0] as number;
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
  const fzMm = feedMmPerMin / (flutes * cond.spindleRpm);
  return resultantAtFeedPerToothN(
    cond,
    effectiveFeedPerToothMm(fzMm, cond.runoutMm, flutes),
    phiRad,
  );
}

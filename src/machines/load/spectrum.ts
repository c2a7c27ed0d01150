/**
 * What the cutting force of a steady cut is made of: its mean and its swings at the turn of the
 * spindle and the multiples of it, from the same force of a tooth as its peak (`teeth`).
 *
 * With the spindle's turn at angle u, tooth k of z stands at t = u - 2 pi k / z, and
 *
 *   F(u) = F_0 + sum_m Re( F_m e^(i m u) ),
 *   F_0 = (1 / 2 pi) sum_k int f_k dt,   F_m = (1 / pi) sum_k e^(-2 pi i k m / z) int f_k e^(-i m t) dt
 *
 * with f_k the force of one tooth that has the feed that runout leaves it. Teeth alike leave only
 * the multiples of z. Source: Fourier series, and the shift of each tooth in it.
 */
import { atan2, cos, sin } from '../../maths/elementary.js';
import { TURN_RAD } from '../../maths/angle.js';
import { S_PER_MIN } from '../../maths/motion.js';
import type { AxisName, EngagementInterval } from '../../model/machine.js';
import { feedPerToothMm, toothFeedsMm } from './chip.js';
import { type CutConditions, checkConditions, forceScale } from './force.js';
import { GAUSS_W, GAUSS_X, ToothSum } from './teeth.js';

export interface ForceSpectrum {
  /** Mean over a turn: into the wall (+), along the feed (+). N */
  readonly meanNormalN: number;
  readonly meanFeedN: number;
  /** Amplitudes of the turn's 1st, 2nd, ... multiple, flat: [normal real, normal imaginary, feed
   *  real, feed imaginary, ...]. N */
  readonly swingsN: Float64Array;
}

/** Numbers to a multiple of the turn in `swingsN`. */
const PER_SWING = 4;
/** Nothing of a drive swings faster to any purpose: swings are reckoned up to here, and up to
 *  twice the teeth in any case. Hz */
const HIGHEST_HZ = 600;
const MOST_SWINGS = 24;
/** Longest piece of an arc that eight points of Gauss stand for: a quarter of a turn's 12th
 *  multiple bends thrice in it. rad */
const PIECE_RAD = Math.PI / 3;

/** How many multiples of the turn a spectrum holds. */
export function swingCount(flutes: number, spindleRpm: number): number {
  const fast = Math.ceil((HIGHEST_HZ * S_PER_MIN) / spindleRpm);
  return Math.min(MOST_SWINGS, Math.max(2 * flutes, fast));
}

/** How many a spectrum does hold. */
export function swingsOf({ swingsN }: ForceSpectrum): number {
  return swingsN.length / PER_SWING;
}

/** Working state, reused by every call and done with when it returns. */
const teeth = new ToothSum();
const feedsOf = Array.from({ length: 33 }, (_, flutes) => new Float64Array(flutes));
/** Forces of all teeth at one angle: cosine and sine sums over the teeth, by multiple modulo z. */
const normals = new Float64Array(32);
const feeds = new Float64Array(32);

/**
 * Spectrum of a steady cut, in the wall's frame as in `force`: right-hand wall when climbing.
 * @param feedMmPerMin  feed of the cutter's centre, mm/min
 * @param intervals     arcs of the rim in material; only their part with 0 < t < pi makes a chip
 * @throws RangeError for a feed, speed or depth that is negative or not finite
 */
export function forceSpectrum(
  cond: CutConditions,
  feedMmPerMin: number,
  intervals: readonly EngagementInterval[],
  climb = true,
): ForceSpectrum {
  checkConditions(cond, feedMmPerMin);
  const { flutes } = cond.cutter;
  const fzMm = feedPerToothMm(feedMmPerMin, flutes, cond.spindleRpm);
  teeth.setTooth(forceScale(cond), 1 - cond.material.mc, fzMm, flutes);
  teeth.setTravel(climb, 0);
  teeth.arcs.set(intervals);
  const toothFeeds = feedsOf[flutes]!;
  toothFeedsMm(fzMm, cond.runoutMm, toothFeeds);
  const swingsN = new Float64Array(PER_SWING * swingCount(flutes, cond.spindleRpm));
  const mean = { normal: 0, feed: 0 };
  const { from, to, count } = teeth.arcs;
  for (let i = 0; i < count; i++) {
    const pieces = Math.ceil((to[i]! - from[i]!) / PIECE_RAD);
    const half = (to[i]! - from[i]!) / (2 * pieces);
    for (let p = 0; p < pieces; p++) {
      const middle = from[i]! + (2 * p + 1) * half;
      for (let g = 0; g < GAUSS_X.length; g++) {
        const weight = (half * GAUSS_W[g]!) / Math.PI;
        addAngle(middle - half * GAUSS_X[g]!, weight, toothFeeds, swingsN, mean);
        addAngle(middle + half * GAUSS_X[g]!, weight, toothFeeds, swingsN, mean);
      }
    }
  }
  return { meanNormalN: mean.normal / 2, meanFeedN: mean.feed / 2, swingsN };
}

/** Adds what all teeth do as each passes angle `t`. */
function addAngle(
  t: number,
  weight: number,
  toothFeeds: Float64Array,
  swingsN: Float64Array,
  mean: { normal: number; feed: number },
): void {
  const flutes = toothFeeds.length;
  for (let k = 0; k < flutes; k++) {
    teeth.sumAlone(t, toothFeeds[k]!);
    normals[k] = teeth.normalN * weight;
    feeds[k] = teeth.feedN * weight;
    mean.normal += normals[k]!;
    mean.feed += feeds[k]!;
  }
  const [turnRe, turnIm] = [cos(t), -sin(t)];
  let [re, im] = [1, 0];
  for (let at = 0, m = 1; at < swingsN.length; at += PER_SWING, m++) {
    [re, im] = [re * turnRe - im * turnIm, re * turnIm + im * turnRe];
    for (let k = 0; k < flutes; k++) {
      const shift = COSINES[flutes]![(k * m) % flutes]!;
      const slip = SINES[flutes]![(k * m) % flutes]!;
      const a = re * shift + im * slip;
      const b = im * shift - re * slip;
      swingsN[at]! += normals[k]! * a;
      swingsN[at + 1]! += normals[k]! * b;
      swingsN[at + 2]! += feeds[k]! * a;
      swingsN[at + 3]! += feeds[k]! * b;
    }
  }
}

const angleTable = (of: (rad: number) => number) =>
  Array.from({ length: 33 }, (_, z) =>
    Float64Array.from({ length: z }, (_, k) => of((TURN_RAD * k) / z)),
  );
/** By flutes and tooth: cosine and sine of the angle of that tooth from the first. */
const COSINES = angleTable(cos);
const SINES = angleTable(sin);

/**
 * Where an axis points in the wall's frame: the angle from the wall's normal towards the feed.
 * Source: signs of `force`; the right-hand normal of heading (hx, hy) is (hy, -hx).
 */
export function axisInWallRad(axis: AxisName, headingRad: number, climb: boolean): number {
  const hand = climb ? 1 : -1;
  const [hx, hy] = [cos(headingRad), sin(headingRad)];
  return axis === 'y' ? atan2(hy, -hand * hx) : atan2(hx, hand * hy);
}

/**
 * Mean and swings along an axis.
 * @param axisRad  from the wall's normal towards the feed
 * @param out      [mean with its sign, size of the 1st, 2nd, ... multiple of the turn]. N
 */
export function alongAxis(spectrum: ForceSpectrum, axisRad: number, out: Float64Array): void {
  const { swingsN } = spectrum;
  const [c, s] = [cos(axisRad), sin(axisRad)];
  out[0] = c * spectrum.meanNormalN + s * spectrum.meanFeedN;
  for (let m = 1; PER_SWING * m <= swingsN.length; m++) {
    const at = PER_SWING * (m - 1);
    const re = c * swingsN[at]! + s * swingsN[at + 2]!;
    const im = c * swingsN[at + 1]! + s * swingsN[at + 3]!;
    out[m] = Math.sqrt(re * re + im * im);
  }
}

/**
 * Sum of the forces of all teeth in the cut, and its greatest values over a revolution.
 * One instance is reused for every evaluation, so that the hot path allocates nothing.
 */
import { asin, cos, pow, sin, sinCos } from '../../maths/elementary.js';
import { TURN_RAD, radFromDeg } from '../../maths/angle.js';
import { ANGLE_TOL_RAD } from '../../maths/tolerance.js';
import { RADIAL_KNEES_MM, radialRatio } from './chip.js';
import type { EngagementInterval } from '../../model/machine.js';

const MAX_ARCS = 32;

/** The part of an engagement in which teeth make chips, as flat arrays for the hot path: arcs within
 *  0..pi, in order and apart from each other. */
class ChipArcs {
  readonly from = new Float64Array(MAX_ARCS);
  readonly to = new Float64Array(MAX_ARCS);
  count = 0;

  /** Clips the intervals to the half turn in which a tooth makes a chip; sorts and merges them. */
  set(intervals: readonly EngagementInterval[]): void {
    this.count = 0;
    for (let i = 0; i < intervals.length; i++) {
      const interval = intervals[i] as EngagementInterval;
      const shift = -TURN_RAD * Math.floor((interval.fromRad + Math.PI) / TURN_RAD);
      this.add(interval.fromRad + shift, interval.toRad + shift);
      this.add(interval.fromRad + shift - TURN_RAD, interval.toRad + shift - TURN_RAD);
    }
    if (this.count > 1) this.merge();
  }

  /** The single arc [0, phi]. */
  setSingle(phiRad: number): void {
    this.count = 0;
    this.add(0, phiRad);
  }

  private add(fromRad: number, toRad: number): void {
    const start = Math.max(0, fromRad);
    const end = Math.min(Math.PI, toRad);
    if (!(end > start)) return;
    if (this.count >= MAX_ARCS) {
      throw new RangeError(`more than ${MAX_ARCS} engagement intervals`);
    }
    let i = this.count++;
    for (; i > 0 && (this.from[i - 1] as number) > start; i--) {
      this.from[i] = this.from[i - 1] as number;
      this.to[i] = this.to[i - 1] as number;
    }
    this.from[i] = start;
    this.to[i] = end;
  }

  private merge(): void {
    const { from, to } = this;
    let kept = 0;
    for (let i = 1; i < this.count; i++) {
      if ((from[i] as number) <= (to[kept] as number)) {
        to[kept] = Math.max(to[kept] as number, to[i] as number);
      } else {
        kept++;
        from[kept] = from[i] as number;
        to[kept] = to[i] as number;
      }
    }
    this.count = kept + 1;
  }
}

const QUARTER = Math.PI / 2;
/** Sampling step of tooth position, and parabolas that then close in on the top of each quantity:
 *  together they place a peak to better than 3e-4 of the greatest force, mostly 2e-5. rad */
const SAMPLE_STEP_RAD = radFromDeg(5);
const REFINEMENTS = 4;
/** Stretches whose greatest sample is below this share of a peak found before are not refined: in
 *  one sampling step no sum of teeth rises by a third and falls again. */
const HOPELESS = 0.75;
const MAX_SAMPLES = 128;
const MAX_FLUTES = 32;
/** Ends of all arcs, the top, and every knee on either side of it. */
const MAX_BREAKS = 2 * MAX_ARCS + 1 + 2 * RADIAL_KNEES_MM.length;

/** Gauss-Legendre, 8 points on [-1, 1], the positive half (Abramowitz and Stegun, table 25.4). */
export const GAUSS_X = [
  0.1834346424956498, 0.525532409916329, 0.7966664774136267, 0.9602898564975363,
];
export const GAUSS_W = [
  0.362683783378362, 0.3137066458778873, 0.2223810344533745, 0.1012285362903763,
];

/** Sine and cosine of the angle of the tooth at hand. */
const ofTooth = new Float64Array(2);

/** Index of each quantity in `ToothSum.peaks`. */
export const RESULTANT = 0;
export const PUSH_OFF = 1;
export const ALONG_X = 2;
export const ALONG_Y = 3;
const QUANTITIES = 4;

export class ToothSum {
  /** Greatest values found by `findPeaks`, by the indices above. N */
  readonly peaks = new Float64Array(QUANTITIES);
  /** Arcs in which a tooth makes a chip. */
  readonly arcs = new ChipArcs();

  private forceScale = 0; // kc1.1 ap wear, N / mm^(1-mc)
  private exponent = 1; // 1 - mc
  private feedPerToothMm = 0;
  private flutes = 1;
  private hand = 1; // +1 wall on the right, -1 wall on the left
  private headX = 1;
  private headY = 0;
  /** Sum of the teeth looked at last, along the feed and into the wall. N */
  feedN = 0;
  normalN = 0;
  private readonly samples = new Float64Array(QUANTITIES * MAX_SAMPLES);
  /** Places where the sum of forces has a jump or a kink. */
  private readonly breaks = new Float64Array(MAX_BREAKS);
  private breakCount = 0;
  /** Teeth in the cut over the stretch being scanned: their angles from the leading tooth. */
  private readonly active = new Float64Array(MAX_FLUTES);
  private activeCount = 0;

  /** @param forceScale  kc1.1 ap wear @param exponent  1 - mc */
  setTooth(forceScale: number, exponent: number, feedPerToothMm: number, flutes: number): void {
    if (!(flutes >= 1 && flutes <= MAX_FLUTES)) {
      throw new RangeError(`flutes must be 1 to ${MAX_FLUTES}: ${flutes}`);
    }
    this.forceScale = forceScale;
    this.exponent = exponent;
    this.feedPerToothMm = feedPerToothMm;
    this.flutes = flutes;
  }

  setTravel(climb: boolean, headingRad: number): void {
    this.hand = climb ? 1 : -1;
    this.headX = cos(headingRad);
    this.headY = sin(headingRad);
  }

  /** Tangential force of one tooth at chip `hMm`. N */
  tangentialN(hMm: number): number {
    return this.forceScale * pow(hMm, this.exponent);
  }

  /**
   * Fills `peaks` of the named quantities with the greatest values over one revolution: between the
   * positions at which a tooth enters, leaves or passes a knee of the radial share, the sum is
   * smooth and its teeth are the same, so each such stretch is scanned with its own set of teeth.
   */
  findPeaks(quantities: readonly number[]): void {
    this.peaks.fill(0);
    if (this.arcs.count === 0) return;
    const pitch = TURN_RAD / this.flutes;
    const first = this.arcs.from[0] as number;
    const last = this.arcs.to[this.arcs.count - 1] as number;
    if (last - first < pitch) {
      // One tooth at a time: scan the arcs themselves.
      this.active[0] = 0;
      this.activeCount = 1;
      for (let i = 0; i < this.arcs.count; i++) {
        const from = this.arcs.from[i] as number;
        const to = this.arcs.to[i] as number;
        this.breakCount = 0;
        this.addEnds(from, to, Infinity);
        this.addKnees(Infinity);
        this.scanBetweenBreaks(quantities, from, to, false);
      }
      return;
    }
    // Several teeth at once: scan one pitch of the leading tooth.
    this.breakCount = 0;
    for (let i = 0; i < this.arcs.count; i++) {
      this.addEnds(this.arcs.from[i] as number, this.arcs.to[i] as number, pitch);
    }
    this.addKnees(pitch);
    this.scanBetweenBreaks(quantities, 0, pitch, true);
  }

  /** Mean over a revolution of the push off the wall, at a feed per tooth. N */
  meanPushOffN(feedPerToothMm: number): number {
    this.feedPerToothMm = feedPerToothMm;
    let sum = 0;
    for (let i = 0; i < this.arcs.count; i++) {
      const half = ((this.arcs.to[i] as number) - (this.arcs.from[i] as number)) / 2;
      const middle = ((this.arcs.to[i] as number) + (this.arcs.from[i] as number)) / 2;
      for (let g = 0; g < GAUSS_X.length; g++) {
        const offset = half * (GAUSS_X[g] as number);
        this.feedN = 0;
        this.normalN = 0;
        this.addTooth(middle - offset);
        this.addTooth(middle + offset);
        sum += (GAUSS_W[g] as number) * half * this.normalN;
      }
    }
    return (-sum * this.flutes) / TURN_RAD;
  }

  /** Force at angle `t` of one tooth alone that has a feed of its own; read `feedN`, `normalN`. */
  sumAlone(t: number, feedPerToothMm: number): void {
    this.feedPerToothMm = feedPerToothMm;
    this.feedN = 0;
    this.normalN = 0;
    this.addTooth(t);
  }

  /** Adds the tooth at angle `t` to the sums; signs as derived in force.ts. */
  private addTooth(t: number): void {
    sinCos(t, ofTooth);
    const sine = ofTooth[0]!;
    const hMm = this.feedPerToothMm * sine;
    if (!(hMm > 0)) return;
    const cosine = ofTooth[1]!;
    const ft = this.tangentialN(hMm);
    const fr = ft * radialRatio(hMm);
    this.feedN += this.hand * ft * cosine - fr * sine;
    this.normalN += -this.hand * ft * sine - fr * cosine;
  }

  /** Notes the ends of an arc, modulo `pitch`. */
  private addEnds(from: number, to: number, pitch: number): void {
    this.breaks[this.breakCount++] = from % pitch;
    this.breaks[this.breakCount++] = to % pitch;
  }

  /** Notes the top, 90 degrees, and the knees of the radial share, modulo `pitch`. */
  private addKnees(pitch: number): void {
    const { breaks } = this;
    breaks[this.breakCount++] = QUARTER % pitch;
    for (const knee of RADIAL_KNEES_MM) {
      if (this.feedPerToothMm <= knee) break;
      const angle = asin(knee / this.feedPerToothMm);
      breaks[this.breakCount++] = angle % pitch;
      breaks[this.breakCount++] = (Math.PI - angle) % pitch;
    }
  }

  private scanBetweenBreaks(
    quantities: readonly number[],
    from: number,
    to: number,
    several: boolean,
  ): void {
    const { breaks } = this;
    const n = this.breakCount;
    for (let i = 1; i < n; i++) {
      const value = breaks[i] as number;
      let j = i;
      for (; j > 0 && (breaks[j - 1] as number) > value; j--) breaks[j] = breaks[j - 1] as number;
      breaks[j] = value;
    }
    let lo = from;
    for (let i = 0; i <= n; i++) {
      const hi = i === n ? to : Math.min(to, breaks[i] as number);
      if (!(hi - lo > ANGLE_TOL_RAD)) continue;
      if (several) this.findActive((lo + hi) / 2);
      if (this.activeCount > 0) this.scan(lo, hi, quantities);
      lo = hi;
    }
  }

  /** Notes which teeth are in the cut when the leading tooth is at angle `t`. */
  private findActive(t: number): void {
    this.activeCount = 0;
    const pitch = TURN_RAD / this.flutes;
    for (let k = 0; k < this.flutes; k++) {
      const angle = t + k * pitch;
      for (let i = 0; i < this.arcs.count; i++) {
        if (angle > (this.arcs.from[i] as number) && angle < (this.arcs.to[i] as number)) {
          this.active[this.activeCount++] = k * pitch;
          break;
        }
      }
    }
  }

  /** Sums the active teeth when the leading tooth is at angle `t`. */
  private sumTeeth(t: number): void {
    this.feedN = 0;
    this.normalN = 0;
    for (let i = 0; i < this.activeCount; i++) this.addTooth(t + (this.active[i] as number));
  }

  private quantity(which: number): number {
    const { feedN, normalN, hand, headX, headY } = this;
    switch (which) {
      case RESULTANT:
        return Math.sqrt(feedN * feedN + normalN * normalN);
      case PUSH_OFF:
        return -normalN;
      case ALONG_X:
        // The right-hand normal of (hx, hy) is (hy, -hx); the left-hand one its opposite.
        return Math.abs(feedN * headX + hand * normalN * headY);
      default:
        return Math.abs(feedN * headY - hand * normalN * headX);
    }
  }

  /** Raises `peaks` by what happens while the leading tooth goes over [lo, hi]. */
  private scan(lo: number, hi: number, quantities: readonly number[]): void {
    const { peaks, samples } = this;
    const wanted = Math.ceil((hi - lo) / SAMPLE_STEP_RAD) + 1;
    const count = Math.min(MAX_SAMPLES, Math.max(5, wanted));
    const step = (hi - lo) / (count - 1);
    for (let i = 0; i < count; i++) {
      this.sumTeeth(i === count - 1 ? hi : lo + i * step);
      for (const q of quantities) samples[q * MAX_SAMPLES + i] = this.quantity(q);
    }
    for (const q of quantities) {
      const base = q * MAX_SAMPLES;
      let best = 0;
      for (let i = 1; i < count; i++) {
        if ((samples[base + i] as number) > (samples[base + best] as number)) best = i;
      }
      const top = samples[base + best] as number;
      if (top > (peaks[q] as number)) peaks[q] = top;
      else if (top < HOPELESS * (peaks[q] as number)) continue;
      this.refine(q, lo, step, Math.min(count - 2, Math.max(1, best)), base);
    }
  }

  /**
   * Raises `peaks[q]` to the top near sample `at`, which has a neighbour on either side: parabolas
   * through three places, the bracket closing in each time. One parabola is not enough near t = 0,
   * where the force rises as t^(1-mc). The greatest sample may be an outer one of the three: the
   * top can still lie between it and its neighbour.
   */
  private refine(q: number, lo: number, step: number, at: number, base: number): void {
    const { samples } = this;
    let ta = lo + (at - 1) * step;
    let tm = ta + step;
    let tb = tm + step;
    let fa = samples[base + at - 1] as number;
    let fm = samples[base + at] as number;
    let fb = samples[base + at + 1] as number;
    for (let i = 0; i < REFINEMENTS; i++) {
      const left = (tm - ta) * (fm - fb);
      const right = (tm - tb) * (fm - fa);
      // Not a number, or beyond the bracket, where the three lie on a line.
      let tv = tm - ((tm - ta) * left - (tm - tb) * right) / (2 * (left - right));
      // Keep clear of the middle, or the bracket would not shrink.
      const clear = 1e-3 * (tb - ta);
      if (Math.abs(tv - tm) < clear) tv = tb - tm > tm - ta ? tm + clear : tm - clear;
      if (!(tv > ta && tv < tb)) break;
      this.sumTeeth(tv);
      const fv = this.quantity(q);
      if (fv > (this.peaks[q] as number)) this.peaks[q] = fv;
      if (tv > tm) {
        if (fv > fm || fb > fm) [ta, fa, tm, fm] = [tm, fm, tv, fv];
        else [tb, fb] = [tv, fv];
      } else if (fv > fm || fa > fm) [tb, fb, tm, fm] = [tm, fm, tv, fv];
      else [ta, fa] = [tv, fv];
    }
  }
}

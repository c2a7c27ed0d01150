/**
 * Sum of the forces of all teeth in the cut, and its greatest values over a revolution.
 * One instance is reused for every evaluation, so that the hot path allocates nothing.
 */
import { radialRatio } from './kienzle.js';
import type { EngagementInterval } from './types.js';

const TURN = 2 * Math.PI;
const QUARTER = Math.PI / 2;
/** A tooth this close to the end of its arc counts as in the cut. rad; far above the rounding of
 *  angle sums (1e-15), far below any angle that changes a force. */
const ANGLE_TOL_RAD = 1e-9;
/** Sampling step of tooth position; a parabola through three samples then places the peak to
 *  better than 1e-5 of its height. rad */
const SAMPLE_STEP_RAD = (3 * Math.PI) / 180;
const MAX_SAMPLES = 128;
const MAX_ARCS = 32;

// Gauss-Legendre, 8 points on [-1, 1] (Abramowitz and Stegun, table 25.4).
const GAUSS_X = [0.1834346424956498, 0.525532409916329, 0.7966664774136267, 0.9602898564975363];
const GAUSS_W = [0.362683783378362, 0.3137066458778873, 0.2223810344533745, 0.1012285362903763];

/** Index of each quantity in `ToothSum.peaks`. */
export const RESULTANT = 0;
export const PUSH_OFF = 1;
export const ALONG_FEED = 2;
export const ALONG_X = 3;
export const ALONG_Y = 4;
const QUANTITIES = 5;

export class ToothSum {
  /** Greatest values found by `findPeaks`, by the indices above. N */
  readonly peaks = new Float64Array(QUANTITIES);
  /** Arcs in which a tooth makes a chip: within 0..pi, in order, apart from each other. */
  readonly arcFrom = new Float64Array(MAX_ARCS);
  readonly arcTo = new Float64Array(MAX_ARCS);
  arcCount = 0;

  private forceScale = 0; // kc1.1 ap wear, N / mm^(1-mc)
  private exponent = 1; // 1 - mc
  private feedPerToothMm = 0;
  private flutes = 1;
  private hand = 1; // +1 wall on the right, -1 wall on the left
  private headX = 1;
  private headY = 0;
  private oneAtATime = true;
  private feedN = 0;
  private normalN = 0;
  private readonly samples = new Float64Array(QUANTITIES * MAX_SAMPLES);
  private readonly breaks = new Float64Array(2 * MAX_ARCS + 3);

  /** @param forceScale  kc1.1 ap wear @param exponent  1 - mc */
  setTooth(forceScale: number, exponent: number, feedPerToothMm: number, flutes: number): void {
    this.forceScale = forceScale;
    this.exponent = exponent;
    this.feedPerToothMm = feedPerToothMm;
    this.flutes = flutes;
  }

  setTravel(climb: boolean, headingRad: number): void {
    this.hand = climb ? 1 : -1;
    this.headX = Math.cos(headingRad);
    this.headY = Math.sin(headingRad);
  }

  /** Clips the intervals to the half turn in which a tooth makes a chip; sorts and merges them. */
  setArcs(intervals: readonly EngagementInterval[]): void {
    this.arcCount = 0;
    for (let i = 0; i < intervals.length; i++) {
      const interval = intervals[i] as EngagementInterval;
      const shift = -TURN * Math.floor((interval.fromRad + Math.PI) / TURN);
      this.addArc(interval.fromRad + shift, interval.toRad + shift);
      this.addArc(interval.fromRad + shift - TURN, interval.toRad + shift - TURN);
    }
    if (this.arcCount > 1) this.mergeArcs();
  }

  setSingleArc(phiRad: number): void {
    this.arcCount = 0;
    this.addArc(0, phiRad);
  }

  /** Tangential force of one tooth at chip `hMm`. N */
  tangentialN(hMm: number): number {
    return this.forceScale * Math.pow(hMm, this.exponent);
  }

  /** Fills `peaks[0 .. quantities)` with the greatest values over one revolution. */
  findPeaks(quantities: number): void {
    this.peaks.fill(0);
    if (this.arcCount === 0) return;
    const pitch = TURN / this.flutes;
    const { arcFrom, arcTo, breaks } = this;
    this.oneAtATime = (arcTo[this.arcCount - 1] as number) - (arcFrom[0] as number) < pitch;
    if (this.oneAtATime) {
      for (let i = 0; i < this.arcCount; i++) {
        const from = arcFrom[i] as number;
        const to = arcTo[i] as number;
        if (from < QUARTER && to > QUARTER) {
          this.scan(from, QUARTER, quantities);
          this.scan(QUARTER, to, quantities);
        } else this.scan(from, to, quantities);
      }
      return;
    }
    // Over one pitch the sum is smooth between the positions at which a tooth enters or leaves,
    // so those positions and what lies between them are enough.
    let n = 0;
    breaks[n++] = 0;
    breaks[n++] = pitch;
    breaks[n++] = QUARTER % pitch;
    for (let i = 0; i < this.arcCount; i++) {
      breaks[n++] = (arcFrom[i] as number) % pitch;
      breaks[n++] = (arcTo[i] as number) % pitch;
    }
    const sorted = breaks.subarray(0, n).sort();
    for (let i = 1; i < n; i++) {
      const lo = sorted[i - 1] as number;
      const hi = sorted[i] as number;
      if (hi - lo > ANGLE_TOL_RAD) this.scan(lo, hi, quantities);
    }
  }

  /** Mean over a revolution of the push off the wall, at a feed per tooth. N */
  meanPushOffN(feedPerToothMm: number): number {
    this.feedPerToothMm = feedPerToothMm;
    let sum = 0;
    for (let i = 0; i < this.arcCount; i++) {
      const half = ((this.arcTo[i] as number) - (this.arcFrom[i] as number)) / 2;
      const middle = ((this.arcTo[i] as number) + (this.arcFrom[i] as number)) / 2;
      for (let g = 0; g < GAUSS_X.length; g++) {
        const offset = half * (GAUSS_X[g] as number);
        this.feedN = 0;
        this.normalN = 0;
        this.addTooth(middle - offset);
        this.addTooth(middle + offset);
        sum += (GAUSS_W[g] as number) * half * this.normalN;
      }
    }
    return (-sum * this.flutes) / TURN;
  }

  private addArc(fromRad: number, toRad: number): void {
    const from = Math.max(0, fromRad);
    const to = Math.min(Math.PI, toRad);
    if (!(to > from)) return;
    if (this.arcCount >= MAX_ARCS) {
      throw new RangeError(`more than ${MAX_ARCS} engagement intervals`);
    }
    let i = this.arcCount++;
    for (; i > 0 && (this.arcFrom[i - 1] as number) > from; i--) {
      this.arcFrom[i] = this.arcFrom[i - 1] as number;
      this.arcTo[i] = this.arcTo[i - 1] as number;
    }
    this.arcFrom[i] = from;
    this.arcTo[i] = to;
  }

  private mergeArcs(): void {
    const { arcFrom, arcTo } = this;
    let kept = 0;
    for (let i = 1; i < this.arcCount; i++) {
      if ((arcFrom[i] as number) <= (arcTo[kept] as number)) {
        arcTo[kept] = Math.max(arcTo[kept] as number, arcTo[i] as number);
      } else {
        kept++;
        arcFrom[kept] = arcFrom[i] as number;
        arcTo[kept] = arcTo[i] as number;
      }
    }
    this.arcCount = kept + 1;
  }

  /** Adds the tooth at angle `t` to the sums; signs as derived in force.ts. */
  private addTooth(t: number): void {
    const sine = Math.sin(t);
    const hMm = this.feedPerToothMm * sine;
    if (!(hMm > 0)) return;
    const cosine = Math.cos(t);
    const ft = this.tangentialN(hMm);
    const fr = ft * radialRatio(hMm);
    this.feedN += this.hand * ft * cosine - fr * sine;
    this.normalN += -this.hand * ft * sine - fr * cosine;
  }

  /** Sums the teeth in the cut when one tooth is at angle `t`. */
  private sumTeeth(t: number): void {
    this.feedN = 0;
    this.normalN = 0;
    if (this.oneAtATime) {
      this.addTooth(t);
      return;
    }
    const pitch = TURN / this.flutes;
    for (let k = 0; k < this.flutes; k++) {
      let angle = (t + k * pitch) % TURN;
      if (angle > TURN - ANGLE_TOL_RAD) angle -= TURN;
      for (let i = 0; i < this.arcCount; i++) {
        const from = this.arcFrom[i] as number;
        const to = this.arcTo[i] as number;
        if (angle < from - ANGLE_TOL_RAD) break;
        if (angle <= to + ANGLE_TOL_RAD) {
          this.addTooth(Math.min(to, Math.max(from, angle)));
          break;
        }
      }
    }
  }

  private quantity(which: number): number {
    const { feedN, normalN, hand, headX, headY } = this;
    switch (which) {
      case RESULTANT:
        return Math.sqrt(feedN * feedN + normalN * normalN);
      case PUSH_OFF:
        return -normalN;
      case ALONG_FEED:
        return Math.abs(feedN);
      case ALONG_X:
        // The right-hand normal of (hx, hy) is (hy, -hx); the left-hand one its opposite.
        return Math.abs(feedN * headX + hand * normalN * headY);
      default:
        return Math.abs(feedN * headY - hand * normalN * headX);
    }
  }

  /** Raises `peaks` by what happens while the leading tooth goes over [lo, hi]. */
  private scan(lo: number, hi: number, quantities: number): void {
    const { peaks, samples } = this;
    const wanted = Math.ceil((hi - lo) / SAMPLE_STEP_RAD) + 1;
    const count = Math.min(MAX_SAMPLES, Math.max(5, wanted));
    const step = (hi - lo) / (count - 1);
    for (let i = 0; i < count; i++) {
      this.sumTeeth(i === count - 1 ? hi : lo + i * step);
      for (let q = 0; q < quantities; q++) samples[q * MAX_SAMPLES + i] = this.quantity(q);
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
      this.sumTeeth(lo + (best + (left - right) / (2 * curve)) * step);
      const refined = this.quantity(q);
      if (refined > (peaks[q] as number)) peaks[q] = refined;
    }
  }
}

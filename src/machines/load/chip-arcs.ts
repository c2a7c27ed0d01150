/** The part of an engagement in which teeth make chips, as flat arrays for the hot path. */
import { TURN_RAD } from '../../maths/angle.js';
import type { EngagementInterval } from '../../model/machine.js';

export const MAX_ARCS = 32;

/** Arcs within 0..pi, in order and apart from each other. */
export class ChipArcs {
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

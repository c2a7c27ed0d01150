/**
 * Roughing as contour-parallel passes, for comparison: offsets of the outline by clipper-lib at one
 * stepover, all round the wheel, fed at one feed. Engagement is measured by the same exact stock
 * front as the plan's. Favoured where it is in doubt: no time for entries, links or corners.
 */
import type { Process } from '../../src/cam/process.js';
import { StockFront } from '../../src/cam/stock/stock-front.js';
import { linePiece } from '../../src/cam/stock/path-piece.js';
import { loopFlatten } from '../../src/profile/geometry/loop.js';
import type { Wheel } from '../../src/profile/wheel/sprocket.js';
import { type Region, loopsOf, offsetRegion, polygon } from '../cam/oracle/clipper.js';

type Line = [number, number][];

export interface ContourPlan {
  readonly stepoverMm: number;
  /** Radius of the inside corners. mm */
  readonly cornerMm: number;
  readonly peakDeg: number;
  readonly feedMmPerMin: number;
  readonly passes: number;
  readonly lengthMm: number;
  /** Path over feed. s */
  readonly levelS: number;
}

export interface BaselineInput {
  readonly profile: Wheel;
  readonly teeth: number;
  readonly cutterRadiusMm: number;
  /** Centring error included. */
  readonly blankRadiusMm: number;
  readonly process: Process;
}

const CHORD_MM = 5e-4;
/** Gaps in the sector that is looked at. */
const SECTOR_PITCHES = 5;

export class ContourParallel {
  private readonly input: BaselineInput;
  private readonly outline: Region;
  /** Tangent of half the pitch. */
  private readonly slope: number;

  constructor(input: BaselineInput) {
    this.input = input;
    this.slope = Math.tan(Math.PI / input.teeth);
    // A few gaps stand for all: the sector's sides are too far to matter to the one in its middle.
    const half = (SECTOR_PITCHES * Math.PI) / input.teeth;
    const flat = loopFlatten(input.profile.outline, CHORD_MM);
    const points: Line = [];
    for (let i = 0; i < flat.length; i += 2) {
      if (Math.abs(Math.atan2(flat[i + 1]!, flat[i]!)) <= half) {
        points.push([flat[i]!, flat[i + 1]!]);
      }
    }
    points.sort((a, b) => Math.atan2(a[1], a[0]) - Math.atan2(b[1], b[0]));
    this.outline = polygon(half < Math.PI ? [[0, 0], ...points] : points);
  }

  /** Widest stepover whose peak engagement keeps the limit; null where none of 0.03 mm or more does. */
  widest(cornerMm: number): ContourPlan | null {
    const { process, cutterRadiusMm: r } = this.input;
    const straight = r * (1 - Math.cos(process.planEngagementRad));
    let bad = 1.2 * straight;
    for (let s = bad; s >= 0.03; s *= 0.82) {
      if (this.peakRad(s, cornerMm, process.planEngagementRad) > process.planEngagementRad) {
        bad = s;
        continue;
      }
      let good = s;
      for (let i = 0; i < 4; i++) {
        const m = (good + bad) / 2;
        if (this.peakRad(m, cornerMm, process.planEngagementRad) > process.planEngagementRad)
          bad = m;
        else good = m;
      }
      return this.planOf(good, cornerMm);
    }
    return null;
  }

  /** Quickest stepover and feed that keep chip and force, however far the cutter is engaged. */
  quickest(cornerMm: number): ContourPlan {
    let best: ContourPlan | null = null;
    for (let s = 1.6 * this.input.cutterRadiusMm; s >= 0.1; s *= 0.75) {
      const plan = this.planOf(s, cornerMm);
      if (!best || plan.levelS < best.levelS) best = plan;
    }
    return best!;
  }

  private planOf(stepoverMm: number, cornerMm: number): ContourPlan {
    const peak = this.peakRad(stepoverMm, cornerMm, Infinity);
    const loops = this.loops(stepoverMm, cornerMm);
    let lengthMm = 0;
    const half = Math.PI / this.input.teeth;
    for (const loop of loops) {
      loop.forEach(([x, y], i) => {
        const [nx, ny] = loop[(i + 1) % loop.length]!;
        if (x > 0 && Math.abs(Math.atan2(y, x)) <= half) lengthMm += Math.hypot(nx - x, ny - y);
      });
    }
    lengthMm *= this.input.teeth;
    const feedMmPerMin = this.input.process.feed(peak);
    return {
      stepoverMm,
      cornerMm,
      peakDeg: (peak * 180) / Math.PI,
      feedMmPerMin,
      passes: loops.length,
      lengthMm,
      levelS: (60 * lengthMm) / feedMmPerMin,
    };
  }

  /** Closed paths of the cutter's centre, outermost first, clockwise. */
  private loops(stepoverMm: number, cornerMm: number): Line[] {
    const { cutterRadiusMm: r, blankRadiusMm, process } = this.input;
    const loops: Line[] = [];
    for (let k = 0; k < 1000; k++) {
      const d = r + process.allowanceMm + k * stepoverMm;
      // Out and back in rounds the inside corners; on the wall itself the seat is round already.
      const round = k === 0 ? 0 : cornerMm;
      let region = offsetRegion(this.outline, d + round, CHORD_MM);
      if (round > 0) region = offsetRegion(region, -round, CHORD_MM);
      const all = loopsOf(region);
      const loop = all.reduce((a, b) => (b.length > a.length ? b : a));
      let least = Infinity;
      for (const [x, y] of loop) {
        if (x > 0 && Math.abs(y) < x * this.slope) least = Math.min(least, Math.hypot(x, y));
      }
      if (least >= blankRadiusMm + r) break;
      loops.push(loop.reverse());
    }
    return loops.reverse();
  }

  /** Worst engagement in one gap; stops looking at `enough`. */
  private peakRad(stepoverMm: number, cornerMm: number, enough: number): number {
    const { blankRadiusMm, cutterRadiusMm, teeth } = this.input;
    const front = new StockFront({ blankRadiusMm, cutterRadiusMm });
    const half = Math.PI / teeth;
    let peak = 0;
    for (const loop of this.loops(stepoverMm, cornerMm)) {
      for (let i = 0; i < loop.length; i++) {
        const [ax, ay] = loop[i]!;
        const [bx, by] = loop[(i + 1) % loop.length]!;
        // Neighbouring gaps are cut too, as far as they matter here.
        if (bx <= 0) continue;
        const angle = Math.abs(Math.atan2(by, bx));
        if (angle > 3 * half) continue;
        const piece = linePiece(ax, ay, bx, by);
        if (angle <= half) {
          peak = Math.max(peak, front.engagedRad(bx, by, piece));
          if (peak > enough) return peak;
        }
        front.add(piece);
      }
    }
    return peak;
  }
}

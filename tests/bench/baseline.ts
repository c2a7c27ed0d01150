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

/** Passes at one stepover: what the cutter meets on the way through one gap, loop by loop. */
export interface ContourPasses {
  readonly stepoverMm: number;
  /** Radius of the inside corners. mm */
  readonly cornerMm: number;
  readonly peakRad: number;
  /** Way through one gap, all loops. mm */
  readonly lengthMm: number;
  readonly loops: readonly {
    /** Places of the cutter's centre in the middle gap and half of each of its neighbours. */
    readonly at: readonly (readonly [number, number])[];
    /** Greatest engagement on the way to each. rad; NaN outside the middle gap */
    readonly metRad: Float64Array;
  }[];
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

  /** Walks the passes through a fresh stock. */
  passes(stepoverMm: number, cornerMm: number): ContourPasses {
    const { blankRadiusMm, cutterRadiusMm, teeth } = this.input;
    const front = new StockFront({ blankRadiusMm, cutterRadiusMm });
    const half = Math.PI / teeth;
    let [peakRad, lengthMm] = [0, 0];
    const loops = this.loops(stepoverMm, cornerMm).map((loop) => {
      const at: [number, number][] = [];
      const met: number[] = [];
      const first = loop.findIndex(([x, y]) => !(x > 0 && Math.abs(Math.atan2(y, x)) <= 2 * half));
      for (let k = 0; k < loop.length; k++) {
        const [ax, ay] = loop[(first + k) % loop.length]!;
        const [bx, by] = loop[(first + k + 1) % loop.length]!;
        const angle = bx > 0 ? Math.abs(Math.atan2(by, bx)) : Math.PI;
        // Neighbouring gaps are cut too, as far as they matter here.
        if (angle > 3 * half) continue;
        const piece = linePiece(ax, ay, bx, by);
        const own = angle <= half;
        if (own) {
          peakRad = Math.max(peakRad, front.engagedRad(bx, by, piece));
          lengthMm += Math.hypot(bx - ax, by - ay);
        }
        if (angle <= 2 * half) {
          at.push([bx, by]);
          met.push(own ? front.engagedRad(bx, by, piece) : NaN);
        }
        front.add(piece);
      }
      return { at, metRad: Float64Array.from(met) };
    });
    return { stepoverMm, cornerMm, peakRad, lengthMm, loops };
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
}

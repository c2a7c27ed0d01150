/**
 * Cutting simulation: replays what a program does and measures what it does to the stock.
 *
 * Input is the reader's list of operations, never the planner's moves. The stock is cut into
 * slabs at every depth that the program travels at. Within a slab the stock is prismatic, so a
 * slab is the blank's disc less everything swept at that depth or deeper, and its exact front is
 * a StockFront. A run of moves at one depth (a slice) meets the slabs above it; where two slabs
 * have been swept by the same slices, they answer a slice alike, so each distinct pair of swept
 * set and slice is measured once, however many levels repeat it.
 */
import type { DistanceField } from '../profile/distance-field.js';
import type { CanonicalOp } from '../post/types.js';
import { type CutConditions, type PeakForce, peakForce } from '../machines/load.js';
import type { EngagementInterval, Machine } from '../machines/types.js';
import {
  type BlankHole,
  type PathPiece,
  StockFront,
  arcPiece,
  linePiece,
  pieceAt,
  pieceLengthMm,
} from './stock-front.js';

/** What is on the machine, as far as the replay needs to know. */
export interface ReplaySetup {
  readonly machine: Machine;
  /** Cutting conditions; speed and axial depth are taken from the program. */
  readonly conditions: Omit<CutConditions, 'spindleRpm' | 'axialDepthMm'>;
  /** Radius of the blank at its largest, centring error included. mm */
  readonly blankRadiusMm: number;
  readonly thicknessMm: number;
  readonly holes: readonly BlankHole[];
  /** Signed distance to the finished outline, positive in air; null when there is none to keep. */
  readonly field: DistanceField | null;
  /** Points of the finished outline at which leftover is looked for: flat [x0, y0, ...]. */
  readonly outlinePoints: Float64Array;
}

export type FindingCode =
  | 'plunge'
  | 'ramp'
  | 'rapid-in-material'
  | 'spindle-stopped'
  | 'gouge'
  | 'holder'
  | 'travel'
  | 'plane';

export interface ReplayFinding {
  readonly line: number;
  readonly code: FindingCode;
  readonly text: string;
  readonly value: number | null;
}

/** Measured at each operation of the program; index as in the list of operations. */
export interface OpLoads {
  readonly engagementRad: Float64Array;
  readonly xN: Float64Array;
  readonly yN: Float64Array;
  readonly resultantN: Float64Array;
  readonly chipMm: Float64Array;
  /** Thickness of material met, mm. */
  readonly axialMm: Float64Array;
  readonly powerW: Float64Array;
}

export interface Measured<T = number> {
  readonly value: T;
  readonly line: number;
}

export interface ReplayReport {
  readonly loads: OpLoads;
  readonly peakEngagementRad: Measured;
  readonly peakForceN: { readonly x: Measured; readonly y: Measured };
  readonly peakChipMm: Measured;
  readonly peakPowerW: Measured;
  readonly peakAxialMm: Measured;
  /** Deepest cut into the finished outline. mm, 0 or more */
  readonly gougeMm: Measured;
  /** Most stock left on the finished outline. mm; Infinity where nothing ever came near */
  readonly leftoverMm: number;
  readonly leftoverAt: readonly [x: number, y: number] | null;
  readonly worstArcRadiusErrorMm: Measured;
  readonly removedMm3: number;
  readonly findings: readonly ReplayFinding[];
  /** Positions at which the stock was asked, repeats not counted. */
  readonly samples: number;
}

export interface ReplayOptions {
  /** Distance between samples along a cut. mm */
  readonly stepMm?: number;
  readonly onProgress?: (done: number, of: number) => void;
}

const STEP_MM = 0.08;
/** Fronts kept at a time; each holds the pieces of a level or two. */
const KEPT_FRONTS = 3;
/** Engagement below this is rounding of the text, not a cut. rad (a third of a degree is a bite of
 *  0.03 um on a 3 mm cutter) */
const TOUCH_RAD = (0.3 * Math.PI) / 180;
/** Engagement at a rapid above which it is called a collision: what two passes a rounding step
 *  apart can show, 0.0015 mm on a 3 mm cutter. rad */
const RAPID_TOUCH_RAD = (3 * Math.PI) / 180;
/** Depths closer than this are one depth. mm */
const SAME_DEPTH_MM = 1e-4;

type Motion = Extract<CanonicalOp, { op: 'rapid' | 'feed' | 'arc' | 'probe' }>;

function isMotion(op: CanonicalOp): op is Motion {
  return op.op === 'rapid' || op.op === 'feed' || op.op === 'arc' || op.op === 'probe';
}

/** Moves in a row at one depth. */
interface Slice {
  readonly zMm: number;
  /** Indices into the list of operations. */
  readonly first: number;
  readonly last: number;
  readonly signature: number;
}

/** What one slice does to a slab that a given set of slices has swept before. */
interface SliceLoads {
  /** Per operation of the slice: greatest engagement, and forces per mm of axial depth. */
  readonly engagementRad: Float64Array;
  readonly xPerMm: Float64Array;
  readonly yPerMm: Float64Array;
  readonly resultantPerMm: Float64Array;
  readonly powerPerMm: Float64Array;
  readonly chipMm: Float64Array;
  readonly areaMm2: number;
}

export function replay(
  ops: readonly CanonicalOp[],
  setup: ReplaySetup,
  options: ReplayOptions = {},
): ReplayReport {
  return new Replay(ops, setup, options).run();
}

class Replay {
  private readonly ops: readonly CanonicalOp[];
  private readonly setup: ReplaySetup;
  private readonly step: number;
  private readonly onProgress: (done: number, of: number) => void;
  private readonly findings: ReplayFinding[] = [];
  private readonly loads: OpLoads;
  private readonly r: number;
  /** Pieces of each distinct slice, by signature. */
  private readonly pieces: (readonly (PathPiece | null)[])[] = [];
  private readonly measured = new Map<string, SliceLoads>();
  private readonly fronts = new Map<string, StockFront>();
  private readonly gouges = new Map<number, { depth: number; op: number }>();
  private removedMm3 = 0;
  private samples = 0;

  constructor(ops: readonly CanonicalOp[], setup: ReplaySetup, options: ReplayOptions) {
    this.ops = ops;
    this.setup = setup;
    this.step = options.stepMm ?? STEP_MM;
    this.onProgress = options.onProgress ?? (() => {});
    this.r = setup.conditions.cutter.diameterMm / 2;
    const n = ops.length;
    this.loads = {
      engagementRad: new Float64Array(n),
      xN: new Float64Array(n),
      yN: new Float64Array(n),
      resultantN: new Float64Array(n),
      chipMm: new Float64Array(n),
      axialMm: new Float64Array(n),
      powerW: new Float64Array(n),
    };
  }

  run(): ReplayReport {
    const slices = this.slice();
    const slabs = this.slabs(slices);
    let gouge = { depth: 0, op: -1 };
    slices.forEach((slice, index) => {
      if (slice.signature >= 0) {
        this.cutSlice(slice, slabs);
        const found = this.gougeOf(slice);
        if (slice.zMm < -SAME_DEPTH_MM && found.depth > gouge.depth) {
          gouge = { depth: found.depth, op: slice.first + found.op };
        }
      } else {
        this.changeDepth(slice, slabs);
      }
      this.onProgress(index + 1, slices.length);
    });
    const left = this.leftover(slabs);
    return this.report(gouge, left);
  }

  /** Splits the operations into slices at one depth and single moves that change depth. */
  private slice(): Slice[] {
    const slices: Slice[] = [];
    const known = new Map<string, number>();
    let first = -1;
    let key: string[] = [];
    let z = 0;
    const close = (end: number): void => {
      if (first < 0) return;
      const text = key.join(' ');
      let signature = known.get(text);
      if (signature === undefined) {
        signature = this.pieces.length;
        known.set(text, signature);
        this.pieces.push(this.piecesOf(first, end));
      }
      slices.push({ zMm: z, first, last: end, signature });
      first = -1;
      key = [];
    };
    let lastFlat = -1;
    this.ops.forEach((op, i) => {
      if (!isMotion(op)) return;
      if (op.op === 'arc' && op.plane !== 'xy') {
        this.find(op, 'plane', 'an arc outside the XY plane is not simulated', null);
      }
      const level = Math.abs(op.to[2] - op.from[2]) <= SAME_DEPTH_MM;
      if (!level) {
        close(lastFlat);
        slices.push({ zMm: op.to[2], first: i, last: i, signature: -1 });
        return;
      }
      if (first >= 0 && Math.abs(op.to[2] - z) > SAME_DEPTH_MM) close(lastFlat);
      if (first < 0) {
        first = i;
        z = op.to[2];
        key.push(`${op.from[0]},${op.from[1]}`);
      }
      lastFlat = i;
      key.push(signatureOf(op));
    });
    close(lastFlat);
    return slices;
  }

  private piecesOf(first: number, last: number): (PathPiece | null)[] {
    const list: (PathPiece | null)[] = [];
    for (let i = first; i <= last; i++) {
      const op = this.ops[i]!;
      list.push(isMotion(op) ? pieceOf(op) : null);
    }
    return list;
  }

  /** Slabs between all depths travelled at, top down, within the teeth. */
  private slabs(slices: readonly Slice[]): Slab[] {
    const bottom = -this.setup.thicknessMm;
    const depths = [bottom];
    for (const slice of slices) {
      if (slice.zMm < -SAME_DEPTH_MM && slice.zMm > bottom) depths.push(slice.zMm);
    }
    depths.sort((a, b) => b - a);
    const slabs: Slab[] = [];
    let top = 0;
    for (const z of depths) {
      if (top - z <= SAME_DEPTH_MM) continue;
      slabs.push({ topMm: top, bottomMm: z, swept: [] });
      top = z;
    }
    return slabs;
  }

  private cutSlice(slice: Slice, slabs: readonly Slab[]): void {
    const n = slice.last - slice.first + 1;
    for (const slab of slabs) {
      if (slab.bottomMm < slice.zMm - SAME_DEPTH_MM) break;
      if (slab.swept.includes(slice.signature)) continue;
      const result = this.measure(slab.swept, slice);
      const depth = slab.topMm - slab.bottomMm;
      for (let k = 0; k < n; k++) {
        const i = slice.first + k;
        const phi = result.engagementRad[k]!;
        if (phi <= 0) continue;
        const { loads } = this;
        loads.engagementRad[i] = Math.max(loads.engagementRad[i]!, phi);
        loads.xN[i] = loads.xN[i]! + depth * result.xPerMm[k]!;
        loads.yN[i] = loads.yN[i]! + depth * result.yPerMm[k]!;
        loads.resultantN[i] = loads.resultantN[i]! + depth * result.resultantPerMm[k]!;
        loads.powerW[i] = loads.powerW[i]! + depth * result.powerPerMm[k]!;
        loads.axialMm[i] = loads.axialMm[i]! + depth;
        loads.chipMm[i] = Math.max(loads.chipMm[i]!, result.chipMm[k]!);
        this.judge(i, phi);
      }
      this.removedMm3 += depth * result.areaMm2;
      slab.swept.push(slice.signature);
    }
  }

  private judge(index: number, phi: number): void {
    const op = this.ops[index]!;
    if (!isMotion(op)) return;
    if ((op.op === 'rapid' || op.op === 'probe') && phi > RAPID_TOUCH_RAD) {
      this.find(
        op,
        'rapid-in-material',
        `a rapid passes through material (${((phi * 180) / Math.PI).toFixed(0)} deg of the rim)`,
        (phi * 180) / Math.PI,
      );
    }
    if ((op.op === 'feed' || op.op === 'arc') && op.spindleRpm <= 0 && phi > TOUCH_RAD) {
      this.find(op, 'spindle-stopped', 'the cutter meets material with the spindle stopped', null);
    }
  }

  /** Measures a slice in a slab swept by a set of slices, or takes it from an equal one. */
  private measure(swept: readonly number[], slice: Slice): SliceLoads {
    const key = `${sweptKey(swept)}|${slice.signature}`;
    const known = this.measured.get(key);
    if (known) return known;
    const result = this.cutInto(this.newFront(swept), slice);
    this.measured.set(key, result);
    return result;
  }

  private cutInto(front: StockFront, slice: Slice): SliceLoads {
    const pieces = this.pieces[slice.signature]!;
    const n = pieces.length;
    const out = {
      engagementRad: new Float64Array(n),
      xPerMm: new Float64Array(n),
      yPerMm: new Float64Array(n),
      resultantPerMm: new Float64Array(n),
      powerPerMm: new Float64Array(n),
      chipMm: new Float64Array(n),
      areaMm2: 0,
    };
    const r = this.r;
    pieces.forEach((piece, k) => {
      if (!piece) return;
      const op = this.ops[slice.first + k] as Motion;
      const length = pieceLengthMm(piece);
      const count = Math.max(1, Math.ceil(length / this.step));
      for (let s = 0; s < count; s++) {
        // The last sample is at the end of the piece, where a growing engagement is greatest.
        const [x, y, tx, ty] = pieceAt(piece, (s + 1) / count);
        const rim = front.rimInMaterial(x, y, piece);
        this.samples++;
        if (rim.count === 0) continue;
        const heading = Math.atan2(ty, tx);
        let total = 0;
        for (let i = 0; i < rim.count; i++) {
          const from = rim.angles[2 * i]! - heading;
          const to = rim.angles[2 * i + 1]! - heading;
          total += to - from;
          // Area swept per travel: the forward component of the rim in material.
          out.areaMm2 += (length / count) * r * (Math.sin(to) - Math.sin(from));
        }
        if (total <= TOUCH_RAD) continue;
        out.engagementRad[k] = Math.max(out.engagementRad[k]!, total);
        const speed = op.op === 'feed' || op.op === 'arc' ? op.spindleRpm : 0;
        if (speed <= 0) continue;
        const load = this.forcePerMm(op, rim.count, rim.angles, heading, speed);
        out.xPerMm[k] = Math.max(out.xPerMm[k]!, load.xN);
        out.yPerMm[k] = Math.max(out.yPerMm[k]!, load.yN);
        out.resultantPerMm[k] = Math.max(out.resultantPerMm[k]!, load.resultantN);
        out.powerPerMm[k] = Math.max(out.powerPerMm[k]!, load.powerW);
        out.chipMm[k] = Math.max(out.chipMm[k]!, load.hMaxMm);
      }
      front.add(piece);
    });
    return out;
  }

  /**
   * Peak force of the rim stretches per mm of depth. The wall is on the right hand where the rim
   * in material lies to the right of the travel; otherwise the cut is conventional and angles
   * count from the left-hand normal.
   */
  private forcePerMm(
    op: Motion,
    count: number,
    angles: Float64Array,
    heading: number,
    spindleRpm: number,
  ): PeakForce {
    let right = 0;
    for (let i = 0; i < count; i++) {
      // Integral of -sin over the stretch: > 0 to the right.
      right += Math.cos(angles[2 * i + 1]! - heading) - Math.cos(angles[2 * i]! - heading);
    }
    const climb = right >= 0;
    const intervals: EngagementInterval[] = [];
    for (let i = 0; i < count; i++) {
      const a = angles[2 * i]! - heading;
      const b = angles[2 * i + 1]! - heading;
      // From the right-hand normal (heading - 90 deg) forwards, or mirrored from the left.
      let from = climb ? a + Math.PI / 2 : Math.PI / 2 - b;
      let to = climb ? b + Math.PI / 2 : Math.PI / 2 - a;
      const turns = Math.floor((from + Math.PI / 2) / (2 * Math.PI));
      from -= turns * 2 * Math.PI;
      to -= turns * 2 * Math.PI;
      if (to > 2 * Math.PI) {
        from -= 2 * Math.PI;
        to -= 2 * Math.PI;
      }
      from = Math.max(0, from);
      to = Math.min(Math.PI, to);
      if (to > from) intervals.push({ fromRad: from, toRad: to });
    }
    intervals.sort((p, q) => p.fromRad - q.fromRad);
    const feed = op.op === 'feed' || op.op === 'arc' ? op.feedMmPerMin : 0;
    return peakForce(
      { ...this.setup.conditions, spindleRpm, axialDepthMm: 1 },
      feed,
      intervals,
      heading,
      climb,
    );
  }

  /** Greatest depth of a slice's path inside the outline grown by the cutter. */
  private gougeOf(slice: Slice): { depth: number; op: number } {
    const known = this.gouges.get(slice.signature);
    if (known) return known;
    const { field } = this.setup;
    let worst = { depth: 0, op: 0 };
    if (field) {
      this.pieces[slice.signature]!.forEach((piece, k) => {
        if (!piece) return;
        const count = Math.max(1, Math.ceil(pieceLengthMm(piece) / (this.step / 2)));
        for (let s = 0; s <= count; s++) {
          const [x, y] = pieceAt(piece, s / count);
          const depth = this.r - field(x, y);
          if (depth > worst.depth) worst = { depth, op: k };
        }
      });
    }
    this.gouges.set(slice.signature, worst);
    return worst;
  }

  /** A move that changes depth: is there anything in its way? */
  private changeDepth(slice: Slice, slabs: readonly Slab[]): void {
    const op = this.ops[slice.first] as Motion;
    if (op.to[2] > op.from[2]) return;
    const straight =
      Math.hypot(op.to[0] - op.from[0], op.to[1] - op.from[1]) < 1e-6 && op.op !== 'arc';
    const piece = pieceOf(op);
    const count = straight || !piece ? 1 : Math.max(1, Math.ceil(pieceLengthMm(piece) / 0.3));
    const reach = this.setup.blankRadiusMm + this.r - 1e-9;
    const places: [number, number][] = [];
    for (let s = 0; s <= count; s++) {
      const at = straight || !piece ? op.to : pieceAt(piece, s / count);
      if (Math.hypot(at[0], at[1]) < reach) places.push([at[0], at[1]]);
    }
    for (const slab of places.length > 0 ? slabs : []) {
      if (slab.topMm <= op.to[2] + SAME_DEPTH_MM) break;
      const front = this.frontOf(slab.swept);
      for (const [x, y] of places) {
        if (!this.meetsMaterial(front, x, y)) continue;
        const rapid = op.op === 'rapid';
        this.find(
          op,
          rapid ? 'rapid-in-material' : straight ? 'plunge' : 'ramp',
          rapid
            ? 'a rapid goes down into material'
            : `the cutter goes down into material at Z ${slab.topMm.toFixed(3)}`,
          slab.topMm,
        );
        return;
      }
    }
    this.checkHolder(op);
  }

  private checkHolder(op: Motion): void {
    const { stickOutMm } = this.setup.conditions.cutter;
    const near = Math.hypot(op.to[0], op.to[1]) < this.setup.blankRadiusMm + 25;
    if (near && -op.to[2] > stickOutMm) {
      this.find(
        op,
        'holder',
        `the tip is ${(-op.to[2]).toFixed(2)} mm below the blank's face, farther than the cutter sticks out (${stickOutMm} mm)`,
        -op.to[2],
      );
    }
  }

  /**
   * Front of a slab that a set of slices has swept. The last few are kept: slabs of equal history
   * ask for the same one in turn.
   */
  private frontOf(swept: readonly number[]): StockFront {
    const key = sweptKey(swept);
    const known = this.fronts.get(key);
    if (known) return known;
    const front = this.newFront(swept);
    if (this.fronts.size >= KEPT_FRONTS) {
      const oldest = this.fronts.keys().next().value;
      if (oldest !== undefined) this.fronts.delete(oldest);
    }
    this.fronts.set(key, front);
    return front;
  }

  private newFront(swept: readonly number[]): StockFront {
    const front = new StockFront({
      blankRadiusMm: this.setup.blankRadiusMm,
      cutterRadiusMm: this.r,
      holes: this.setup.holes,
    });
    for (const signature of swept) {
      for (const piece of this.pieces[signature]!) if (piece) front.add(piece);
    }
    return front;
  }

  /** Does the cutter's disc at a place hold any material? Asked on rings of points. */
  private meetsMaterial(front: StockFront, x: number, y: number): boolean {
    if (front.engagedRad(x, y) > RAPID_TOUCH_RAD) return true;
    for (const share of [0, 0.3, 0.6, 0.85]) {
      const n = share === 0 ? 1 : Math.ceil(24 * share);
      for (let i = 0; i < n; i++) {
        const a = (2 * Math.PI * i) / n;
        const px = x + share * this.r * Math.cos(a);
        const py = y + share * this.r * Math.sin(a);
        if (front.standsAt(px, py)) return true;
      }
    }
    return false;
  }

  private leftover(slabs: readonly Slab[]): { mm: number; at: [number, number] | null } {
    const points = this.setup.outlinePoints;
    let worst = 0;
    let at: [number, number] | null = null;
    const done = new Set<string>();
    for (const slab of slabs) {
      const key = sweptKey(slab.swept);
      if (done.has(key)) continue;
      done.add(key);
      const front = this.frontOf(slab.swept);
      for (let i = 0; i + 1 < points.length; i += 2) {
        const d = front.distanceToPath(points[i]!, points[i + 1]!) - this.r;
        if (d > worst) {
          worst = d;
          at = [points[i]!, points[i + 1]!];
        }
      }
    }
    return { mm: worst, at };
  }

  private find(op: Motion, code: FindingCode, text: string, value: number | null): void {
    this.findings.push({ line: op.line, code, text, value });
  }

  private report(
    gouge: { depth: number; op: number },
    left: { mm: number; at: [number, number] | null },
  ): ReplayReport {
    const { loads, ops } = this;
    const peak = (values: Float64Array): Measured => {
      let best = 0;
      let at = -1;
      for (let i = 0; i < values.length; i++) {
        if (values[i]! > best) {
          best = values[i]!;
          at = i;
        }
      }
      return { value: best, line: at >= 0 ? ops[at]!.line : 0 };
    };
    let arcError: Measured = { value: 0, line: 0 };
    const low = [Infinity, Infinity, Infinity];
    const high = [-Infinity, -Infinity, -Infinity];
    for (const op of ops) {
      if (!isMotion(op)) continue;
      if (op.op === 'arc' && op.radiusErrorMm > arcError.value) {
        arcError = { value: op.radiusErrorMm, line: op.line };
      }
      for (let k = 0; k < 3; k++) {
        low[k] = Math.min(low[k]!, op.to[k]!);
        high[k] = Math.max(high[k]!, op.to[k]!);
      }
    }
    const travel = this.setup.machine.travelMm;
    (['x', 'y', 'z'] as const).forEach((axis, k) => {
      const span = high[k]! - low[k]!;
      if (span > travel[axis]) {
        this.findings.push({
          line: 0,
          code: 'travel',
          text: `the program spans ${span.toFixed(1)} mm in ${axis.toUpperCase()}; the machine travels ${travel[axis]} mm`,
          value: span,
        });
      }
    });
    const gougeLine = gouge.op >= 0 ? ops[gouge.op]!.line : 0;
    return {
      loads,
      peakEngagementRad: peak(loads.engagementRad),
      peakForceN: { x: peak(loads.xN), y: peak(loads.yN) },
      peakChipMm: peak(loads.chipMm),
      peakPowerW: peak(loads.powerW),
      peakAxialMm: peak(loads.axialMm),
      gougeMm: { value: gouge.depth, line: gougeLine },
      leftoverMm: left.mm,
      leftoverAt: left.at,
      worstArcRadiusErrorMm: arcError,
      removedMm3: this.removedMm3,
      findings: this.findings,
      samples: this.samples,
    };
  }
}

/** Part of the stock between two depths, and the slices that have swept it. */
interface Slab {
  readonly topMm: number;
  readonly bottomMm: number;
  readonly swept: number[];
}

function sweptKey(swept: readonly number[]): string {
  return [...swept].sort((a, b) => a - b).join(',');
}

function pieceOf(op: Motion): PathPiece | null {
  const { from, to } = op;
  if (op.op === 'arc') {
    if (op.plane !== 'xy') return linePiece(from[0], from[1], to[0], to[1]);
    return arcPiece(from[0], from[1], to[0], to[1], op.center[0], op.center[1], op.ccw);
  }
  if (from[0] === to[0] && from[1] === to[1]) return null;
  return linePiece(from[0], from[1], to[0], to[1]);
}

/** Everything about a move at one depth that decides what it does to a slab. */
function signatureOf(op: Motion): string {
  if (op.op === 'arc') {
    return `a${op.to[0]},${op.to[1]},${op.center[0]},${op.center[1]},${op.ccw ? 1 : 0},${op.feedMmPerMin},${op.spindleRpm}`;
  }
  if (op.op === 'feed') return `l${op.to[0]},${op.to[1]},${op.feedMmPerMin},${op.spindleRpm}`;
  return `r${op.to[0]},${op.to[1]}`;
}

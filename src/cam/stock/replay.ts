/**
 * Cutting simulation: replays what a program does and measures what it does to the stock.
 *
 * Input is the reader's list of operations, never the planner's moves. The stock is cut into
 * slabs at every depth that the program travels at. Within a slab the stock is prismatic, so a
 * slab is the blank's disc less everything swept at that depth or deeper, and its exact front is
 * a StockFront. A run of moves at one depth (a slice) meets the slabs above it; where two slabs
 * have been swept by the same slices, they answer a slice alike, so each distinct pair of swept
 * set and slice is measured once, however many levels repeat it.
 *
 * A move that changes depth meets each slab over the part of it that is below the slab's top; the
 * part below its bottom is swept through it, so what a ramp has cut is gone for what follows.
 *
 * This file follows the program from slice to slice and measures; replay/ has the parts: report
 * (what a replay is given and reports), budget (how much work it may take), motion (operations as
 * pieces of path), fronts (what is left of a slab, kept) and rim-load (force of the rim). Beside it,
 * shared with the page: slices (runs at one depth), slabs (the stock between two depths), timeline
 * (what was swept when), stock-front (the exact front of one slab) and path-piece.
 */
import { atan2 } from '../../maths/elementary.js';
import { degFromRad, radFromDeg, norm2 } from '../../maths/angle.js';
import { DriveLoad } from '../../machines/bear/drive-meter.js';
import type { CutConditions } from '../../machines/load/force.js';
import { DEPTH_TOL_MM, PLACE_TOL_MM } from '../../maths/tolerance.js';
import type { CanonicalOp } from '../../model/op.js';
import { type PathPiece, nearOrigin, pieceAt, pieceLengthMm } from './path-piece.js';
import { Chain, GrowingFront, entersFromAbove, withChains } from './replay/chain.js';
import { Budget, ReplayLimit, toEnd } from './replay/budget.js';
import { Fronts } from './replay/fronts.js';
import {
  type Below,
  type Motion,
  type Slope,
  isMotion,
  holdsMaterial,
  runsBelow,
  slopeOf,
  slopeShares,
  steepestRad,
} from './replay/motion.js';
import { TOUCH_RAD, fromTheWall, rimForce, sweptWidth } from './replay/rim-load.js';
import { SlopeParts, partOfMove } from './replay/slope-parts.js';
import {
  type BodyFinding,
  bodyFindings,
  nutFinding,
  shankMeets,
  shankRadiusMm,
  standsWithin,
} from './replay/tool-body.js';
import {
  type FindingCode,
  type OpLoads,
  type ReplayFinding,
  type ReplayOptions,
  type Replay,
  type ReplaySetup,
  eachLoad,
  reportOf,
  travelFindings,
} from './replay/report.js';
import { Histories, type Slab } from './slabs.js';
import {
  type Motions,
  type Slice,
  levelPaths,
  motionsOf,
  newTo,
  slabsFor,
  slicesOf,
} from './slices.js';
import { type StockFront, rimTotalRad } from './stock-front.js';

export { ReplayLimit } from './replay/budget.js';
export type * from './replay/report.js';

/** Distance between samples along a cut. mm */
const STEP_MM = 0.08;
/** Engagement at a rapid above which it is called a collision: what two passes a rounding step
 *  apart can show, 0.0015 mm on a 3 mm cutter. rad */
const RAPID_TOUCH_RAD = radFromDeg(3);
/** Steepest way down into material that an end mill is fed at. Common practice, no source. */
const MAX_RAMP_DEG = 2;

/** A cutter that comes no nearer to the blank than this does not reach it. mm */
const ROUNDING_MM = 1e-9;

/** Places of a piece whose headings the drives are asked in. */
const HEADINGS_AT = [0, 0.5, 1];

/** Looking at this many pieces of path costs as much as one place. Measured. */
const VISITS_PER_STEP = 20;

/** What one slice does to a slab that a given set of slices has swept before: for each motion of the
 *  slice the greatest engagement and chip, and forces and power per mm of axial depth. */
interface SliceLoads extends OpLoads {
  areaMm2: number;
}

/** How a piece of path is followed that is part of something longer. */
interface CutPart {
  /** Index for each share of the piece, where it is not one for all. */
  readonly indexAt?: ((share: number) => number) | null;
  /** Pieces before it that count as swept. */
  readonly trail?: readonly PathPiece[];
  /** Length that it stands for, where it is not its own. mm */
  readonly forMm?: number;
}

/** @throws ReplayLimit for a program that asks for more than the limits of replay/budget */
export function replay(
  ops: readonly CanonicalOp[],
  setup: ReplaySetup,
  options: ReplayOptions = {},
): Replay {
  return toEnd(replaySteps(ops, setup, options));
}

/**
 * The same in short steps, for a caller who has to look up in between, or to leave off.
 * @throws as {@link replay}
 */
export function replaySteps(
  ops: readonly CanonicalOp[],
  setup: ReplaySetup,
  options: ReplayOptions = {},
): Generator<void, Replay, void> {
  const before = setup.before ?? [];
  const all = before.length > 0 ? [...before, ...ops] : ops;
  return new Replayer(all, setup, options, before.length).run();
}

class Replayer {
  private readonly ops: readonly CanonicalOp[];
  /** So many of them were done before the program begins. */
  private readonly before: number;
  /** Indices of the operations that move. */
  private readonly motions: Int32Array;
  private readonly setup: ReplaySetup;
  private readonly step: number;
  private readonly options: ReplayOptions;
  private readonly findings: ReplayFinding[] = [];
  private readonly loads: OpLoads;
  private readonly gougesMm: Float64Array;
  private readonly r: number;
  /** A cutter's centre farther from the axis meets nothing. mm */
  private readonly reachMm: number;
  private readonly budget: Budget;
  private readonly fronts: Fronts;
  private readonly drives: DriveLoad;
  private readonly measured = new Map<string, SliceLoads>();
  /** Deepest cut into the outline of each move of a slice, by signature. */
  private readonly gouges = new Map<number, Float64Array>();
  private histories = new Histories([]);
  private removedMm3 = 0;
  private samples = 0;

  constructor(
    ops: readonly CanonicalOp[],
    setup: ReplaySetup,
    options: ReplayOptions,
    before: number,
  ) {
    this.ops = ops;
    this.before = before;
    this.motions = motionsOf(ops.length, (i) => isMotion(ops[i]!)).entries;
    this.setup = setup;
    this.step = options.stepMm ?? STEP_MM;
    this.options = options;
    this.r = setup.conditions.cutter.diameterMm / 2;
    this.reachMm = setup.blankRadiusMm + this.r;
    this.budget = new Budget(options.maxWork);
    this.drives = new DriveLoad(setup.machine);
    this.fronts = new Fronts(
      { blankRadiusMm: setup.blankRadiusMm, cutterRadiusMm: this.r, holes: setup.holes },
      this.budget,
    );
    this.gougesMm = new Float64Array(ops.length);
    this.loads = eachLoad(() => new Float64Array(ops.length));
  }

  *run(): Generator<void, Replay, void> {
    const at = (position: number): Motion => this.motionAt(position);
    const first = this.motions.findIndex((entry) => entry >= this.before);
    const { length: count } = this.motions;
    const motions: Motions = { count, at, begins: first, paths: levelPaths(at) };
    const slices = withChains(
      slicesOf(motions, (pieces) => this.fronts.register(pieces)),
      motions,
    );
    const slabs = slabsFor(motions, slices, this.setup.thicknessMm);
    this.histories = new Histories(slabs);
    const begins = slices.findIndex((slice) => first >= 0 && slice.first >= first);
    for (const [index, slice] of slices.entries()) {
      // What was found before the program begins is not the program's.
      if (index === begins) {
        this.findings.length = 0;
        this.removedMm3 = 0;
      }
      try {
        yield* this.runSlice(slice, slabs);
      } catch (error) {
        if (!(error instanceof ReplayLimit) || index < begins) throw error;
        const { line } = this.motionAt(slice.first);
        error.reached = { line, findings: this.findings };
        throw error;
      }
      this.options.onProgress?.(index + 1, slices.length);
      yield;
    }
    const { before, removedMm3, samples } = this;
    const own = this.ops.slice(before);
    const { travelOps = own } = this.options;
    return reportOf(own, {
      loads: eachLoad((name) => this.loads[name].subarray(before)),
      gougesMm: this.gougesMm.subarray(before),
      removedMm3,
      findings: [...this.findings, ...travelFindings(travelOps, this.setup.machine.travelMm)],
      samples,
      ...this.leftover(slabs),
    });
  }

  private *runSlice(slice: Slice, slabs: readonly Slab[]): Generator<void, void, void> {
    this.budget.spend(1);
    if (slice.last > slice.first && slice.signature < 0) {
      yield* this.cutChain(slice, slabs);
      return;
    }
    this.watchBody(slice, slabs);
    if (slice.signature < 0) {
      this.changeDepth(this.motions[slice.first]!, slabs);
      return;
    }
    yield* this.cutSlice(slice, slabs);
    if (slice.zMm >= -DEPTH_TOL_MM) return;
    this.gougeOf(slice).forEach((depth, k) => {
      this.gougesMm[this.motions[slice.first + k]!] = depth;
    });
  }

  /** The motion at a position among all motions. */
  private motionAt(position: number): Motion {
    return this.ops[this.motions[position]!] as Motion;
  }

  private *cutSlice(slice: Slice, slabs: readonly Slab[]): Generator<void, void, void> {
    const n = slice.last - slice.first + 1;
    for (const slab of newTo(slice, slabs)) {
      const result = yield* this.measure(slab, slice);
      const depth = slab.topMm - slab.bottomMm;
      for (let k = 0; k < n; k++) {
        const phi = result.engagementRad[k]!;
        if (phi <= 0) continue;
        const index = this.motions[slice.first + k]!;
        this.addLoad(index, result, k, depth);
        this.judge(index, phi);
      }
      this.removedMm3 += depth * result.areaMm2;
      this.histories.sweep(slab, slice.signature);
    }
  }

  /** Adds what one move meets in one slab: depths and forces add up, angles and chips do not. */
  private addLoad(i: number, result: SliceLoads, k: number, depthMm: number): void {
    const { loads } = this;
    loads.engagementRad[i] = Math.max(loads.engagementRad[i]!, result.engagementRad[k]!);
    loads.chipMm[i] = Math.max(loads.chipMm[i]!, result.chipMm[k]!);
    loads.xN[i]! += depthMm * result.xN[k]!;
    loads.yN[i]! += depthMm * result.yN[k]!;
    loads.resultantN[i]! += depthMm * result.resultantN[k]!;
    loads.driveXN[i]! += depthMm * result.driveXN[k]!;
    loads.driveYN[i]! += depthMm * result.driveYN[k]!;
    loads.powerW[i]! += depthMm * result.powerW[k]!;
    loads.axialMm[i]! += depthMm;
  }

  private judge(index: number, phi: number): void {
    const op = this.ops[index] as Motion;
    if ((op.op === 'rapid' || op.op === 'probe') && phi > RAPID_TOUCH_RAD) {
      this.find(
        op,
        'rapid-in-material',
        `a ${op.op} move passes through material (${degFromRad(phi).toFixed(0)} deg of the rim)`,
        degFromRad(phi),
      );
    }
    this.checkSpindle(op);
  }

  /** For a move that meets material. */
  private checkSpindle(op: Motion): void {
    if ((op.op === 'feed' || op.op === 'arc') && op.spindleRpm <= 0) {
      this.find(op, 'spindle-stopped', 'the cutter meets material with the spindle stopped', null);
    }
  }

  /** Measures a slice in a slab swept by a set of slices, or takes it from an equal one. */
  private *measure(slab: Slab, slice: Slice): Generator<void, SliceLoads, void> {
    const key = `${slab.history}|${slice.signature}`;
    const known = this.measured.get(key);
    if (known) return known;
    const front = this.fronts.take(slab);
    const pieces = this.fronts.pieces[slice.signature]!;
    const out = { ...eachLoad(() => new Float64Array(pieces.length)), areaMm2: 0 };
    for (const [k, piece] of pieces.entries()) {
      if (!piece) continue;
      this.cutPiece(front, piece, this.motionAt(slice.first + k), out, k);
      front.add(piece);
      yield;
    }
    this.budget.spend(pieces.length);
    this.measured.set(key, out);
    this.fronts.keep(this.histories.after(slab, slice.signature), front);
    return out;
  }

  /**
   * Follows one piece of path through a front and keeps the greatest of everything in `out`, at an
   * index.
   */
  private cutPiece(
    front: StockFront,
    piece: PathPiece,
    op: Motion,
    out: SliceLoads,
    index: number,
    { indexAt = null, trail, forMm }: CutPart = {},
  ): void {
    const length = pieceLengthMm(piece);
    const count = Math.max(1, Math.ceil(length / this.step));
    const [speed, feed] =
      op.op === 'feed' || op.op === 'arc' ? [op.spindleRpm, op.feedMmPerMin] : [0, 0];
    const visits = front.visits;
    const cut = { ...this.setup.conditions, spindleRpm: speed, axialDepthMm: 1 };
    let widestRad = TOUCH_RAD;
    let widest: ReturnType<typeof fromTheWall> | null = null;
    let widestAt = index;
    this.eachSample(piece, count, this.reachMm, (share) => {
      const [x, y, tx, ty] = pieceAt(piece, share);
      const rim = front.rimInMaterial(x, y, piece, trail);
      this.samples++;
      if (rim.count === 0) return;
      const heading = atan2(ty, tx);
      out.areaMm2 += ((forMm ?? length) / count) * this.r * sweptWidth(rim, heading);
      const total = rimTotalRad(rim);
      if (total <= TOUCH_RAD) return;
      const k = indexAt ? indexAt(share) : index;
      out.engagementRad[k] = Math.max(out.engagementRad[k]!, total);
      if (speed <= 0) return;
      const load = rimForce(cut, feed, rim, heading);
      out.xN[k] = Math.max(out.xN[k]!, load.xN);
      out.yN[k] = Math.max(out.yN[k]!, load.yN);
      out.resultantN[k] = Math.max(out.resultantN[k]!, load.resultantN);
      out.powerW[k] = Math.max(out.powerW[k]!, load.powerW);
      out.chipMm[k] = Math.max(out.chipMm[k]!, load.hMaxMm);
      if (total <= widestRad) return;
      widestRad = total;
      widest = fromTheWall(rim, heading);
      widestAt = k;
    });
    if (widest !== null) this.addDrive(cut, feed, widest, piece, out, widestAt);
    this.budget.spend((front.visits - visits) / VISITS_PER_STEP);
  }

  /** What the drives are asked for where the cutter meets most of the stock, in every heading that the
   *  piece has. */
  private addDrive(
    conditions: CutConditions,
    feedMmPerMin: number,
    wall: ReturnType<typeof fromTheWall>,
    piece: PathPiece,
    out: SliceLoads,
    k: number,
  ): void {
    const headings = HEADINGS_AT.map((share) => {
      const [, , tx, ty] = pieceAt(piece, share);
      return atan2(ty, tx);
    });
    const { x, y } = this.drives.along({ conditions, feedMmPerMin, ...wall }, headings);
    out.driveXN[k] = Math.max(out.driveXN[k]!, x);
    out.driveYN[k] = Math.max(out.driveYN[k]!, y);
  }

  /**
   * Calls `visit` with each share (s + 1) / count at which a piece is inside a radius. The last
   * is the end of the piece, where a growing engagement is greatest.
   */
  private eachSample(
    piece: PathPiece,
    count: number,
    radiusMm: number,
    visit: (share: number) => void,
  ): void {
    let next = 0;
    for (const [from, to] of nearOrigin(piece, radiusMm)) {
      const first = Math.max(next, Math.floor(from * count) - 1);
      next = Math.min(count, Math.ceil(to * count) + 1);
      this.budget.spend(Math.max(0, next - first));
      for (let s = first; s < next; s++) visit((s + 1) / count);
    }
  }

  /** Greatest depth of each move of a slice inside the outline grown by the cutter. */
  private gougeOf(slice: Slice): Float64Array {
    const known = this.gouges.get(slice.signature);
    if (known) return known;
    const pieces = this.fronts.pieces[slice.signature]!;
    const depths = new Float64Array(pieces.length);
    const { field } = this.setup;
    if (field) {
      pieces.forEach((piece, k) => {
        if (!piece) return;
        const lengthMm = pieceLengthMm(piece);
        const count = Math.max(1, Math.ceil(lengthMm / (this.step / 2)));
        // The depth changes by no more than the way that is gone: far from the outline most places
        // cannot be the deepest.
        let openFrom = 0;
        const look = (share: number): void => {
          if (share < openFrom) return;
          const [x, y] = pieceAt(piece, share);
          const depth = this.r - field(x, y);
          if (depth > depths[k]!) depths[k] = depth;
          openFrom = share + (depths[k]! - depth - ROUNDING_MM) / lengthMm;
        };
        look(0);
        this.eachSample(piece, count, this.reachMm, look);
      });
    }
    this.gouges.set(slice.signature, depths);
    return depths;
  }

  /** A move that changes depth: is there anything in its way, and what does it leave? */
  private changeDepth(index: number, slabs: readonly Slab[]): void {
    const op = this.ops[index] as Motion;
    const slope = slopeOf(op);
    const straight = slope.planLengthMm < PLACE_TOL_MM;
    // Straight up: the cutter has been below already.
    if (straight && op.to[2] > op.from[2]) return;
    const shares = straight ? Float64Array.of(1) : slopeShares(slope);
    const depths = shares.map((share) => slope.at(share)[2]);
    const near = (share: number): boolean =>
      norm2(slope.at(share)[0], slope.at(share)[1]) < this.reachMm - ROUNDING_MM;
    if (!shares.some(near)) return;
    let found = false;
    const parts = new SlopeParts(slope, shares, depths);
    // Slabs of one history that lie within the same parts of the move answer alike, and stay alike.
    let asked = { key: '', loads: null as SliceLoads | null };
    const swept = new Map<string, number>();
    for (const slab of slabs) {
      const runs = runsBelow(depths, shares, slab.topMm - DEPTH_TOL_MM);
      if (runs.length === 0) break;
      this.budget.spend(1);
      const key = `${slab.history} ${runsKey(runs)}`;
      if (key !== asked.key) {
        const met = this.slopeMeets(slope, shares, runs, slab);
        asked = { key, loads: met ? this.slopeLoads(op, slope, runs, slab, parts.count) : null };
      }
      const { loads } = asked;
      if (loads === null) continue;
      if (!found) this.findDescent(op, slab, slope, shares);
      found = true;
      if (!straight) {
        parts.add(loads, slab);
        this.removedMm3 += (slab.topMm - slab.bottomMm) * loads.areaMm2;
      }
      const through = runsBelow(depths, shares, slab.bottomMm + DEPTH_TOL_MM);
      if (through.length === 0) continue;
      const throughKey = runsKey(through);
      let signature = swept.get(throughKey);
      if (signature === undefined) {
        const pieces = straight
          ? [slope.piece(1, 1)]
          : through.flatMap((run) => this.slopePieces(op, slope, run.from, run.to));
        swept.set(throughKey, (signature = this.fronts.register(pieces)));
      }
      this.fronts.sweep(slab, signature, this.histories);
    }
    if (found && !straight) {
      parts.worstInto(this.loads, index);
      this.checkSpindle(op);
    }
    this.gougeSlope(index, slope, shares);
  }

  /** Is there material in the way of the parts of a move that lie below the top of a slab? */
  private slopeMeets(
    slope: Slope,
    shares: Float64Array,
    runs: readonly Below[],
    slab: Slab,
  ): boolean {
    const front = this.fronts.of(slab);
    const inside = shares.filter((share) =>
      runs.some((run) => share >= run.from && share <= run.to),
    );
    this.budget.spend(inside.length);
    return inside.some((share) => {
      const [x, y] = slope.at(share);
      if (norm2(x, y) >= this.reachMm - ROUNDING_MM) return false;
      if (front.engagedRad(x, y) > RAPID_TOUCH_RAD) return true;
      // What is inside the rim comes in from above, where the move reaches the slab on its way;
      // where it begins inside the slab, the move before it has met it.
      const enters = runs.some((run) => share === run.from && share > 0);
      return enters && holdsMaterial(front, x, y, this.r);
    });
  }

  /** Pieces of a slanted move seen from above; an upright arc is followed in short chords. */
  private slopePieces(op: Motion, slope: Slope, from: number, to: number): PathPiece[] {
    if (op.op !== 'arc' || op.plane === 'xy') return [slope.piece(from, to)];
    const n = Math.max(1, Math.ceil(((to - from) * slope.lengthMm) / (4 * this.step)));
    return Array.from({ length: n }, (_, i) =>
      slope.piece(from + ((to - from) * i) / n, from + ((to - from) * (i + 1)) / n),
    );
  }

  private findDescent(op: Motion, slab: Slab, slope: Slope, shares: Float64Array): void {
    const z = slab.topMm.toFixed(3);
    const straight = shares.length === 1;
    if (op.op === 'rapid' || op.op === 'probe') {
      const text = `a ${op.op} move that changes depth goes into material at Z ${z}`;
      this.find(op, 'rapid-in-material', text, slab.topMm);
      return;
    }
    if (straight) {
      this.find(op, 'plunge', `the cutter goes down into material at Z ${z}`, slab.topMm);
      return;
    }
    this.findRamp(op, slab.topMm, degFromRad(steepestRad(slope, shares)));
  }

  private findRamp(op: Motion, topMm: number, deg: number): void {
    // What a flatter one cuts is judged by its load, like any cut.
    if (deg <= MAX_RAMP_DEG) return;
    const text = `the cutter goes down into material at Z ${topMm.toFixed(3)}, ${deg.toFixed(1)} deg steep; ${MAX_RAMP_DEG} deg is the most for a ramp`;
    this.find(op, 'ramp', text, deg);
  }

  /** What the parts of a slanted move meet in a slab, by mm of depth; nothing where it is straight. */
  private slopeLoads(
    op: Motion,
    slope: Slope,
    runs: readonly Below[],
    slab: Slab,
    count: number,
  ): SliceLoads {
    const out = { ...eachLoad(() => new Float64Array(count)), areaMm2: 0 };
    if (slope.planLengthMm < PLACE_TOL_MM) return out;
    for (const run of runs) {
      const pieces = this.slopePieces(op, slope, run.from, run.to);
      // A chain of chords is cut one after the other, so it needs a front to cut into.
      const chain = pieces.length > 1;
      const into = chain ? this.fronts.fresh(slab.swept) : this.fronts.of(slab);
      const step = (run.to - run.from) / pieces.length;
      for (const [i, piece] of pieces.entries()) {
        const from = run.from + i * step;
        const partAt = (share: number): number => partOfMove(from + share * step, count);
        this.cutPiece(into, piece, op, out, 0, { indexAt: partAt });
        if (chain) into.add(piece);
      }
    }
    return out;
  }

  private *cutChain(slice: Slice, slabs: readonly Slab[]): Generator<void, void, void> {
    const chain = new Chain(slice, (position) => this.motionAt(position));
    const { cutter } = this.setup.conditions;
    const bodies = chain.ops.map((op) => nutFinding(op, cutter, this.setup));
    const open = new Uint8Array(chain.windows.length - 1).fill(1);
    /** Top of the highest slab in which a line meets material. mm */
    const metMm = new Float64Array(chain.ops.length).fill(-Infinity);
    const swept = new Map<string, number>();
    for (const slab of slabs.toReversed()) {
      const front = new GrowingFront(chain, slab, () => this.fronts.fresh(slab.swept));
      this.watchShank(chain, slab, front, bodies);
      for (const [w, isOpen] of open.entries()) {
        if (isOpen) open[w] = this.cutWindow(chain, w, slab, front, slice.first, metMm) ? 1 : 0;
      }
      const { key, pieces } = chain.through(slab);
      if (pieces.length > 0) {
        const signature = swept.get(key) ?? this.fronts.register(pieces);
        swept.set(key, signature);
        this.fronts.sweep(slab, signature, this.histories);
      }
      yield;
    }
    for (const [i, op] of chain.ops.entries()) {
      const body = bodies[i];
      if (body) this.find(op, body.code, body.text, body.value);
      if (metMm[i]! > -Infinity) {
        this.findRamp(op, metMm[i]!, degFromRad(chain.steepnessRad(i)));
        this.checkSpindle(op);
      }
      const slope = slopeOf(op);
      this.gougeSlope(this.motions[slice.first + i]!, slope, slopeShares(slope));
    }
  }

  /**
   * What the lines of one window of a chain meet in a slab: the worst of them counts for each.
   * @returns whether any of it can meet material in a slab above
   */
  private cutWindow(
    chain: Chain,
    w: number,
    slab: Slab,
    growing: GrowingFront,
    first: number,
    metMm: Float64Array,
  ): boolean {
    const out = { ...eachLoad(() => new Float64Array(1)), areaMm2: 0 };
    const [from, end] = [chain.windows[w]!, chain.windows[w + 1]!];
    let above = false;
    let inside = false;
    let forMm = 0;
    for (let i = from; i < end; i++) {
      if (!chain.meets(i, slab)) {
        above = true;
        continue;
      }
      const op = chain.ops[i]!;
      const piece = chain.pieces[i]!;
      forMm += pieceLengthMm(piece);
      const enters = entersFromAbove(op, slab);
      const isLast = i + 1 === end || !chain.meets(i + 1, slab);
      if (forMm < this.step && !isLast && !enters) continue;
      const front = growing.before(i);
      this.cutPiece(front, piece, op, out, 0, { trail: chain.trail(i, slab, this.r), forMm });
      // What is inside the rim comes in from above.
      inside ||= enters && holdsMaterial(front, op.to[0], op.to[1], this.r);
      forMm = 0;
    }
    const phi = out.engagementRad[0]!;
    // Chords of one turn and the next differ by their height: as for a single move, a graze is none.
    if (phi <= RAPID_TOUCH_RAD && !inside) return above;
    for (let i = from; i < end; i++) {
      if (!chain.meets(i, slab)) continue;
      const depthMm = slab.topMm - Math.max(slab.bottomMm, chain.lowMm[i]!);
      if (phi > 0) this.addLoad(this.motions[first + i]!, out, 0, depthMm);
      metMm[i] = slab.topMm;
    }
    this.removedMm3 += (slab.topMm - Math.max(slab.bottomMm, chain.lowMm[end - 1]!)) * out.areaMm2;
    return true;
  }

  /** The shank along a chain, in the lowest slab that it reaches down to. */
  private watchShank(
    chain: Chain,
    slab: Slab,
    growing: GrowingFront,
    bodies: (BodyFinding | null)[],
  ): void {
    const { cutter } = this.setup.conditions;
    const radiusMm = shankRadiusMm(cutter);
    if (radiusMm === null) return;
    for (const end of chain.windows.slice(1)) {
      const [x, y, tip] = chain.ops[end - 1]!.to;
      const fromMm = tip + cutter.fluteLengthMm + DEPTH_TOL_MM;
      if (fromMm >= slab.topMm || fromMm < slab.bottomMm) continue;
      this.budget.spend(1);
      if (!standsWithin(growing.before(end - 1), x, y, radiusMm)) continue;
      bodies[end - 1] ??= shankMeets(tip, cutter);
    }
  }

  private gougeSlope(index: number, slope: Slope, shares: Float64Array): void {
    const { field } = this.setup;
    if (!field) return;
    for (const share of shares) {
      const [x, y, z] = slope.at(share);
      if (z >= -DEPTH_TOL_MM) continue;
      this.gougesMm[index] = Math.max(this.gougesMm[index]!, this.r - field(x, y));
    }
  }

  /** Shank and nut, before the edge has cut what it meets. */
  private watchBody({ first, last }: Slice, slabs: readonly Slab[]): void {
    const { fronts, budget } = this;
    const { blankRadiusMm, conditions } = this.setup;
    const standing = { blankRadiusMm, slabs, fronts, budget };
    for (let position = first; position <= last; position++) {
      const op = this.motionAt(position);
      for (const { code, text, value } of bodyFindings(op, conditions.cutter, standing)) {
        this.find(op, code, text, value);
      }
    }
  }

  /** What has been swept in the lowest slab has been swept in all. */
  private leftover(slabs: readonly Slab[]): Pick<Replay, 'leftoverMm' | 'leftoverAt'> {
    const points = this.setup.outlinePoints;
    let leftoverMm = 0;
    let leftoverAt: Replay['leftoverAt'] = null;
    const front = this.fronts.of(slabs.at(-1)!);
    for (let i = 0; i + 1 < points.length; i += 2) {
      const d = front.distanceToPath(points[i]!, points[i + 1]!) - this.r;
      if (d <= leftoverMm) continue;
      leftoverMm = d;
      leftoverAt = [points[i]!, points[i + 1]!];
    }
    return { leftoverMm, leftoverAt };
  }

  private find(op: Motion, code: FindingCode, text: string, value: number | null): void {
    // A move that goes through several slabs says it once.
    const last = this.findings.at(-1);
    if (last?.line === op.line && last.code === code && last.text === text) return;
    this.findings.push({ line: op.line, code, text, value });
  }
}

const runsKey = (runs: readonly Below[]): string =>
  runs.map(({ from, to }) => `${from}-${to}`).join();

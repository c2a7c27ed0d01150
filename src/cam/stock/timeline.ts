/**
 * When which slab of the stock is swept by what, for going forwards and backwards in a program: the
 * replay's own slices, slabs and histories, with a copy of every slab's history after each slice.
 * Slabs of equal history are one state, so that the many levels of a program share the work:
 *
 *      z = 0  ------------------    slab 0   blank > rough > finish 1 > finish 2
 *             ------------------    slab 1   blank > rough > finish 1
 *             ------------------    slab 2   blank > rough (the first 412 pieces)
 *             ------------------    slab 3   blank
 */
import { DEPTH_TOL_MM } from '../../maths/tolerance.js';
import { type Motion, runsBelow, slopeOf, slopeShares } from './replay/motion.js';
import { Histories, type HistoryStep, type Slab, type SlabDepths } from './slabs.js';
import {
  type Motions,
  RunNumbers,
  type RunRule,
  type Slice,
  motionsOf,
  newTo,
  slabsFor,
  slicesOf,
} from './slices.js';
import type { PathPiece } from './path-piece.js';

/** Path pieces run one after the other; null where a motion stands still in X and Y. */
export interface Sweep {
  readonly pieces: readonly (PathPiece | null)[];
  /** Position of the motion that first ran piece 0: pieces and motions go in step. */
  readonly first: number;
}

/** A slab that a slice changes: its history before, and the sweep. */
export interface SlabCut {
  readonly slab: number;
  readonly from: number;
  readonly sweep: number;
}

export interface Stretch extends Pick<Slice, 'first' | 'last'> {
  readonly cuts: readonly SlabCut[];
}

export interface Timeline {
  readonly slabs: readonly SlabDepths[];
  readonly sweeps: readonly Sweep[];
  /** By history: what each left, less which sweep. History 0 is the blank. */
  readonly histories: readonly HistoryStep[];
  readonly stretches: readonly Stretch[];
  /** Entry of the program that each motion is; below 0 for one that ran before the program. */
  readonly entries: Int32Array;
  /** Stretch and motion of each entry of the program, or of the last before one that does not move;
   *  -1 before the first motion. */
  readonly stretchOf: Int32Array;
  readonly motionOf: Int32Array;
  /** History of every slab after each stretch: [stretch * slabs + slab]. */
  readonly after: Int32Array;
}

/** A program entry by entry, its arcs about vertical axes. */
export interface Entries {
  readonly count: number;
  /** So many of them, the first ones, ran before the program begins: they shape the stock. */
  readonly before: number;
  readonly moves: (entry: number) => boolean;
  /** Null for an entry that does not move. */
  readonly motionAt: (entry: number) => Motion | null;
  /** Says of level motions whether they sweep the same. */
  readonly rule: RunRule;
}

/** @throws ReplayLimit for a program with more depths than a replay takes */
export function timelineOf(program: Entries, thicknessMm: number): Timeline {
  const { entries, motionOf } = motionsOf(program.count, program.moves);
  const { rule, before } = program;
  const motions: Motions = {
    count: entries.length,
    at: (position) => program.motionAt(entries[position]!)!,
    paths: new RunNumbers({
      mix: (hash, position) => rule.mix(hash, entries[position]!),
      same: (a, b) => rule.same(entries[a]!, entries[b]!),
      sameStart: (a, b) => rule.sameStart(entries[a]!, entries[b]!),
    }),
  };
  const sweeps: Sweep[] = [];
  const register = (pieces: Sweep['pieces'], first: number) => sweeps.push({ pieces, first }) - 1;
  const slices = slicesOf(motions, register);
  const slabs = slabsFor(motions, slices, thicknessMm);
  const histories = new Histories(slabs);
  // What the program sweeps is its own, though the same was swept before: it is another's wall.
  const sweptBefore = slopeSweeps(motions, register);
  const sweptBySlope = slopeSweeps(motions, register);
  const stretchAt = new Int32Array(entries.length);
  const after = new Int32Array(slices.length * slabs.length);
  const stretches = slices.map((slice, index): Stretch => {
    const { first, last } = slice;
    stretchAt.fill(index, first, last + 1);
    const met: readonly (readonly [Slab, number])[] =
      slice.signature >= 0
        ? newTo(slice, slabs).map((slab) => [slab, slice.signature])
        : (entries[first]! < before ? sweptBefore : sweptBySlope)(slice, slabs);
    const cuts = met.map(([slab, sweep]): SlabCut => {
      const from = slab.history;
      histories.sweep(slab, sweep);
      return { slab: slabs.indexOf(slab), from, sweep };
    });
    slabs.forEach((slab, k) => (after[index * slabs.length + k] = slab.history));
    return { first, last, cuts };
  });
  const stretchOf = motionOf.map((position) => (position < 0 ? -1 : stretchAt[position]!));
  return {
    slabs,
    sweeps,
    histories: histories.steps,
    stretches,
    entries: entries.map((entry) => entry - before),
    stretchOf: stretchOf.subarray(before),
    motionOf: motionOf.subarray(before),
    after,
  };
}

/**
 * Of a move that changes depth, a line or a helix about a vertical axis: the slabs that it goes right
 * through and has not swept yet, each with its sweep; equal parts of equal moves are one sweep.
 */
function slopeSweeps(
  motions: Motions,
  register: (pieces: Sweep['pieces'], first: number) => number,
): (slice: Slice, slabs: readonly Slab[]) => (readonly [Slab, number])[] {
  const known = new Map<string, number>();
  return ({ first }, slabs) => {
    const op = motions.at(first);
    const slope = slopeOf(op);
    const straight = slope.planLengthMm < 1e-6;
    const shares = straight ? Float64Array.of(1) : slopeShares(slope);
    const depths = straight
      ? Float64Array.of(Math.min(op.from[2], op.to[2]))
      : shares.map((share) => slope.at(share)[2]);
    const place = `${op.from[0]},${op.from[1]}`;
    const way = `${op.op},${op.to[0]},${op.to[1]},${op.op === 'arc' ? `${op.center.join()},${op.ccw}` : ''}`;
    const met: (readonly [Slab, number])[] = [];
    for (const slab of slabs) {
      // Depth goes one way along a line or a helix, so there is one run at most.
      const [run] = runsBelow(depths, shares, slab.bottomMm + DEPTH_TOL_MM);
      if (!run) break;
      // A plunge sweeps one disc, whatever the depth.
      const key = straight ? place : `${place}|${way}|${run.from}..${run.to}`;
      let sweep = known.get(key);
      if (sweep === undefined) {
        const piece = straight ? slope.piece(1, 1) : slope.piece(run.from, run.to);
        known.set(key, (sweep = register([piece], first)));
      }
      if (!slab.swept.has(sweep)) met.push([slab, sweep]);
    }
    return met;
  };
}

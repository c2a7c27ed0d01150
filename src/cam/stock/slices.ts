/**
 * A program cut into slices: moves in a row at one depth, and single moves that change depth. A
 * program repeats itself level by level, so equal level slices share one number, their signature.
 */
import { DEPTH_TOL_MM } from '../../maths/tolerance.js';
import { isFeedMove } from '../../model/op.js';
import type { PathPiece } from './path-piece.js';
import { type Motion, isLevel, pieceOf, slopeDepths, slopeOf } from './replay/motion.js';
import { type Slab, makeSlabs } from './slabs.js';

/** The motions of a program, by position. */
export interface Motions {
  readonly count: number;
  readonly at: (position: number) => Motion;
  /** Position with which a slice begins in any case, where the program is one that others ran before. */
  readonly begins?: number;
  /** Numbers of level paths: two that do the same to a slab have the same one. */
  readonly paths: RunNumbers;
}

/** Of a program's entries: which are motions, and the motion of each, or of the last before one that
 *  does not move; -1 before the first. */
export function motionsOf(count: number, moves: (entry: number) => boolean) {
  const entries = new Int32Array(count);
  const motionOf = new Int32Array(count);
  let found = 0;
  for (let i = 0; i < count; i++) {
    if (moves(i)) entries[found++] = i;
    motionOf[i] = found - 1;
  }
  return { entries: entries.subarray(0, found), motionOf };
}

/** Moves in a row at one depth, or one move that changes depth, or a chain of such (replay/chain). */
export interface Slice {
  /** Depth of a level slice; where a move that changes depth ends. mm */
  readonly zMm: number;
  /** Positions among the motions of the program. */
  readonly first: number;
  readonly last: number;
  /** -1 for what changes depth. */
  readonly signature: number;
}

/**
 * Splits the motions into slices.
 * @param register  gives a level path that has not been met before its signature
 */
export function slicesOf(
  motions: Motions,
  register: (pieces: readonly (PathPiece | null)[], first: number) => number,
): Slice[] {
  const slices: Slice[] = [];
  let first = -1;
  let z = 0;
  const close = (last: number): void => {
    if (first < 0) return;
    const from = first;
    first = -1;
    const pieces = () =>
      Array.from({ length: last - from + 1 }, (_, k) => pieceOf(motions.at(from + k)));
    const signature = motions.paths.numberOf(from, last, () => register(pieces(), from));
    slices.push({ zMm: z, first: from, last, signature });
  };
  for (let i = 0; i < motions.count; i++) {
    const op = motions.at(i);
    if (!isLevel(op)) {
      close(i - 1);
      slices.push({ zMm: op.to[2], first: i, last: i, signature: -1 });
      continue;
    }
    if (i === motions.begins || (first >= 0 && Math.abs(op.to[2] - z) > DEPTH_TOL_MM)) close(i - 1);
    if (first < 0) {
      first = i;
      z = op.to[2];
    }
  }
  close(motions.count - 1);
  return slices;
}

/**
 * The slabs that the slices of a program need.
 * @throws ReplayLimit
 */
export function slabsFor(motions: Motions, slices: readonly Slice[], thicknessMm: number): Slab[] {
  const levels: number[] = [];
  const slants = new Set<number>();
  const slant = (z: number): unknown => slants.add(Math.round(z / DEPTH_TOL_MM) * DEPTH_TOL_MM);
  for (const { signature, zMm, first, last } of slices) {
    if (signature >= 0) levels.push(zMm);
    else if (first === last) slopeDepths(slopeOf(motions.at(first)), thicknessMm).forEach(slant);
    else for (let i = first; i <= last; i++) slant(motions.at(i).to[2]);
  }
  return makeSlabs(levels, [...slants], thicknessMm);
}

/** Slabs that a level slice reaches and has not swept yet, top down. */
export function newTo({ zMm, signature }: Slice, slabs: readonly Slab[]): Slab[] {
  const reached: Slab[] = [];
  for (const slab of slabs) {
    if (slab.bottomMm < zMm - DEPTH_TOL_MM) break;
    if (!slab.swept.has(signature)) reached.push(slab);
  }
  return reached;
}

/**
 * Numbers for paths at one depth: two that do the same to a slab have the same number.
 * @param motionOf  the motion at a position among the motions of the program
 */
export function levelPaths(motionOf: (position: number) => Motion): RunNumbers {
  return new RunNumbers({
    mix: (hash, position) => {
      const { to } = motionOf(position);
      return mixNumber(mixNumber(hash, to[0]), to[1]);
    },
    same: (a, b) => sameWork(motionOf(a), motionOf(b)),
    sameStart: (a, b) => {
      const from = motionOf(a).from;
      const other = motionOf(b).from;
      return from[0] === other[0] && from[1] === other[1];
    },
  });
}

/** Of two level motions from one place: do they do the same to a slab? */
function sameWork(a: Motion, b: Motion): boolean {
  if (a.to[0] !== b.to[0] || a.to[1] !== b.to[1]) return false;
  if (!isFeedMove(a)) return !isFeedMove(b);
  if (a.op !== b.op || a.feedMmPerMin !== b.feedMmPerMin || a.spindleRpm !== b.spindleRpm) {
    return false;
  }
  if (a.op !== 'arc' || b.op !== 'arc') return true;
  return a.center[0] === b.center[0] && a.center[1] === b.center[1] && a.ccw === b.ccw;
}

/** How runs of entries are compared. */
export interface RunRule {
  /** A hash with an entry's figures mixed in. Equal entries mix alike. */
  readonly mix: (hash: number, entry: number) => number;
  /** Are two entries equal? */
  readonly same: (a: number, b: number) => boolean;
  /** Do two runs that begin with these entries begin at one place? */
  readonly sameStart: (a: number, b: number) => boolean;
}

interface Run extends Pick<Slice, 'first' | 'last'> {
  readonly number: number;
}

/**
 * Numbers for runs of entries: equal runs have the same number. Almost every run has been met
 * before; runs are compared by their figures, and a hash only says which are worth comparing.
 */
export class RunNumbers {
  private readonly rule: RunRule;
  private readonly known = new Map<number, Run[]>();

  constructor(rule: RunRule) {
    this.rule = rule;
  }

  /**
   * @param first, last  entries of the run, both of them in it
   * @param register     called for a run that has not been met before; gives it its number
   */
  numberOf(first: number, last: number, register: () => number): number {
    let hash = last - first;
    for (let i = first; i <= last; i++) hash = this.rule.mix(hash, i);
    let alike = this.known.get(hash);
    if (!alike) this.known.set(hash, (alike = []));
    const met = alike.find((run) => this.equal(run, first, last));
    if (met) return met.number;
    const number = register();
    alike.push({ number, first, last });
    return number;
  }

  private equal(run: Run, first: number, last: number): boolean {
    const { same, sameStart } = this.rule;
    if (run.last - run.first !== last - first || !sameStart(run.first, first)) return false;
    for (let k = 0; k <= last - first; k++) if (!same(run.first + k, first + k)) return false;
    return true;
  }
}

const scratch = new Float64Array(1);
const bits = new Int32Array(scratch.buffer);

/** A hash with a number mixed in; 0 and -0 are one number. */
export function mixNumber(hash: number, value: number): number {
  scratch[0] = value + 0;
  const mixed = Math.imul(hash ^ bits[0]!, 0x85ebca6b);
  return Math.imul(mixed ^ (mixed >>> 15) ^ bits[1]!, 0xc2b2ae35) | 0;
}

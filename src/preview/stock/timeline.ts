/**
 * When which depth of the stock is swept by what.
 *
 * The stock is cut into slabs at every depth that the program travels at; inside a slab it is
 * prismatic. The program is cut into stretches at one depth and single moves that change depth.
 * A slab's state is the list of sweeps it has seen; equal lists are one state, so that the many
 * levels of a program share the work:
 *
 *      z = 0  ------------------    slab 0   state: blank > rough > finish 1 > finish 2
 *             ------------------    slab 1   state: blank > rough > finish 1
 *             ------------------    slab 2   state: blank > rough (the first 412 pieces)
 *             ------------------    slab 3   state: blank
 */
import { DEPTH_TOL_MM } from '../../maths/tolerance.js';
import { RunNumbers, mixNumber } from '../../cam/stock/run-numbers.js';
import { type PathPiece, arcPiece, pieceAt } from '../../cam/stock/path-piece.js';
import { type Track, isMotion, pieceOf, startOf } from '../data/track.js';

/** Slabs are no thicker than this where a move ramps down through them. mm */
const RAMP_SLAB_MM = 0.25;

export interface Slab {
  readonly topMm: number;
  readonly bottomMm: number;
}

/** Path pieces run one after the other; null where an entry does not move in the plane. */
export interface Sweep {
  readonly pieces: readonly (PathPiece | null)[];
  /** Entry of the track that first ran piece 0: pieces and entries go in step. */
  readonly firstEntry: number;
}

/** State of a slab: what `parent` left, less `sweep`. State 0 is the blank. */
export interface SlabState {
  readonly parent: number;
  readonly sweep: number;
}

export interface Stretch {
  readonly first: number;
  readonly last: number;
  /** Slabs that this stretch changes, with the state before it and the sweep. */
  readonly cuts: readonly {
    readonly slab: number;
    readonly from: number;
    readonly sweep: number;
  }[];
}

export interface Timeline {
  readonly slabs: readonly Slab[];
  readonly sweeps: readonly Sweep[];
  readonly states: readonly SlabState[];
  readonly stretches: readonly Stretch[];
  /** Stretch of each entry; -1 before the first motion. */
  readonly stretchOf: Int32Array;
  /** State of every slab after each stretch: [stretch * slabs + slab]. */
  readonly after: Int32Array;
}

export function timelineOf(track: Track, thicknessMm: number): Timeline {
  return new Builder(track, thicknessMm).build();
}

function levelRuns(track: Track): RunNumbers {
  const { kind, x, y, cx, cy } = track;
  return new RunNumbers({
    mix: (hash, i) => mixNumber(mixNumber(hash, x[i]!), y[i]!),
    same: (a, b) =>
      x[a] === x[b] && y[a] === y[b] && kind[a] === kind[b] && cx[a] === cx[b] && cy[a] === cy[b],
    sameStart: (a, b) => {
      const from = startOf(track, a);
      const other = startOf(track, b);
      return from[0] === other[0] && from[1] === other[1];
    },
  });
}

class Builder {
  private readonly track: Track;
  private readonly thicknessMm: number;
  private readonly sweeps: Sweep[] = [];
  /** Of level runs, and of moves that change depth. */
  private readonly levels: RunNumbers;
  private readonly sweepIds = new Map<string, number>();
  private readonly states: SlabState[] = [{ parent: -1, sweep: -1 }];
  private readonly nextState = new Map<string, number>();

  constructor(track: Track, thicknessMm: number) {
    this.track = track;
    this.thicknessMm = thicknessMm;
    this.levels = levelRuns(track);
  }

  build(): Timeline {
    const { track } = this;
    const ranges = this.ranges();
    const slabs = this.slabs(ranges);
    const current = new Int32Array(slabs.length);
    const after = new Int32Array(ranges.length * slabs.length);
    const stretchOf = new Int32Array(track.line.length).fill(-1);
    const stretches = ranges.map(([first, last], index): Stretch => {
      stretchOf.fill(index, first, last + 1);
      const cuts = this.cutsOf(first, last, slabs, current);
      for (const cut of cuts) current[cut.slab] = this.stateAfter(cut.from, cut.sweep);
      after.set(current, index * slabs.length);
      return { first, last, cuts };
    });
    // Waits and stops belong to the stretch before them.
    for (let i = 1; i < stretchOf.length; i++) {
      if (stretchOf[i] === -1) stretchOf[i] = stretchOf[i - 1] as number;
    }
    const { sweeps, states } = this;
    return { slabs, sweeps, states, stretches, stretchOf, after };
  }

  /** Runs of entries at one depth, and single entries that change depth. */
  private ranges(): [first: number, last: number][] {
    const { track } = this;
    const ranges: [number, number][] = [];
    let open: [number, number] | null = null;
    for (let i = 0; i < track.line.length; i++) {
      if (!isMotion(track, i)) continue;
      const flat = Math.abs((track.z[i] as number) - startOf(track, i)[2]) <= DEPTH_TOL_MM;
      if (flat && open) open[1] = i;
      else {
        const range: [number, number] = [i, i];
        ranges.push(range);
        open = flat ? range : null;
      }
    }
    return ranges;
  }

  private slabs(ranges: readonly (readonly [number, number])[]): Slab[] {
    const { track } = this;
    const bottom = -this.thicknessMm;
    const depths = [bottom];
    const add = (z: number) => {
      if (z < -DEPTH_TOL_MM && z > bottom) depths.push(z);
    };
    for (const [first] of ranges) {
      const from = startOf(track, first);
      const z = track.z[first] as number;
      const ramps =
        Math.abs(z - from[2]) > DEPTH_TOL_MM && flatLength(pieceOf(track, first)) > DEPTH_TOL_MM;
      if (ramps && Math.min(z, from[2]) < -DEPTH_TOL_MM) {
        const steps = Math.ceil(Math.abs(z - from[2]) / RAMP_SLAB_MM);
        for (let k = 0; k <= steps; k++) add(from[2] + ((z - from[2]) * k) / steps);
      } else if (Math.abs(z - from[2]) <= DEPTH_TOL_MM) add(z);
    }
    depths.sort((a, b) => b - a);
    const slabs: Slab[] = [];
    let top = 0;
    for (const z of depths) {
      if (top - z <= DEPTH_TOL_MM) continue;
      slabs.push({ topMm: top, bottomMm: z });
      top = z;
    }
    return slabs;
  }

  private cutsOf(first: number, last: number, slabs: readonly Slab[], current: Int32Array) {
    const { track } = this;
    const cuts: { slab: number; from: number; sweep: number }[] = [];
    const fromZ = startOf(track, first)[2];
    const toZ = track.z[first] as number;
    const flat = Math.abs(fromZ - toZ) <= DEPTH_TOL_MM;
    if (Math.min(fromZ, toZ) >= -DEPTH_TOL_MM) return cuts;
    let whole = -1;
    slabs.forEach((slab, index) => {
      const deepEnough = slab.bottomMm + DEPTH_TOL_MM;
      if (Math.min(fromZ, toZ) > deepEnough) return;
      let sweep: number;
      if (flat) sweep = whole = whole < 0 ? this.sweepOf(first, last) : whole;
      else {
        // Fractions of the move at which it is below the slab's lower face.
        const at = (z: number) => (fromZ - z) / (fromZ - toZ);
        const from = fromZ <= deepEnough ? 0 : at(deepEnough);
        const to = toZ <= deepEnough ? 1 : at(deepEnough);
        sweep = this.partSweep(first, Math.max(0, from), Math.min(1, to));
      }
      const from = current[index] as number;
      if (!this.has(from, sweep)) cuts.push({ slab: index, from, sweep });
    });
    return cuts;
  }

  private sweepOf(first: number, last: number): number {
    const { track } = this;
    return this.levels.numberOf(first, last, () => {
      const pieces: (PathPiece | null)[] = [];
      for (let i = first; i <= last; i++) {
        pieces.push(isMotion(track, i) ? pieceOf(track, i) : null);
      }
      return this.register(pieces, first);
    });
  }

  private partSweep(entry: number, from: number, to: number): number {
    const { track } = this;
    const [x, y] = startOf(track, entry);
    const key = `${x},${y}|${track.kind[entry]},${track.x[entry]},${track.y[entry]},${track.cx[entry]},${track.cy[entry]}`;
    const whole = pieceOf(track, entry);
    // A plunge sweeps one disc, whatever the depth.
    const plunge = flatLength(whole) === 0;
    const part = plunge ? '' : `${from.toFixed(6)}..${to.toFixed(6)}`;
    return this.intern(`${key}|${part}`, entry, () => [
      plunge ? whole : partOfPiece(whole, from, to),
    ]);
  }

  private intern(key: string, firstEntry: number, make: () => (PathPiece | null)[]): number {
    let id = this.sweepIds.get(key);
    if (id === undefined) this.sweepIds.set(key, (id = this.register(make(), firstEntry)));
    return id;
  }

  private register(pieces: readonly (PathPiece | null)[], firstEntry: number): number {
    this.sweeps.push({ pieces, firstEntry });
    return this.sweeps.length - 1;
  }

  private stateAfter(from: number, sweep: number): number {
    const key = `${from},${sweep}`;
    let state = this.nextState.get(key);
    if (state === undefined) {
      state = this.states.length;
      this.nextState.set(key, state);
      this.states.push({ parent: from, sweep });
    }
    return state;
  }

  private has(state: number, sweep: number): boolean {
    for (let s = state; s > 0; s = (this.states[s] as SlabState).parent) {
      if ((this.states[s] as SlabState).sweep === sweep) return true;
    }
    return false;
  }
}

function flatLength(p: PathPiece): number {
  return p.radiusMm > 0 ? p.radiusMm * Math.abs(p.sweepRad) : Math.hypot(p.bx - p.ax, p.by - p.ay);
}

/** Part of a piece between two fractions of its length. */
export function partOfPiece(p: PathPiece, from: number, to: number): PathPiece {
  if (from <= 0 && to >= 1) return p;
  const [ax, ay] = pieceAt(p, from);
  const [bx, by] = pieceAt(p, to);
  if (p.radiusMm === 0) return { ...p, ax, ay, bx, by };
  const sweepRad = p.sweepRad * (to - from);
  // arcPiece takes equal ends for a full turn, which a short part is not.
  if (Math.abs(sweepRad) < 1e-9) return { ...p, ax, ay, bx, by, radiusMm: 0, sweepRad: 0 };
  return {
    ...arcPiece(ax, ay, bx, by, p.cx, p.cy, p.sweepRad > 0),
    radiusMm: p.radiusMm,
    sweepRad,
  };
}

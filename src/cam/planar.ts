/** Moves of one level, in the plane: what a level repeats at every depth. */
import { atan2 } from '../maths/elementary.js';
import { polar, rotatePt } from '../profile/geometry/edge.js';
import type { Edge, Pt } from '../model/edges.js';
import type { Move, MoveRole } from '../model/toolpath.js';
import { TURN_RAD, apart, wrapRad, norm2 } from '../maths/angle.js';
import { OUTPUT_STEP_MM, PLACE_TOL_MM } from '../maths/tolerance.js';

type InPlane<M> = M extends Move ? Omit<M, 'to'> & { readonly to: Pt } : never;

/** A line or an arc at one depth. */
export type PlanarMove = InPlane<Extract<Move, { kind: 'line' | 'arc' }>>;

/** Moves shorter than this are left out. mm, absolute: half the output step, so that nothing is
 *  left out that the text could show. */
const NO_MOVE_MM = OUTPUT_STEP_MM / 2;

/** A shorter way round is none. mm: two output steps. */
const LEAST_TRAVEL_MM = 2 * OUTPUT_STEP_MM;

/** Most that arcs are joined to: an end must not come near its start. rad */
const MOST_SWEEP = 0.95 * Math.PI;

/** Collects planar moves and knows where it stands. */
export class Pen {
  readonly moves: PlanarMove[] = [];
  readonly start: Pt;
  at: Pt;

  constructor(start: Pt) {
    this.start = start;
    this.at = start;
  }

  line(to: Pt, feedMmPerMin: number, role: MoveRole): this {
    if (apart(to, this.at) < NO_MOVE_MM) return this;
    this.moves.push({ kind: 'line', to, feedMmPerMin, role });
    this.at = to;
    return this;
  }

  /** Arc about c of less than a full turn. One that goes on along the arc before it, at the same
   *  feed, becomes one move with it, up to half a turn. */
  arc(to: Pt, c: Pt, ccw: boolean, feedMmPerMin: number, role: MoveRole): this {
    if (apart(to, this.at) < NO_MOVE_MM) return this;
    const move: PlanarMove = { kind: 'arc', to, c, ccw, feedMmPerMin, role };
    if (this.goesOn(move)) this.moves[this.moves.length - 1] = move;
    else this.moves.push(move);
    this.at = to;
    return this;
  }

  /** Whether an arc is the rest of the last move's circle, and both together under half a turn. */
  private goesOn(arc: Extract<PlanarMove, { kind: 'arc' }>): boolean {
    const last = this.moves.at(-1);
    if (last?.kind !== 'arc' || last.ccw !== arc.ccw || last.role !== arc.role) return false;
    if (last.feedMmPerMin !== arc.feedMmPerMin) return false;
    const { c, to } = arc;
    if (apart(last.c, c) > PLACE_TOL_MM) return false;
    const from = this.moves.at(-2)?.to ?? this.start;
    const radius = apart(to, c);
    if (Math.abs(apart(from, c) - radius) > PLACE_TOL_MM) return false;
    const angle = (p: Pt): number => atan2(p[1] - c[1], p[0] - c[0]);
    const turn = (a: Pt, b: Pt): number =>
      wrapRad(arc.ccw ? angle(b) - angle(a) : angle(a) - angle(b));
    return turn(from, this.at) + turn(this.at, to) < MOST_SWEEP;
  }

  /** Along an edge that begins where the pen is. */
  edge(edge: Edge, feedMmPerMin: number, role: MoveRole): this {
    return edge.kind === 'line'
      ? this.line(edge.b, feedMmPerMin, role)
      : this.arc(edge.b, edge.c, edge.ccw, feedMmPerMin, role);
  }

  /** Links from place to place. */
  links(points: readonly Pt[], feedMmPerMin: number): this {
    for (const to of points) this.line(to, feedMmPerMin, 'link');
    return this;
  }

  /** Link along the circle about the origin, the short way. */
  travel(to: Pt, feedMmPerMin: number): this {
    let sweep = atan2(to[1], to[0]) - atan2(this.at[1], this.at[0]);
    if (sweep > Math.PI) sweep -= TURN_RAD;
    if (sweep < -Math.PI) sweep += TURN_RAD;
    if (norm2(to[0], to[1]) * Math.abs(sweep) < LEAST_TRAVEL_MM) return this;
    return this.sweep([0, 0], sweep, feedMmPerMin, 'link').snap(to);
  }

  /** Arc about c through a signed sweep, in pieces of at most half a turn. */
  sweep(c: Pt, sweepRad: number, feedMmPerMin: number, role: MoveRole): this {
    const pieces = Math.max(1, Math.ceil(Math.abs(sweepRad) / (Math.PI * 0.999)));
    const radius = apart(this.at, c);
    const from = atan2(this.at[1] - c[1], this.at[0] - c[0]);
    for (let i = 1; i <= pieces; i++) {
      const a = from + (sweepRad * i) / pieces;
      this.arc(polar(radius, a, c), c, sweepRad > 0, feedMmPerMin, role);
    }
    return this;
  }

  /** Puts the end of the last move exactly at `to` (which it already reaches to rounding). */
  snap(to: Pt): this {
    const last = this.moves.at(-1);
    if (last) this.moves[this.moves.length - 1] = { ...last, to };
    this.at = to;
    return this;
  }

  append(moves: readonly PlanarMove[]): this {
    for (const move of moves) {
      this.moves.push(move);
      this.at = move.to;
    }
    return this;
  }
}

/** Turns moves about the origin. */
export function rotateMoves(moves: readonly PlanarMove[], angleRad: number): PlanarMove[] {
  return moves.map((move) => {
    const { feedMmPerMin, role } = move;
    const to = rotatePt(move.to, angleRad);
    if (move.kind === 'line') return { kind: 'line', to, feedMmPerMin, role };
    const c = rotatePt(move.c, angleRad);
    return { kind: 'arc', to, c, ccw: move.ccw, feedMmPerMin, role };
  });
}

/** Lifts planar moves to a depth. Written out: a spread of each of many thousand moves is slow. */
export function atDepth(moves: readonly PlanarMove[], zMm: number): Move[] {
  return moves.map((move) => {
    const to = [move.to[0], move.to[1], zMm] as const;
    const { feedMmPerMin, role } = move;
    if (move.kind === 'line') return { kind: 'line', to, feedMmPerMin, role };
    return { kind: 'arc', to, c: move.c, ccw: move.ccw, feedMmPerMin, role };
  });
}

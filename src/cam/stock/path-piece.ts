/**
 * Pieces of path in the plane, lines and arcs: their length, places and distances, and which parts
 * of one lie near the origin, so that the rest need not be walked.
 */
import { atan2, cos, sin } from '../../maths/elementary.js';
import { TURN_RAD, arcSweepRad, cornerRad, wrapRad, norm2 } from '../../maths/angle.js';

/** A piece of path in the plane: line (`turn` null) or arc about `c` with signed sweep. */
export interface PathPiece {
  readonly ax: number;
  readonly ay: number;
  readonly bx: number;
  readonly by: number;
  /** Arc only. */
  readonly cx: number;
  readonly cy: number;
  /** 0 for a line. */
  readonly radiusMm: number;
  /** Signed sweep of an arc, counter-clockwise positive; 0 for a line. */
  readonly sweepRad: number;
}

/** Line piece. */
export function linePiece(ax: number, ay: number, bx: number, by: number): PathPiece {
  return { ax, ay, bx, by, cx: 0, cy: 0, radiusMm: 0, sweepRad: 0 };
}

/**
 * Arc piece from a to b about c. A zero chord is a full turn.
 * The radius is that of the start point, as a control takes it.
 */
export function arcPiece(
  ax: number,
  ay: number,
  bx: number,
  by: number,
  cx: number,
  cy: number,
  ccw: boolean,
): PathPiece {
  const from = atan2(ay - cy, ax - cx);
  const to = atan2(by - cy, bx - cx);
  const sweepRad = arcSweepRad(from, to, ccw);
  return { ax, ay, bx, by, cx, cy, radiusMm: norm2(ax - cx, ay - cy), sweepRad };
}

/** Length of a piece, mm. */
export function pieceLengthMm(p: PathPiece): number {
  return p.radiusMm > 0 ? p.radiusMm * Math.abs(p.sweepRad) : norm2(p.bx - p.ax, p.by - p.ay);
}

/** Position and heading (unit vector) at fraction f of a piece: [x, y, tx, ty]. */
export function pieceAt(p: PathPiece, f: number): [number, number, number, number] {
  if (p.radiusMm === 0) {
    const dx = p.bx - p.ax;
    const dy = p.by - p.ay;
    const len = norm2(dx, dy) || 1;
    return [p.ax + f * dx, p.ay + f * dy, dx / len, dy / len];
  }
  const a = atan2(p.ay - p.cy, p.ax - p.cx) + f * p.sweepRad;
  const s = Math.sign(p.sweepRad);
  const c = cos(a);
  const d = sin(a);
  // The end as stored: rounded centres put it a hair off the start's circle.
  if (f === 1) return [p.bx, p.by, -s * d, s * c];
  return [p.cx + p.radiusMm * c, p.cy + p.radiusMm * d, -s * d, s * c];
}

/** Distance from a point to a piece. mm */
export function distanceToPiece(x: number, y: number, p: PathPiece): number {
  if (p.radiusMm === 0) {
    const dx = p.bx - p.ax;
    const dy = p.by - p.ay;
    const l2 = dx * dx + dy * dy;
    const t = l2 > 0 ? Math.min(1, Math.max(0, ((x - p.ax) * dx + (y - p.ay) * dy) / l2)) : 0;
    return norm2(x - p.ax - t * dx, y - p.ay - t * dy);
  }
  const angle = atan2(y - p.cy, x - p.cx);
  const startAngle = atan2(p.ay - p.cy, p.ax - p.cx);
  const along = p.sweepRad > 0 ? wrapRad(angle - startAngle) : wrapRad(startAngle - angle);
  if (along <= Math.abs(p.sweepRad)) {
    return Math.abs(norm2(x - p.cx, y - p.cy) - p.radiusMm);
  }
  return Math.min(norm2(x - p.ax, y - p.ay), norm2(x - p.bx, y - p.by));
}

/** Share of a piece's length, 0 <= from <= to <= 1. */
export type Span = readonly [from: number, to: number];

const NONE: readonly Span[] = [];
const WHOLE: readonly Span[] = [[0, 1]];

/**
 * Parts of a piece inside the circle of a radius about the origin, in order of travel, so that a
 * move from one end of the machine to the other, or beyond it, costs no more than what it does
 * where the work is.
 *
 *   line:  |a + f (b - a)| <= R is a quadratic in f
 *   arc:   radius p about c, |c| = d: inside where the angle from the direction c -> origin is
 *          below acos((d^2 + p^2 - R^2) / (2 d p))
 */
export function nearOrigin(piece: PathPiece, radiusMm: number): readonly Span[] {
  return piece.radiusMm > 0 ? nearArc(piece, radiusMm) : nearLine(piece, radiusMm);
}

function nearLine(p: PathPiece, radiusMm: number): readonly Span[] {
  const dx = p.bx - p.ax;
  const dy = p.by - p.ay;
  const l2 = dx * dx + dy * dy;
  if (l2 === 0) return norm2(p.ax, p.ay) <= radiusMm ? WHOLE : NONE;
  const middle = -(p.ax * dx + p.ay * dy) / l2;
  const off = (p.ax * dy - p.ay * dx) / Math.sqrt(l2);
  const half2 = (radiusMm - off) * (radiusMm + off);
  if (!(half2 >= 0)) return NONE;
  const half = Math.sqrt(half2 / l2);
  const from = Math.max(0, middle - half);
  const to = Math.min(1, middle + half);
  return from <= to ? [[from, to]] : NONE;
}

function nearArc(p: PathPiece, radiusMm: number): readonly Span[] {
  const d = norm2(p.cx, p.cy);
  if (d + p.radiusMm <= radiusMm) return WHOLE;
  if (d - p.radiusMm >= radiusMm || p.radiusMm - d >= radiusMm) return NONE;
  const half = cornerRad(d, p.radiusMm, radiusMm);
  // Angles turned from the start of the piece, in its own direction.
  const start = atan2(p.ay - p.cy, p.ax - p.cx);
  const sign = Math.sign(p.sweepRad);
  const sweep = Math.abs(p.sweepRad);
  const turn = TURN_RAD;
  const centre = (((sign * (atan2(-p.cy, -p.cx) - start)) % turn) + turn) % turn;
  const spans: Span[] = [];
  for (const middle of [centre - turn, centre, centre + turn]) {
    const from = Math.max(0, middle - half) / sweep;
    const to = Math.min(sweep, middle + half) / sweep;
    if (from <= to) spans.push([from, to]);
  }
  return spans;
}

/** Part of a piece between two fractions of its length; one without length is a line. */
export function partOfPiece(p: PathPiece, from: number, to: number): PathPiece {
  if (from <= 0 && to >= 1) return p;
  const [ax, ay] = pieceAt(p, from);
  const [bx, by] = pieceAt(p, to);
  if (p.radiusMm === 0) return { ...p, ax, ay, bx, by };
  const sweepRad = p.sweepRad * (to - from);
  // An arc of equal ends would be a full turn, which a short part is not.
  if (Math.abs(sweepRad) < 1e-9) return { ...p, ax, ay, bx, by, radiusMm: 0, sweepRad: 0 };
  return { ...p, ax, ay, bx, by, sweepRad };
}

/** Which parts of a piece of path lie near the origin: the rest need not be walked. */
import type { PathPiece } from './stock-front.js';
import { norm2 } from '../../maths/norm.js';

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
  const cos = (d * d + p.radiusMm * p.radiusMm - radiusMm * radiusMm) / (2 * d * p.radiusMm);
  const half = Math.acos(Math.min(1, Math.max(-1, cos)));
  // Angles turned from the start of the piece, in its own direction.
  const start = Math.atan2(p.ay - p.cy, p.ax - p.cx);
  const sign = Math.sign(p.sweepRad);
  const sweep = Math.abs(p.sweepRad);
  const turn = 2 * Math.PI;
  const centre = (((sign * (Math.atan2(-p.cy, -p.cx) - start)) % turn) + turn) % turn;
  const spans: Span[] = [];
  for (const middle of [centre - turn, centre, centre + turn]) {
    const from = Math.max(0, middle - half) / sweep;
    const to = Math.min(sweep, middle + half) / sweep;
    if (from <= to) spans.push([from, to]);
  }
  return spans;
}

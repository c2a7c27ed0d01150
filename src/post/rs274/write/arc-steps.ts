import { acos, atan2, cos, sin } from '../../../maths/elementary.js';
import type { Pt } from '../../../model/edges.js';
import { TURN_RAD, turnRad, norm2 } from '../../../maths/angle.js';

/** One piece of an arc as it will be written: end and centre offsets in whole output steps. */
export type ArcPiece =
  | {
      readonly kind: 'arc';
      readonly x: number;
      readonly y: number;
      readonly i: number;
      readonly j: number;
      /** Share of the arc's sweep at the end of the piece, 0..1; Z goes with it. */
      readonly share: number;
    }
  | { readonly kind: 'line'; readonly x: number; readonly y: number; readonly share: number };

/** Steps per mm of X Y words and of I J words, and what an arc may measure. */
export interface ArcLimits {
  readonly xyScale: number;
  readonly ijScale: number;
  readonly maxRadiusMm: number;
}

/**
 * Greatest difference of the two radii of a written arc, mm: the rule of RS274/NGC 3.5.3.2. With 3
 * decimals on X Y and 4 on I J the worst that rounding leaves is far below it.
 */
const ARC_RADIUS_TOL_MM = 0.002;

/** Arcs whose rounded chord is shorter are written as lines: a control may take them for a full
 *  turn. mm. */
const MIN_CHORD_MM = 0.01;

/** How often a piece is halved when its rounded form misses the tolerance, before it becomes lines. */
const MAX_HALVINGS = 6;

/** The arc to be cut: exact, with its radius at both ends and the turn with its sign. */
interface ExactArc {
  readonly c: Pt;
  readonly to: Pt;
  readonly startRad: number;
  readonly turnRad: number;
  readonly r0: number;
  readonly r1: number;
  readonly limits: ArcLimits;
}

/**
 * Cuts an arc into pieces of at most 180 degrees that keep the radius rule after rounding.
 *
 * Both ends of a piece are rounded to the output step, so the exact centre is no longer at one
 * distance from them. The centre that is written keeps its exact distance from the chord, which
 * holds the bulge of the arc, and moves along the chord to the bisector of the rounded ends, which
 * makes the radii equal; only the rounding of I and J is left between them.
 *
 * @param startSteps  [x, y] as the machine was sent there, whole steps
 * @param from, to, c exact ends and centre, mm
 * @param sweepRad    0 < sweep <= 2 pi
 */
export function arcPieces(
  startSteps: Pt,
  from: Pt,
  to: Pt,
  c: Pt,
  ccw: boolean,
  sweepRad: number,
  limits: ArcLimits,
): ArcPiece[] {
  const arc: ExactArc = {
    c,
    to,
    startRad: atan2(from[1] - c[1], from[0] - c[0]),
    turnRad: ccw ? sweepRad : -sweepRad,
    r0: norm2(from[0] - c[0], from[1] - c[1]),
    r1: norm2(to[0] - c[0], to[1] - c[1]),
    limits,
  };
  const pieces: ArcPiece[] = [];
  let at = startSteps;
  const add = (fromShare: number, toShare: number, halvings: number): void => {
    const end = pointAt(arc, toShare);
    const sweep = (toShare - fromShare) * sweepRad;
    const flat = isFlat(arc, at, end, sweep);
    const [i, j] = flat ? [0, 0] : roundedCentre(at, end, c, limits);
    if (!flat && isSound(at, end, [i, j], ccw, sweep, limits)) {
      pieces.push({ kind: 'arc', x: end[0], y: end[1], i, j, share: toShare });
    } else if (!flat && halvings < MAX_HALVINGS) {
      const middle = (fromShare + toShare) / 2;
      add(fromShare, middle, halvings + 1);
      add(middle, toShare, halvings + 1);
    } else {
      addLines(pieces, arc, fromShare, toShare);
    }
    at = end;
  };
  const parts = Math.max(1, Math.ceil(sweepRad / Math.PI - 1e-9));
  for (let k = 0; k < parts; k++) add(k / parts, (k + 1) / parts, 0);
  return pieces;
}

/** Rounded point at a share of the sweep. */
function pointAt({ c, to, startRad, turnRad: turn, r0, r1, limits }: ExactArc, share: number): Pt {
  if (share >= 1) return roundPt(to[0], to[1], limits.xyScale);
  const r = r0 + (r1 - r0) * share;
  const a = startRad + turn * share;
  return roundPt(c[0] + r * cos(a), c[1] + r * sin(a), limits.xyScale);
}

/** Whether a piece is written as lines: too short, as straight as a step, or too large a circle. */
function isFlat({ r0, r1, limits }: ExactArc, at: Pt, end: Pt, sweepRad: number): boolean {
  const chord = norm2(end[0] - at[0], end[1] - at[1]) / limits.xyScale;
  const r = Math.max(r0, r1);
  const sagitta = r * (1 - cos(sweepRad / 2));
  return chord < MIN_CHORD_MM || sagitta < 1 / limits.xyScale || r > limits.maxRadiusMm;
}

/** Chords that stay within half a step of the arc. */
function addLines(pieces: ArcPiece[], arc: ExactArc, fromShare: number, toShare: number): void {
  // A chord of a circle of radius r leaves a sagitta of half a step at this angle.
  const r = Math.max(arc.r0, arc.r1);
  const half = 0.5 / arc.limits.xyScale;
  const angle = half < r ? 2 * acos(1 - half / r) : Math.PI / 2;
  const sweep = (toShare - fromShare) * Math.abs(arc.turnRad);
  const n = Math.max(1, Math.ceil(sweep / angle - 1e-9));
  for (let k = 1; k <= n; k++) {
    const share = k === n ? toShare : fromShare + ((toShare - fromShare) * k) / n;
    const [x, y] = pointAt(arc, share);
    pieces.push({ kind: 'line', x, y, share });
  }
}

function roundPt(x: number, y: number, scale: number): Pt {
  return [Math.round(x * scale) + 0, Math.round(y * scale) + 0];
}

/** I and J in whole steps: the exact centre moved along the chord to its bisector. */
function roundedCentre(start: Pt, end: Pt, c: Pt, limits: ArcLimits): Pt {
  const { xyScale, ijScale } = limits;
  const sx = start[0] / xyScale;
  const sy = start[1] / xyScale;
  const dx = end[0] / xyScale - sx;
  const dy = end[1] / xyScale - sy;
  const chord = norm2(dx, dy);
  const nx = -dy / chord;
  const ny = dx / chord;
  const height = (c[0] - sx - dx / 2) * nx + (c[1] - sy - dy / 2) * ny;
  return roundPt(dx / 2 + height * nx, dy / 2 + height * ny, ijScale);
}

/** Does the arc as written keep the radius rule and turn by what it should? */
function isSound(
  start: Pt,
  end: Pt,
  centre: Pt,
  ccw: boolean,
  sweep: number,
  limits: ArcLimits,
): boolean {
  const u0 = -centre[0] / limits.ijScale;
  const u1 = -centre[1] / limits.ijScale;
  const v0 = (end[0] - start[0]) / limits.xyScale + u0;
  const v1 = (end[1] - start[1]) / limits.xyScale + u1;
  const radius = norm2(u0, u1);
  if (Math.abs(radius - norm2(v0, v1)) > ARC_RADIUS_TOL_MM / 2) return false;
  const written = turnRad(u0, u1, v0, v1, ccw) || TURN_RAD;
  // Two ends, each rounded by up to 0.71 steps, seen from the centre.
  return Math.abs(written - sweep) <= 3 / (limits.xyScale * radius) + 1e-9;
}

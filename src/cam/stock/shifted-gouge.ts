/** What a machine that ran shifted has cut out of the part. */
import { atan2 } from '../../maths/elementary.js';
import { TURN_RAD } from '../../maths/angle.js';
import { DEPTH_TOL_MM } from '../../maths/tolerance.js';
import type { CanonicalOp } from '../../model/op.js';
import { linePiece, pieceAt, pieceLengthMm } from './path-piece.js';
import type { DistanceField } from '../../profile/geometry/distance-field.js';
import { type Motion, isMotion, pieceOf } from './replay/motion.js';

/** Distance between places looked at. mm */
const STEP_MM = 0.05;

export interface ToothGouge {
  /** Direction of the tooth's middle, counter-clockwise from +X. deg */
  readonly toothDeg: number;
  /** Depth inside the finished outline. mm */
  readonly depthMm: number;
  /** Line that cut it, and how deep in the plate. */
  readonly line: number;
  readonly zMm: number;
}

/**
 * Deepest cut inside the outline for each tooth, worst first; teeth that are whole are left out.
 * @param ops      what ran shifted
 * @param offset   where the cutter ran less where the program had it. mm
 * @param overMm   depths up to this are none
 */
export function shiftedGouges(
  ops: readonly CanonicalOp[],
  offset: readonly [x: number, y: number],
  field: DistanceField,
  cutterRadiusMm: number,
  teeth: number,
  overMm: number,
): ToothGouge[] {
  const worst = new Map<number, ToothGouge>();
  const known = new Map<string, { depth: number; at: number }[]>();
  for (const op of ops) {
    if (!isMotion(op) || op.op === 'probe') continue;
    if (Math.min(op.from[2], op.to[2]) >= -DEPTH_TOL_MM) continue;
    // The same move at another level does the same.
    const key = `${op.from[0]},${op.from[1]},${op.to[0]},${op.to[1]},${op.op === 'arc' ? op.center.join() : ''}`;
    let found = known.get(key);
    if (!found) {
      found = depthsAlong(op, offset, field, cutterRadiusMm, teeth, overMm);
      known.set(key, found);
    }
    for (const { depth, at } of found) {
      const before = worst.get(at);
      if (before && before.depthMm >= depth) continue;
      const toothDeg = (360 * (at + 0.5)) / teeth;
      worst.set(at, { toothDeg, depthMm: depth, line: op.line, zMm: op.to[2] });
    }
  }
  return [...worst.values()].sort((a, b) => b.depthMm - a.depthMm);
}

/** Greatest depth beside each tooth along one move. */
function depthsAlong(
  op: Motion,
  [dx, dy]: readonly [number, number],
  field: DistanceField,
  r: number,
  teeth: number,
  overMm: number,
): { depth: number; at: number }[] {
  const piece = pieceOf(op) ?? linePiece(op.from[0], op.from[1], op.to[0], op.to[1]);
  const count = Math.max(1, Math.ceil(pieceLengthMm(piece) / STEP_MM));
  const best = new Map<number, number>();
  for (let s = 0; s <= count; s++) {
    const [px, py] = pieceAt(piece, s / count);
    const [x, y] = [px + dx, py + dy];
    const depth = r - field(x, y);
    if (depth <= overMm) continue;
    const turn = (atan2(y, x) / TURN_RAD) * teeth;
    const tooth = ((Math.floor(turn) % teeth) + teeth) % teeth;
    best.set(tooth, Math.max(best.get(tooth) ?? 0, depth));
  }
  return [...best].map(([at, depth]) => ({ at, depth }));
}

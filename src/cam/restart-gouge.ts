/** What a machine that ran shifted has cut out of the part. */
import type { CanonicalOp } from '../post/types.js';
import type { DistanceField } from '../profile/distance-field.js';
import { arcPiece, linePiece, pieceAt, pieceLengthMm } from './stock-front.js';

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
    if (op.op !== 'feed' && op.op !== 'arc' && op.op !== 'rapid') continue;
    if (Math.max(op.from[2], op.to[2]) >= -1e-4 && Math.min(op.from[2], op.to[2]) >= -1e-4)
      continue;
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
      worst.set(at, {
        toothDeg: (360 * (at + 0.5)) / teeth,
        depthMm: depth,
        line: op.line,
        zMm: op.to[2],
      });
    }
  }
  return [...worst.values()].sort((a, b) => b.depthMm - a.depthMm);
}

type Moving = Extract<CanonicalOp, { op: 'rapid' | 'feed' | 'arc' }>;

/** Greatest depth beside each tooth along one move. */
function depthsAlong(
  op: Moving,
  [dx, dy]: readonly [number, number],
  field: DistanceField,
  r: number,
  teeth: number,
  overMm: number,
): { depth: number; at: number }[] {
  const { from, to } = op;
  const piece =
    op.op === 'arc' && op.plane === 'xy'
      ? arcPiece(from[0], from[1], to[0], to[1], op.center[0], op.center[1], op.ccw)
      : linePiece(from[0], from[1], to[0], to[1]);
  const count = Math.max(1, Math.ceil(pieceLengthMm(piece) / STEP_MM));
  const best = new Map<number, number>();
  for (let s = 0; s <= count; s++) {
    const [px, py] = pieceAt(piece, s / count);
    const [x, y] = [px + dx, py + dy];
    const depth = r - field(x, y);
    if (depth <= overMm) continue;
    const turn = (Math.atan2(y, x) / (2 * Math.PI)) * teeth;
    const tooth = ((Math.floor(turn) % teeth) + teeth) % teeth;
    best.set(tooth, Math.max(best.get(tooth) ?? 0, depth));
  }
  return [...best].map(([at, depth]) => ({ at, depth }));
}

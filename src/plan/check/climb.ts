/** Is the finished wall cut in climb, as its predicted size has it? A mirrored program is not. */
import { isMotion, pieceOf } from '../../cam/stock/replay/motion.js';
import { pieceAt, pieceLengthMm } from '../../cam/stock/path-piece.js';
import type { OpLoads, ReplaySetup } from '../../cam/stock/replay.js';
import { DEPTH_TOL_MM } from '../../maths/tolerance.js';
import type { CanonicalOp } from '../../model/op.js';
import type { CheckFindings } from './findings.js';

/** A cutter nearer than this to the finished wall cuts it. mm: what may be left on it, twice. */
const AT_WALL_MM = 0.02;
/** Shares of a move at which its wall is looked for. */
const SHARES = [0.1, 0.3, 0.5, 0.7, 0.9];
/** Step over which the direction away from the wall is taken. mm */
const STEP_MM = 1e-4;

/**
 * With the spindle turning clockwise the teeth run against the feed on the left of the way: a wall there
 * is cut conventionally, one on the right in climb. Common practice, no source.
 */
export function climbFindings(
  findings: CheckFindings,
  ops: readonly CanonicalOp[],
  loads: OpLoads,
  { field }: Pick<ReplaySetup, 'field'>,
  radiusMm: number,
): void {
  if (field === null) return;
  const mm = { left: 0, right: 0 };
  let line = 0;
  ops.forEach((op, i) => {
    if (!isMotion(op) || op.to[2] > -DEPTH_TOL_MM) return;
    const piece = loads.engagementRad[i]! > 0 ? pieceOf(op) : null;
    if (piece === null) return;
    const lengthMm = pieceLengthMm(piece) / SHARES.length;
    for (const share of SHARES) {
      const [x, y, tx, ty] = pieceAt(piece, share);
      if (Math.abs(field(x, y) - radiusMm) > AT_WALL_MM) continue;
      const awayX = field(x + STEP_MM, y) - field(x - STEP_MM, y);
      const awayY = field(x, y + STEP_MM) - field(x, y - STEP_MM);
      const isLeft = ty * awayX > tx * awayY;
      mm[isLeft ? 'left' : 'right'] += lengthMm;
      if (isLeft && line === 0) line = op.line;
    }
  });
  if (mm.left <= mm.right) return;
  const share = mm.left / (mm.left + mm.right);
  const text = `${(100 * share).toFixed(0)} % of the finished wall is cut conventionally, the wall on the left: the cutter is pulled into it and the size is another than reckoned; run round the other way, and look whether the program is mirrored`;
  findings.add(line, 'warning', 'finish-conventional', text, share, 0.5);
}

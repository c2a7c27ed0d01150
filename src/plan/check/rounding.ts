/** What a control rounds off where the program lets it leave the path (G64 with P). */
import { acos } from '../../maths/elementary.js';
import { isLevel, isMotion, pieceOf } from '../../cam/stock/replay/motion.js';
import { pieceAt } from '../../cam/stock/path-piece.js';
import { DEPTH_TOL_MM } from '../../maths/tolerance.js';
import { radFromDeg } from '../../maths/angle.js';
import type { CanonicalOp } from '../../model/op.js';
import type { CheckFindings } from './findings.js';

/** A corner that turns by less is none. rad */
const CORNER_RAD = radFromDeg(3);
/** Deviations up to this are those of a careful program. mm */
const SMALL_MM = 0.01;

/** @param toleranceMm  form error that the job allows */
export function roundingFindings(
  findings: CheckFindings,
  ops: readonly CanonicalOp[],
  toleranceMm: number,
): void {
  let allowedMm: number | null = null;
  let at = { line: 0, mm: 0, corners: 0, first: 0 };
  let heading: readonly [number, number] | null = null;
  for (const op of ops) {
    if (op.op === 'path-mode') {
      allowedMm = op.toleranceMm ?? null;
      if (allowedMm !== null && allowedMm > at.mm) at = { ...at, line: op.line, mm: allowedMm };
    }
    if (!isMotion(op)) continue;
    const piece = isLevel(op) && op.op !== 'rapid' ? pieceOf(op) : null;
    if (!piece || op.to[2] >= -DEPTH_TOL_MM) {
      heading = null;
      continue;
    }
    const [, , x0, y0] = pieceAt(piece, 0);
    const turns = heading ? acos(Math.min(1, heading[0] * x0 + heading[1] * y0)) : 0;
    if (allowedMm !== null && turns > CORNER_RAD) {
      at = { ...at, corners: at.corners + 1, first: at.first || op.line };
    }
    const [, , x1, y1] = pieceAt(piece, 1);
    heading = [x1, y1];
  }
  if (at.mm <= SMALL_MM) return;
  const over = at.mm > toleranceMm;
  const corners = `${at.corners} corners below the face${at.first > 0 ? `, the first in line ${at.first}` : ''}`;
  const text = `lets the control leave the path by up to ${at.mm} mm at ${corners}; ${over ? `the job allows ${toleranceMm} mm of form error, and ` : ''}the replay follows the path itself: write P${SMALL_MM} or less, or G61`;
  const severity = over && at.corners > 0 ? 'error' : 'warning';
  findings.add(at.line, severity, 'path-rounding', text, at.mm, toleranceMm);
}

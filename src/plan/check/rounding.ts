/** What a control rounds off where the program lets it leave the path (G64 with P). */
import { isMotion, pieceOf } from '../../cam/stock/replay/motion.js';
import { pieceAt } from '../../cam/stock/path-piece.js';
import { DEPTH_TOL_MM } from '../../maths/tolerance.js';
import { radFromDeg, signedTurnRad } from '../../maths/angle.js';
import type { Pt } from '../../model/edges.js';
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
  let allowed: { readonly line: number; readonly mm: number } | null = null;
  let at = { line: 0, mm: 0, corners: 0, first: 0 };
  const rely = (): void => {
    if (allowed !== null && allowed.mm > at.mm) at = { ...at, ...allowed };
  };
  let heading: Pt | null = null;
  for (const op of ops) {
    if (op.op === 'path-mode') {
      allowed = op.toleranceMm === undefined ? null : { line: op.line, mm: op.toleranceMm };
    }
    if (!isMotion(op)) continue;
    const isLow = op.to[2] < -DEPTH_TOL_MM;
    if (isLow) rely();
    const piece = isLow && op.op !== 'rapid' ? pieceOf(op) : null;
    if (!piece) {
      heading = null;
      continue;
    }
    const [, , x0, y0] = pieceAt(piece, 0);
    const turns = heading ? Math.abs(signedTurnRad(...heading, x0, y0)) : 0;
    if (allowed !== null && turns > CORNER_RAD) {
      at = { ...at, corners: at.corners + 1, first: at.first || op.line };
    }
    const [, , x1, y1] = pieceAt(piece, 1);
    heading = [x1, y1];
  }
  // What is in force at the end is so for the next program.
  rely();
  if (at.mm <= SMALL_MM) return;
  const over = at.mm > toleranceMm;
  const corners = `${at.corners} corners below the face${at.first > 0 ? `, the first in line ${at.first}` : ''}`;
  const text = `lets the control leave the path by up to ${at.mm} mm at ${corners}; ${over ? `the job allows ${toleranceMm} mm of form error, and ` : ''}the replay follows the path itself: write P${SMALL_MM} or less, or G61`;
  const severity = over && at.corners > 0 ? 'error' : 'warning';
  findings.add(at.line, severity, 'path-rounding', text, at.mm, toleranceMm);
}

/** What lies round the stock: holding, hub, what is under the blank, and how a run ends. */
import { BOLT_HEAD_MM } from '../../cam/ground.js';
import { nearOrigin } from '../../cam/stock/path-piece.js';
import { OVERRUN_MM } from '../../cam/process.js';
import { type Motion, isLevel, isMotion, pieceOf, slopeOf } from '../../cam/stock/replay/motion.js';
import { slopeShares } from '../../cam/stock/replay/motion.js';
import type { CanonicalOp } from '../../model/op.js';
import { WASHER_RADIUS_MM } from '../check-part.js';
import type { Job } from '../../model/job.js';
import type { CheckFindings } from './findings.js';
import type { CheckSetup } from '../start.js';

/** A cutter this far below the blank is in whatever lies under it. mm */
const BELOW_BLANK_MM = 1;
/** Depths are judged with this to spare: they are rounded to the output step. mm */
const SPARE_MM = 0.002;

/** Each kind once, at its first line. */
export function aroundFindings(
  findings: CheckFindings,
  ops: readonly CanonicalOp[],
  job: Job,
  setup: CheckSetup,
): void {
  const moves = ops.filter(isMotion);
  const last = moves[moves.length - 1];
  if (last && last.to[2] < 0) {
    const text = `the program ends with the cutter at Z ${last.to[2].toFixed(2)}, below the face; move Z up before the end`;
    findings.add(last.line, 'warning', 'ends-low', text, last.to[2], 0);
  }
  const { hub, blank, cutter } = job;
  /** Tells of the first move whose cutter is lower than a floor within a radius of the axis. */
  const keepOver = (
    floorMm: number,
    withinMm: number,
    severity: 'error' | 'warning',
    code: string,
    text: (zMm: number) => string,
  ): void => {
    const lowest = (op: Motion): number => lowestWithin(op, withinMm + cutter.diameterMm / 2);
    const hit = moves.find((op) => lowest(op) < floorMm);
    if (hit) findings.add(hit.line, severity, code, text(lowest(hit)), lowest(hit), floorMm);
  };
  if (blank.heldBy === 'through-bolt') {
    const stands = `where the bolt that holds the blank stands ${BOLT_HEAD_MM} mm high`;
    keepOver(
      BOLT_HEAD_MM,
      WASHER_RADIUS_MM,
      'error',
      'bolt',
      (z) => `passes over the middle at Z ${z.toFixed(2)}, ${stands}`,
    );
  }
  if (hub && setup.target === 'teeth') {
    const radiusMm = hub.diameterMm / 2;
    keepOver(
      -(setup.depthMm + OVERRUN_MM + SPARE_MM),
      radiusMm,
      'error',
      'hub',
      (z) =>
        `cuts the hub under the teeth: Z ${z.toFixed(2)} within ${radiusMm.toFixed(2)} mm of the axis`,
    );
  }
  const bottomMm = -Math.max(setup.blank.thicknessMm, setup.depthMm);
  keepOver(
    bottomMm - BELOW_BLANK_MM,
    setup.replay.blankRadiusMm,
    'warning',
    'below-blank',
    (z) => `goes ${(bottomMm - z).toFixed(2)} mm below the blank: is there room under it?`,
  );
}

/** Lowest height of a move within a radius of the axis; Infinity where it never is. mm */
function lowestWithin(op: Motion, radiusMm: number): number {
  if (isLevel(op)) {
    const piece = pieceOf(op);
    const inside = piece
      ? nearOrigin(piece, radiusMm).length > 0
      : Math.hypot(op.to[0], op.to[1]) <= radiusMm;
    return inside ? op.to[2] : Infinity;
  }
  const slope = slopeOf(op);
  let low = Infinity;
  for (const share of slopeShares(slope)) {
    const [x, y, z] = slope.at(share);
    if (Math.hypot(x, y) <= radiusMm) low = Math.min(low, z);
  }
  return low;
}

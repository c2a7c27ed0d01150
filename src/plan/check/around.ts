/** What lies round the stock: holding, hub, what is under the blank, and how a run ends. */
import { BOLT_HEAD_MM } from '../../cam/sequence.js';
import { nearOrigin } from '../../cam/stock/path-piece.js';
import { OVERRUN_MM } from '../../cam/process.js';
import { type Motion, isLevel, isMotion, pieceOf, slopeOf } from '../../cam/stock/replay/motion.js';
import { slopeShares } from '../../cam/stock/replay/motion.js';
import type { CanonicalOp } from '../../model/op.js';
import { WASHER_RADIUS_MM } from '../check-part.js';
import type { Job } from '../../model/job.js';
import type { CheckFindings } from './findings.js';
import type { CheckSetup } from './setup.js';

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
  checkEnd(findings, moves);
  const r = job.cutter.diameterMm / 2;
  const first = (test: (op: Motion) => boolean): Motion | undefined => moves.find(test);
  if (job.blank.heldBy === 'through-bolt') {
    const hit = first((op) => lowestWithin(op, WASHER_RADIUS_MM + r) < BOLT_HEAD_MM);
    if (hit) {
      findings.add(
        hit.line,
        'error',
        'bolt',
        `passes over the middle at Z ${lowestWithin(hit, WASHER_RADIUS_MM + r).toFixed(2)}, where the bolt that holds the blank stands ${BOLT_HEAD_MM} mm high`,
        lowestWithin(hit, WASHER_RADIUS_MM + r),
        BOLT_HEAD_MM,
      );
    }
  }
  const { hub } = job;
  if (hub && setup.target === 'teeth') {
    const floor = -(setup.depthMm + OVERRUN_MM + SPARE_MM);
    const hit = first((op) => lowestWithin(op, hub.diameterMm / 2 + r) < floor);
    if (hit) {
      const z = lowestWithin(hit, hub.diameterMm / 2 + r);
      findings.add(
        hit.line,
        'error',
        'hub',
        `cuts the hub under the teeth: Z ${z.toFixed(2)} within ${(hub.diameterMm / 2).toFixed(2)} mm of the axis`,
        z,
        floor,
      );
    }
  }
  const bottom = -(Math.max(setup.blank.thicknessMm, setup.depthMm) + BELOW_BLANK_MM);
  const under = first((op) => lowestWithin(op, setup.replay.blankRadiusMm + r) < bottom);
  if (under) {
    const z = lowestWithin(under, setup.replay.blankRadiusMm + r);
    findings.add(
      under.line,
      'warning',
      'below-blank',
      `goes ${(bottom + BELOW_BLANK_MM - z).toFixed(2)} mm below the blank: is there room under it?`,
      z,
      bottom,
    );
  }
}

function checkEnd(findings: CheckFindings, moves: readonly Motion[]): void {
  const last = moves[moves.length - 1];
  if (last && last.to[2] < 0) {
    findings.add(
      last.line,
      'warning',
      'ends-low',
      `the program ends with the cutter at Z ${last.to[2].toFixed(2)}, below the face; move Z up before the end`,
      last.to[2],
      0,
    );
  }
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

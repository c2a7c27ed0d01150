/** How a program spends its time, as far as feeds tell: corners and acceleration are left out. */
import { isLevel, isMotion, pieceOf, slopeOf } from '../../cam/stock/replay/motion.js';
import { pieceLengthMm } from '../../cam/stock/path-piece.js';
import type { OpLoads } from '../../cam/stock/replay.js';
import type { CanonicalOp } from '../../model/op.js';
import type { Machine } from '../../model/machine.js';
import type { CheckFindings } from './findings.js';

export type TimeShares = ReturnType<typeof timeShares>;

/** More time in air than this is worth a word. min */
const NOTABLE_AIR_MIN = 5;

/** Minutes at feed that meet material, and that meet none. */
export function timeShares(ops: readonly CanonicalOp[], loads: OpLoads) {
  let cutMin = 0;
  let airMin = 0;
  let rapidMm = 0;
  ops.forEach((op, i) => {
    if (!isMotion(op)) return;
    const piece = isLevel(op) ? pieceOf(op) : null;
    const length = isLevel(op) ? (piece ? pieceLengthMm(piece) : 0) : slopeOf(op).lengthMm;
    if (op.op === 'rapid') rapidMm += length;
    else if (op.feedMmPerMin > 0) {
      const minutes = length / op.feedMmPerMin;
      if (loads.engagementRad[i]! > 0) cutMin += minutes;
      else airMin += minutes;
    }
  });
  return { cutMin, airMin, rapidMm };
}

/** Feeds and speeds that the machine does not have, and time at feed in air. */
export function paceFindings(
  findings: CheckFindings,
  ops: readonly CanonicalOp[],
  machine: Machine,
  shares: TimeShares,
): void {
  const { minRpm, maxRpm } = machine.spindle;
  const fastest = machine.maxFeedMmPerMin;
  for (const op of ops) {
    if ((op.op !== 'feed' && op.op !== 'arc') || op.feedMmPerMin <= fastest) continue;
    const { line, feedMmPerMin: feed } = op;
    const text = `asks for ${feed.toFixed(0)} mm/min; ${machine.id} is trusted up to ${fastest} mm/min`;
    findings.add(line, 'warning', 'feed-above-machine', text, feed, fastest);
    break;
  }
  for (const op of ops) {
    if (op.op !== 'spindle' || !op.on || (op.rpm >= minRpm && op.rpm <= maxRpm)) continue;
    const text = `asks for ${op.rpm} rpm; the spindle of ${machine.id} turns ${minRpm} to ${maxRpm} rpm`;
    const limit = op.rpm < minRpm ? minRpm : maxRpm;
    findings.add(op.line, 'warning', 'speed-range', text, op.rpm, limit);
    break;
  }
  const { airMin, cutMin } = shares;
  if (airMin > NOTABLE_AIR_MIN && airMin > cutMin) {
    const text = `${airMin.toFixed(0)} min at feed are in air, ${cutMin.toFixed(0)} min cut`;
    findings.add(0, 'note', 'air-at-feed', text, airMin, cutMin);
  }
}

/** How a program spends its time on the machine. */
import { opSeconds } from '../../cam/demand.js';
import { type Motion, isLevel, isMotion, pieceOf, slopeOf } from '../../cam/stock/replay/motion.js';
import { S_PER_MIN } from '../../maths/motion.js';
import { pieceLengthMm } from '../../cam/stock/path-piece.js';
import type { OpLoads } from '../../cam/stock/replay.js';
import { type CanonicalOp, isFeedMove } from '../../model/op.js';
import type { Machine } from '../../model/machine.js';
import type { CheckFindings } from './findings.js';

export type TimeShares = ReturnType<typeof timeShares>;

/** More time in air than this is worth a word. min */
const NOTABLE_AIR_MIN = 5;

/** Minutes at feed that meet material, that meet none, and those of rapids, with the acceleration of
 *  the machine: the time that a plan states. */
export function timeShares(ops: readonly CanonicalOp[], loads: OpLoads, machine: Machine) {
  const seconds = opSeconds(ops, machine);
  let [cutMin, airMin, rapidMin] = [0, 0, 0];
  ops.forEach((op, i) => {
    if (!isMotion(op)) return;
    const minutes = seconds[i]! / S_PER_MIN;
    if (op.op === 'rapid') rapidMin += minutes;
    else if (op.feedMmPerMin > 0) {
      // An arc that stands upright is timed as its chord.
      const atFeed = Math.max(minutes, wayMm(op) / op.feedMmPerMin);
      if (loads.engagementRad[i]! > 0) cutMin += atFeed;
      else airMin += atFeed;
    }
  });
  return { cutMin, airMin, rapidMin };
}

function wayMm(op: Motion): number {
  if (!isLevel(op)) return slopeOf(op).lengthMm;
  const piece = pieceOf(op);
  return piece ? pieceLengthMm(piece) : 0;
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
    if (!isFeedMove(op) || op.feedMmPerMin <= fastest) continue;
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

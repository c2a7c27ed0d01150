import type { ReadResult } from '../rs274/reader.js';
import { planeAxes } from '../rs274/read/arcs.js';
import type { ArcOp, Controller, FeedOp } from '../../model/op.js';
import type { Findings } from './finding.js';

/** A slowing below this share of the feed time is worth no more than a note. */
const NOTABLE_SHARE = 0.01;

/** Share of feed moves that are over before the control can read the next line. */
export function checkBlockRate(findings: Findings, read: ReadResult, controller: Controller): void {
  let short = 0;
  let moves = 0;
  let extraS = 0;
  let first = 0;
  let totalS = 0;
  const leastS = 1 / controller.maxBlocksPerS;
  for (const op of read.ops) {
    if (op.op !== 'feed' && op.op !== 'arc') continue;
    const length = op.op === 'feed' ? lineLengthMm(op) : arcLengthMm(op);
    if (length === 0) continue;
    moves++;
    const seconds = (length / op.feedMmPerMin) * 60;
    totalS += seconds;
    if (seconds < leastS) {
      short++;
      extraS += leastS - seconds;
      if (first === 0) first = op.line;
    }
  }
  if (short === 0) return;
  const share = (100 * short) / moves;
  const percent = share < 1 ? share.toPrecision(1) : Math.round(share);
  findings.add(
    extraS >= 0.5 && extraS > NOTABLE_SHARE * totalS ? 'warning' : 'note',
    'block-rate',
    first,
    `${short} of ${moves} feed moves (${percent} %) are shorter than the ${Math.round(
      leastS * 1000,
    )} ms a line takes: the run slows down by about ${Math.ceil(extraS)} s, in jerks`,
    'use arcs, or fewer and longer lines',
  );
}

function lineLengthMm(op: FeedOp): number {
  return Math.hypot(op.to[0] - op.from[0], op.to[1] - op.from[1], op.to[2] - op.from[2]);
}

function arcLengthMm(op: ArcOp): number {
  const axes = planeAxes(op.plane);
  const [c0, c1] = op.plane === 'xz' ? [op.center[1], op.center[0]] : op.center;
  const u0 = op.from[axes.from]! - c0;
  const u1 = op.from[axes.to]! - c1;
  const v0 = op.to[axes.from]! - c0;
  const v1 = op.to[axes.to]! - c1;
  const angle = Math.atan2(u0 * v1 - u1 * v0, u0 * v0 + u1 * v1) * (op.ccw ? 1 : -1);
  const sweep = angle > 0 ? angle : angle + 2 * Math.PI;
  return Math.hypot(Math.hypot(u0, u1) * sweep, op.to[axes.normal]! - op.from[axes.normal]!);
}

import type { ReadResult } from '../reader.js';
import type { Controller } from '../types.js';
import type { Findings } from './finding.js';

/** Share of feed moves that are over before the control can read the next line. */
export function checkBlockRate(findings: Findings, read: ReadResult, controller: Controller): void {
  let short = 0;
  let moves = 0;
  let extraS = 0;
  let first = 0;
  const leastS = 1 / controller.maxBlocksPerS;
  for (const op of read.ops) {
    if (op.op !== 'feed') continue;
    const length = Math.hypot(op.to[0] - op.from[0], op.to[1] - op.from[1], op.to[2] - op.from[2]);
    if (length === 0) continue;
    moves++;
    const seconds = (length / op.feedMmPerMin) * 60;
    if (seconds < leastS) {
      short++;
      extraS += leastS - seconds;
      if (first === 0) first = op.line;
    }
  }
  if (short === 0) return;
  const percent = Math.round((100 * short) / moves);
  findings.add(
    percent >= 10 && extraS >= 0.5 ? 'warning' : 'note',
    'block-rate',
    first,
    `${short} of ${moves} straight moves (${percent} %) are shorter than the ${Math.round(
      leastS * 1000,
    )} ms a line takes: the run slows down by about ${Math.ceil(extraS)} s, in jerks`,
    'use arcs, or fewer and longer lines',
  );
}

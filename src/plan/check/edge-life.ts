/** What one edge cuts from a chance to change it to the next. */
import type { OpLoads } from '../../cam/stock/replay.js';
import { livesFor } from '../../machines/bear/edge.js';
import type { Job } from '../../model/job.js';
import type { CanonicalOp } from '../../model/op.js';
import { eachInCut } from '../odds.js';
import type { CheckFindings } from './findings.js';

/**
 * Where an edge has cut for longer than it lives, each line of its way within all limits: a worn one
 * pushes harder, then breaks. A stop or a tool change is a chance to put in another.
 */
export function edgeLifeFindings(
  findings: CheckFindings,
  ops: readonly CanonicalOp[],
  loads: OpLoads,
  job: Job,
): void {
  const most = Math.max(1, livesFor(job.riskShare));
  const chances = ops.filter((op) => op.op === 'change-tool' || (op.op === 'stop' && !op.optional));
  let edge = { lives: job.basis?.servedLives ?? 0, minutes: 0, line: 0 };
  let worst = edge;
  let next = 0;
  eachInCut(job, loads, ops, (op, inCutMin, used) => {
    for (; next < chances.length && chances[next]!.line < op.line; next++) {
      edge = { lives: 0, minutes: 0, line: 0 };
    }
    edge.lives += used;
    edge.minutes += inCutMin;
    if (edge.line === 0 && edge.lives > most) edge.line = op.line;
    if (edge.lives > worst.lives) worst = edge;
  });
  if (worst.line === 0) return;
  const text = `from here on the edge has served its life: until it may be changed it cuts for ${worst.minutes.toFixed(0)} min, ${worst.lives.toFixed(1)} lives; stop before, high and away, and put in a new one`;
  findings.add(worst.line, 'warning', 'edge-life', text, worst.lives, most);
}

import type { Belief } from '../../src/machines/learn/belief.js';
import type { AxisLoads } from '../../src/machines/learn/load-history.js';
import { axisWeights } from '../../src/machines/learn/posterior.js';
import {
  type RunSetting,
  type RunTables,
  runTables,
} from '../../src/machines/learn/run-evidence.js';

/** Probability that a program with these loads finishes, as far as cutting force decides it; other
 *  causes are not counted. */
export function finishProbability(belief: Belief, loads: AxisLoads, next: RunSetting): number {
  return finishes(belief, next, runTables(belief, { ...next, outcome: 'finished', held: loads }));
}

/** The same of a program whose tables are known. */
export function finishes(belief: Belief, next: RunSetting, { x, y }: RunTables): number {
  const weights = axisWeights(belief, 'x', next, y.held);
  return Math.min(
    1,
    weights.reduce((sum, w, i) => sum + w * x.held[i]!, 0),
  );
}

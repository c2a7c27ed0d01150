/** A kind of evidence: a run that finished, and so survived all of its load. */
import { type AxisLoads, NO_LOAD } from './load-history.js';
import { type EvidenceKind, axisRun, gridOf } from './posterior.js';

export interface Finished {
  readonly outcome: 'finished';
  readonly held: AxisLoads;
}

export const finished: EvidenceKind<Finished> = {
  likelihood({ held }, before, sigma) {
    const x = axisRun(held.x, NO_LOAD, gridOf(before, 'x'), sigma).held;
    const y = axisRun(held.y, NO_LOAD, gridOf(before, 'y'), sigma).held;
    return { byForce: (i, j) => x[i]! * y[j]!, otherwise: null };
  },
  words: () => ({}),
  loads: ({ held }) => ({ held }),
};

/** A kind of evidence: a run that lost steps somewhere in a stretch, after all that came before. */
import type { AxisName } from '../../model/machine.js';
import { type AxisLoads, tallySeconds } from './load-history.js';
import { type EvidenceKind, axisRun, gridOf, otherLoss } from './posterior.js';

export interface Lost {
  readonly outcome: 'lost';
  /** Load survived before the stretch. */
  readonly held: AxisLoads;
  /** Load of the stretch in which the loss happened. */
  readonly suspect: AxisLoads;
  /** Axis that lost steps, Z without a load from cutting; null: not known. */
  readonly axis: AxisName | null;
}

/** What the log keeps of a loss besides. */
export interface LossSeen {
  /** Where it was seen, in words. */
  readonly seen: string | null;
  /** Which way the machine ended up off, as seen on the part: '+' is towards +X or +Y. */
  readonly direction: '+' | '-' | null;
  readonly amountMm: number | null;
}

export const lost: EvidenceKind<Lost, Lost & LossSeen> = {
  likelihood({ held, suspect, axis }, before, sigma) {
    const x = axisRun(held.x, suspect.x, gridOf(before, 'x'), sigma);
    const y = axisRun(held.y, suspect.y, gridOf(before, 'y'), sigma);
    const byForce = (i: number, j: number): number => {
      if (axis === 'x') return x.lost[i]! * y.held[j]!;
      if (axis === 'y') return x.held[i]! * y.lost[j]!;
      if (axis === 'z') return 0;
      return x.lost[i]! * y.held[j]! + x.held[i]! * y.lost[j]!;
    };
    // Other causes strike any of three axes alike, at any time alike.
    const seconds = Math.max(tallySeconds(suspect.x), tallySeconds(suspect.y));
    const other = otherLoss(seconds) / (axis === null ? 1 : 3);
    return { byForce, otherwise: (i, j) => other * x.held[i]! * y.held[j]! };
  },
  words: ({ seen, axis, direction, amountMm }) => ({
    ...(seen !== null && { seen }),
    axis: axis ?? 'unknown',
    ...(direction !== null && { direction }),
    ...(amountMm !== null && { amount: `${Number(amountMm.toFixed(3))} mm` }),
  }),
  loads: ({ held, suspect }) => ({ held, suspect }),
};

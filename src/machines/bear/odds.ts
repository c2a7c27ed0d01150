/**
 * How likely a cut is to reach its end, from everything that can end it. Chatter is not among them:
 * it spoils edge and wall and is heard, and it ends a cut only where the force grows past cutter or
 * drive.
 */
import { exp, pow } from '../../maths/elementary.js';
import { BREAKING_SIGMA, cutterHolds } from './cutter.js';
import { LIFE_SIGMA, edgeHolds } from './edge.js';

/** Losses per hour of running that have nothing to do with cutting force. Common practice, no
 *  source. */
export const OTHER_LOSSES_PER_HOUR = 0.01;

/** What a cut asks of each. */
export interface Asked {
  /** Probability that neither axis loses steps. */
  readonly driveHolds: number;
  /** Peak of a tooth over what is planned with, the edge worn as at its end. */
  readonly cutterShare: number;
  /** Lives that each edge has served by its end, how many are used one after the other, and what the first
   *  has served before. */
  readonly livesAnEdge: number;
  readonly servedLives: number;
  readonly edges: number;
  readonly minutes: number;
}

/** Probabilities that nothing of its kind ends the cut. */
export interface Odds {
  readonly drive: number;
  readonly cutter: number;
  readonly edge: number;
  /** Chips that jam, a plug pulled, a clamp: hourly rate of what has nothing to do with force. */
  readonly other: number;
  readonly all: number;
}

export function oddsOf(asked: Asked): Odds {
  const drive = asked.driveHolds;
  const cutter = pow(cutterHolds(asked.cutterShare), asked.edges);
  // The first is known to have held so far.
  const edge = pow(edgeHolds(asked.livesAnEdge), asked.edges) / edgeHolds(asked.servedLives);
  const other = exp((-OTHER_LOSSES_PER_HOUR * asked.minutes) / 60);
  return { drive, cutter, edge, other, all: drive * cutter * edge * other };
}

/**
 * The odds with every figure that is not known a sigma worse, and a sigma better.
 * @param driveHoldsAt  the drive's odds with thrusts so many sigmas higher
 */
export function oddsBand(
  asked: Asked,
  driveHoldsAt: (sigmas: number) => number,
): readonly [low: number, high: number] {
  const at = (sigmas: number): number => {
    const lives = exp(-LIFE_SIGMA * sigmas);
    return oddsOf({
      ...asked,
      driveHolds: driveHoldsAt(sigmas),
      cutterShare: asked.cutterShare * exp(-BREAKING_SIGMA * sigmas),
      livesAnEdge: asked.livesAnEdge * lives,
      servedLives: asked.servedLives * lives,
    }).all;
  };
  return [at(-1), at(1)];
}

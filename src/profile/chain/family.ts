/**
 * Chains that one sprocket serves. Two rows are of one family when a wheel can be made that is a
 * good wheel for both:
 *
 *   pitch    the same;
 *   roller   the larger one goes into the seat cut for the smaller one: ISO 606 gives the least
 *            seat a radius of 0.505 d1, so d1 may differ by 1 %;
 *   width    the standard tooth widths differ by no more than their own tolerance, h14.
 *
 * An H chain differs from the plain one in its plates only, so it falls into the same family
 * (motorcyclechain.top, standard against H grade).
 */
import { CHAINS, type Chain, knownFigureMm } from './chains.js';
import { isoToothWidthMm, toleranceWidthMm } from '../standard/limits.js';

/** Pitches differ when their pitch circles do by more than the wheel's own tolerance: 0.05 %. */
const SAME_PITCH_REL = 5e-4;
/** ISO 606:2015 5.4.2, minimum tooth gap form: seat radius 0.505 d1. */
const SEAT_ROOM = 1.01;

function sameSprocket(a: Chain, b: Chain): boolean {
  const [pa, pb] = [knownFigureMm(a, 'pitchMm'), knownFigureMm(b, 'pitchMm')];
  if (Math.abs(pa - pb) > SAME_PITCH_REL * pa) return false;
  const rollers = [a, b].map((chain) => knownFigureMm(chain, 'rollerDiameterMm'));
  if (Math.max(...rollers) > SEAT_ROOM * Math.min(...rollers)) return false;
  const widths = [a, b].map((chain) => isoToothWidthMm(pa, knownFigureMm(chain, 'innerWidthMm')));
  const apart = Math.abs((widths[0] as number) - (widths[1] as number));
  return apart <= toleranceWidthMm(14, Math.max(...widths));
}

/** Rows of one sprocket, in the order of the table. */
export interface ChainFamily {
  /** As a person would call it: "428, 428H, 08B". */
  readonly name: string;
  readonly chains: readonly Chain[];
}

/**
 * The table cut into families in which every two rows take the same sprocket. A row joins the
 * first family whose every member it goes with.
 */
export function chainFamilies(chains: readonly Chain[] = CHAINS): readonly ChainFamily[] {
  const groups: Chain[][] = [];
  for (const chain of chains) {
    const home = groups.find((group) => group.every((other) => sameSprocket(chain, other)));
    if (home) home.push(chain);
    else groups.push([chain]);
  }
  return groups.map((group) => ({
    name: group.map((chain) => chain.designation).join(', '),
    chains: group,
  }));
}

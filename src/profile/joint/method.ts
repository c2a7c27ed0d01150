/**
 * How to make the bore: routed, drilled and reamed (or turned) round with a brazed insert where it
 * is not round, or broached. From what the router is predicted to leave.
 */

import type { Job } from '../../model/job.js';
import { mm } from '../../text/show.js';

/** How a router cuts the wall of a bore. */
export interface BorePrediction {
  /** The cutter goes in, engages within its limit and its shank clears the wall. */
  readonly reaches: boolean;
  /** Stick-out that the depth asks for. mm */
  readonly stickOutMm: number;
  /** Stock that the last pass leaves at the lower end, on the radius. mm */
  readonly errorMm: number;
  /** Difference of that between the lower and the upper end of the bore, on the radius. mm */
  readonly taperMm: number;
}

interface RoutedBore extends BorePrediction {
  /** How far the round corner fouls shaft or key. mm */
  readonly foulMm: number;
  readonly cornerRadiusMm: number | null;
}

export interface MethodInput extends Pick<Job['bore'], 'shape' | 'diameterMm' | 'madeBy'> {
  readonly depthMm: number;
  /** Width of the bore's tolerance field, on the diameter. mm */
  readonly toleranceMm: number;
  /** Whether the key has the standard's width, so that a broach can be had. */
  readonly standardKey: boolean;
  readonly routed: RoutedBore;
  /** Whether there is room for an insert. */
  readonly insertFits: boolean;
}

/** Longest hub that hand broaches of key widths to 8 mm are guided through, in bores. Common
 *  practice, no source. */
const BROACH_DEPTH_PER_BORE = 2.5;

const WORDS = {
  turned: 'bore it on the lathe in one clamping with the hub or spigot',
  routed: 'the router can cut it',
  reamed: 'drill and ream it round; use it as the datum for the teeth',
  broached: 'bore or ream it round and broach the keyway with a guide bush',
  'brazed-insert':
    'drill and ream it round, and silver-braze an insert with the shaft bore into it',
} as const;
type BoreMethod = keyof typeof WORDS;

export function boreMethod(input: MethodInput): {
  readonly method: BoreMethod;
  readonly text: string;
  readonly reasons: readonly string[];
} {
  const faults = routedFaults(input);
  const method = choose(input, faults.length === 0);
  return { method, text: WORDS[method], reasons: [...faults, ...others(input, method)] };
}

function choose(input: MethodInput, routable: boolean): BoreMethod {
  const { shape, madeBy } = input;
  if (shape === 'round') return madeBy === 'lathe' ? 'turned' : routable ? 'routed' : 'reamed';
  if (routable) return 'routed';
  if (shape === 'keyed' && canBroach(input)) return 'broached';
  return 'brazed-insert';
}

function canBroach({ standardKey, depthMm, diameterMm }: MethodInput): boolean {
  return standardKey && depthMm <= BROACH_DEPTH_PER_BORE * diameterMm;
}

/** What the router would get wrong. */
function routedFaults(input: MethodInput): string[] {
  const { routed, toleranceMm, depthMm } = input;
  if (!routed.reaches) {
    return [
      `routing: the cutter does not reach through ${depthMm.toFixed(1)} mm without its shank rubbing or burying itself`,
    ];
  }
  const faults: string[] = [];
  const across = 2 * routed.taperMm;
  if (across > toleranceMm) {
    faults.push(
      `routing: with ${routed.stickOutMm.toFixed(0)} mm of stick-out the bore would taper by ${mm(across)} on the diameter, more than the ${mm(toleranceMm)} of H8`,
    );
  }
  if (routed.foulMm > 0) {
    faults.push(
      Number.isFinite(routed.foulMm)
        ? `routing: the ${mm(routed.cornerRadiusMm ?? 0)} corner that the cutter leaves fouls shaft or key by ${mm(routed.foulMm)}`
        : 'routing: the cutter does not go into the corner at all',
    );
  }
  return faults;
}

function others(input: MethodInput, method: BoreMethod): string[] {
  const small = 2 * input.routed.errorMm;
  if (method === 'routed' && small > input.toleranceMm) {
    return [
      `the last pass leaves the bore about ${small.toFixed(3)} mm small, more than the ${input.toleranceMm.toFixed(3)} mm of H8: measure, and cut once more to size`,
    ];
  }
  if (method === 'brazed-insert' && !input.insertFits) {
    return [
      'there is no room for an insert inside the root circle: file the flat by hand, or take a smaller cutter',
    ];
  }
  if (method === 'brazed-insert' && input.shape === 'keyed') {
    return [
      input.standardKey
        ? 'the bore is too deep for a broach to be guided'
        : 'the key is not of the standard size, so no broach can be had',
    ];
  }
  return [];
}

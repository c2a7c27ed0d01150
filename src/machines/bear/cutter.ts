/**
 * What a cutter bears: the peak of a tooth bends it like a cantilever, and it breaks where the
 * bending stress passes what the tool material stands.
 *
 *   collet |=========|-----------|     two places are looked at: the run-out of the flutes, where
 *          shank     run-out   tip     the core is thin, and the collet, where the lever is longest
 *
 *   stress = 32 F L / (pi d^3), d = 0.8 D at the flutes and the shank's or neck's own at the collet
 *
 * Source: bending of a round bar; equivalent diameter of the fluted part 0.8 D after Kops and Vo.
 */
import { log, pow } from '../../maths/elementary.js';
import { normalCdf } from '../../maths/normal.js';
import { type Cutter, bodyDiameterMm } from '../../model/machine.js';
import { CORE_SHARE } from './wall-shift.js';

/** Transverse rupture strength. N/mm2. Groover, Fundamentals of Modern Manufacturing, ch. 23:
 *  carbide of high cobalt content 2400, high-speed steel 4100. */
const RUPTURE_N_PER_MM2 = { carbide: 2400, hss: 4100 } as const;

/** Share of it that is planned with, for fatigue, notches and runout: 0.25 to 0.3. From memory. */
const PLANNED_SHARE = 0.3;

/** Stress at which half of all cutters break in the cut, as a share of the rupture strength of the
 *  table: micro-grain rod of small mills stands 3500 to 4200 N/mm2, cyclic load and the notch of
 *  the flute take half of that. From memory. */
const BREAKING_SHARE = 0.73;

/** Spread of the breaking stress and of the peak force together, as a sigma of the logarithm. From
 *  memory. */
export const BREAKING_SIGMA = 0.27;

/** Greatest bending stress per newton of a force at mid depth of the cut. 1/mm2 */
export function bendingPerNewton(cutter: Cutter, axialDepthMm: number): number {
  const at = (heightMm: number, diameterMm: number): number =>
    (32 * Math.max(0, heightMm - axialDepthMm / 2)) / (Math.PI * pow(diameterMm, 3));
  return Math.max(
    at(Math.min(cutter.fluteLengthMm, cutter.stickOutMm), CORE_SHARE * cutter.diameterMm),
    at(cutter.stickOutMm, bodyDiameterMm(cutter)),
  );
}

/** Greatest peak of a tooth that is planned with at a depth. N */
export function cutterForceN(cutter: Cutter, axialDepthMm: number): number {
  return (
    (PLANNED_SHARE * RUPTURE_N_PER_MM2[cutter.material]) / bendingPerNewton(cutter, axialDepthMm)
  );
}

/** Probability that a cutter holds under a peak given as a share of {@link cutterForceN}. */
export function cutterHolds(shareOfLimit: number): number {
  if (!(shareOfLimit > 0)) return 1;
  return normalCdf(log(BREAKING_SHARE / PLANNED_SHARE / shareOfLimit) / BREAKING_SIGMA);
}

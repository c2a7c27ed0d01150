/**
 * Deflection of cutter, holder and machine in series under a force in the cutting plane.
 *
 *   collet face            tip
 *   |=========|-----------|      shank of its own diameter, then flutes as a round bar of
 *   0        L-Lf         L      0.8 D (Kops and Vo: equivalent diameter from gauges and FE)
 *
 * The collet face is fixed for the cutter's own bending; holder and machine add a shift that is
 * the same at every height. Tilt of the spindle is not modelled: the stiffness a profile states
 * is the one felt at the collet, and a long stick-out on a machine that tilts moves more.
 */
import type { Cutter, Machine } from '../../model/machine.js';

/** Young's modulus, N/mm2. Carbide 550-650 GPa, high-speed steel 200-210 GPa; from memory. */
const YOUNG_N_PER_MM2 = { carbide: 600e3, hss: 210e3 } as const;
/** Diameter of the round bar that bends as the fluted part does, over D (Kops and Vo). */
const CORE_SHARE = 0.8;

function secondMomentMm4(diameterMm: number): number {
  return (Math.PI * diameterMm ** 4) / 64;
}

/** Integral of (a - x)(b - x) from `lo` to `hi`. */
function momentProduct(a: number, b: number, lo: number, hi: number): number {
  const at = (x: number): number => a * b * x - ((a + b) * x * x) / 2 + (x * x * x) / 3;
  return hi > lo ? at(hi) - at(lo) : 0;
}

/**
 * Bending of the cutter at one height per newton at another, collet fixed. Symmetric in the two.
 * @param heightAboveTipMm  where the deflection is asked, mm above the tip
 * @param loadHeightMm      where the force acts, mm above the tip
 * @returns mm/N; 0 at and above the collet face
 * Derivation: unit-load method, integral of M m / (E I) with I stepping at the end of the flutes;
 * at the tip this is F/(3E) (Lf^3/If + (L^3 - Lf^3)/Is).
 */
export function cutterComplianceMmPerN(
  cutter: Cutter,
  heightAboveTipMm: number,
  loadHeightMm: number,
): number {
  const length = cutter.stickOutMm;
  const a = length - Math.max(0, heightAboveTipMm);
  const b = length - Math.max(0, loadHeightMm);
  const reach = Math.min(a, b);
  if (!(reach > 0)) return 0;
  const step = Math.max(0, length - cutter.fluteLengthMm);
  const young = YOUNG_N_PER_MM2[cutter.material];
  return (
    momentProduct(a, b, 0, Math.min(step, reach)) /
      (young * secondMomentMm4(cutter.shankDiameterMm)) +
    momentProduct(a, b, step, reach) / (young * secondMomentMm4(CORE_SHARE * cutter.diameterMm))
  );
}

/** Direction in which a compliance is asked: an axis, the softer one, or an angle from +X. */
export type ComplianceDirection = 'x' | 'y' | 'worst' | { readonly directionRad: number };

/** Machine and holder in series, without the cutter. mm/N */
export function mountComplianceMmPerN(machine: Machine, direction: ComplianceDirection): number {
  const x = 1 / machine.stiffnessNPerMm.x;
  const y = 1 / machine.stiffnessNPerMm.y;
  let frame: number;
  if (direction === 'x') frame = x;
  else if (direction === 'y') frame = y;
  else if (direction === 'worst') frame = Math.max(x, y);
  else {
    const c = Math.cos(direction.directionRad);
    const s = Math.sin(direction.directionRad);
    frame = c * c * x + s * s * y;
  }
  return frame + 1 / machine.holderStiffnessNPerMm;
}

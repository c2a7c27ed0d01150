/**
 * Workholding: what a clamp, a bolt or a spigot must hold against the cut.
 * Friction only: nothing here counts on a stop that happens to be in the way.
 */
import type { Material } from '../../model/machine.js';

/** Safety factor for interrupted milling on the cutting force. VDI 3106 asks 1.5 on the machining
 *  force and 1.5 on the clamping force, 2.25 together (Schunk, Rota NCR manual, p. 23). */
export const HOLDING_SAFETY = 2.5;

/** Nut factor of a dry bolt, F = T / (K d) (Carr Lane, Clamping force calculations). */
const DRY_NUT_FACTOR = 0.2;

export interface Friction {
  readonly mu: number;
  readonly source: string;
}

/** Friction of a blank on a steel fixture, oiled: what to plan with. */
export function frictionOnSteel(group: Material['group']): Friction {
  const carr = 'Carr Lane, Clamping force calculations';
  switch (group) {
    case 'steel':
      return { mu: 0.12, source: `${carr}: steel on steel, oiled` };
    case 'stainless':
      return { mu: 0.12, source: `${carr}: steel on steel, oiled` };
    case 'iron':
      return { mu: 0.1, source: `${carr}: steel on cast iron, oiled` };
    case 'aluminium':
      return { mu: 0.12, source: 'from memory: aluminium on steel, planning figure' };
    case 'copper':
      return { mu: 0.1, source: 'from memory: brass and bronze on steel, oiled' };
    case 'plastic':
      return { mu: 0.1, source: 'from memory: engineering plastics slide on steel' };
  }
}

/**
 * Clamp force against sliding, S F / (mu faces), plus the axial pull of the helix, which takes
 * from the clamp before friction does.
 * @param faces  1, or 2 where clamp and rest both grip
 * @returns N
 */
export function clampForceN(
  cutForceN: number,
  mu: number,
  faces: 1 | 2,
  safety: number,
  axialPullN = 0,
): number {
  return (safety * cutForceN) / (mu * faces) + axialPullN;
}

/** Mean friction radius of a ring under even pressure, 2/3 (Ro^3 - Ri^3) / (Ro^2 - Ri^2). mm */
export function ringMeanRadiusMm(innerRadiusMm: number, outerRadiusMm: number): number {
  const a = innerRadiusMm;
  const b = outerRadiusMm;
  // The common factor Ro - Ri is divided out, so a thin ring is safe.
  return (2 * (a * a + a * b + b * b)) / (3 * (a + b));
}

/**
 * Axial force on a spigot or through-bolt that keeps the blank from turning under a cut at
 * radius `cutRadiusMm`: mu F r_mean faces >= S F_cut r_cut. N
 */
export function axialForceAgainstTurningN(
  cutForceN: number,
  cutRadiusMm: number,
  mu: number,
  meanRadiusMm: number,
  faces: 1 | 2,
  safety: number,
): number {
  return (safety * cutForceN * cutRadiusMm) / (mu * meanRadiusMm * faces);
}

/** Total jaw force of a chuck, S F (r_cut / r_grip) / mu_sp. N */
export function chuckForceN(
  cutForceN: number,
  cutRadiusMm: number,
  gripRadiusMm: number,
  muJaw: number,
  safety: number,
): number {
  return (safety * cutForceN * (cutRadiusMm / gripRadiusMm)) / muJaw;
}

/** Torque for a preload of a dry bolt, T = K d F. N m */
export function boltTorqueNm(preloadN: number, diameterMm: number): number {
  return (DRY_NUT_FACTOR * diameterMm * preloadN) / 1000;
}

/** Tensile stress area of a metric thread, pi/4 (d - 0.9382 P)^2 (ISO 898-1). mm2 */
export function stressAreaMm2(diameterMm: number, pitchMm: number): number {
  return (Math.PI / 4) * (diameterMm - 0.9382 * pitchMm) ** 2;
}

/** Coarse pitches of metric bolts (ISO 261). mm */
const COARSE_PITCH_MM: Readonly<Record<number, number>> = {
  4: 0.7,
  5: 0.8,
  6: 1,
  8: 1.25,
  10: 1.5,
  12: 1.75,
  16: 2,
};

/** Yield of a class 8.8 bolt, N/mm2 (ISO 898-1: 640 up to M16). */
const YIELD_8_8 = 640;
/** Share of the yield that hand tightening without a calibrated wrench should stay under; common
 *  practice, no source. */
const YIELD_SHARE = 0.5;

export interface BoltChoice {
  readonly diameterMm: number;
  readonly preloadN: number;
  /** Tightening torque, dry thread. N m */
  readonly torqueNm: number;
  /** Preload over yield of a class 8.8 bolt. */
  readonly yieldShare: number;
}

/**
 * Smallest coarse metric bolt of class 8.8 that gives a preload at half of its yield or less.
 * @returns null when none up to M16 does
 */
export function boltForPreload(preloadN: number): BoltChoice | null {
  for (const [size, pitchMm] of Object.entries(COARSE_PITCH_MM)) {
    const diameterMm = Number(size);
    const yieldShare = preloadN / (YIELD_8_8 * stressAreaMm2(diameterMm, pitchMm));
    if (yieldShare <= YIELD_SHARE) {
      return { diameterMm, preloadN, torqueNm: boltTorqueNm(preloadN, diameterMm), yieldShare };
    }
  }
  return null;
}

export interface HoldingInput {
  /** Peak force in the cutting plane. N */
  readonly cutForceN: number;
  /** Pull of the helix along the spindle. N */
  readonly axialPullN: number;
  /** Greatest radius at which the cut pushes. mm */
  readonly cutRadiusMm: number;
  /** Ring on which the clamping bears. mm */
  readonly ringInnerRadiusMm: number;
  readonly ringOuterRadiusMm: number;
  readonly friction: Friction;
  readonly faces: 1 | 2;
  /** true where a spigot or bolt in the bore takes the sideways force; friction then only has to
   *  stop the blank from turning. */
  readonly located: boolean;
  readonly safety: number;
}

export interface HoldingNeed {
  /** Axial clamping force needed. N */
  readonly axialForceN: number;
  /** Torque that the cut puts on the blank, without the safety factor. N m */
  readonly cutTorqueNm: number;
  readonly meanRadiusMm: number;
  /** Bolt that gives the force; null when no bolt up to M16 does. */
  readonly bolt: BoltChoice | null;
}

/**
 * Axial force that a blank needs. The cut's torque and, where nothing locates the blank, its
 * sideways force are added as if they peaked together at the same place of the ring.
 */
export function holdingNeed(input: HoldingInput): HoldingNeed {
  const { cutForceN, cutRadiusMm, friction, faces, safety } = input;
  const meanRadiusMm = ringMeanRadiusMm(input.ringInnerRadiusMm, input.ringOuterRadiusMm);
  const turning = axialForceAgainstTurningN(
    cutForceN,
    cutRadiusMm,
    friction.mu,
    meanRadiusMm,
    faces,
    safety,
  );
  const sliding = input.located ? 0 : clampForceN(cutForceN, friction.mu, faces, safety);
  const axialForceN = turning + sliding + safety * input.axialPullN;
  return {
    axialForceN,
    cutTorqueNm: (cutForceN * cutRadiusMm) / 1000,
    meanRadiusMm,
    bolt: boltForPreload(axialForceN),
  };
}

/**
 * Whether double-sided tape or glue may hold the blank: light cuts in plastic and aluminium only.
 * Static design load of foam tape is about 1.7 kPa (3M), and heat, oil and the pull of the helix
 * peel it; in steel, stainless, iron and brass the cut throws the part.
 */
export function tapeMayHold(group: Material['group']): boolean {
  return group === 'plastic' || group === 'aluminium';
}

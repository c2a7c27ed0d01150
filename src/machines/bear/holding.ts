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

const CARR_LANE = 'Carr Lane, Clamping force calculations';
const FRICTION: Readonly<Record<Material['group'], Friction>> = {
  steel: { mu: 0.12, source: `${CARR_LANE}: steel on steel, oiled` },
  stainless: { mu: 0.12, source: `${CARR_LANE}: steel on steel, oiled` },
  iron: { mu: 0.1, source: `${CARR_LANE}: steel on cast iron, oiled` },
  aluminium: { mu: 0.12, source: 'from memory: aluminium on steel, planning figure' },
  copper: { mu: 0.1, source: 'from memory: brass and bronze on steel, oiled' },
  plastic: { mu: 0.1, source: 'from memory: engineering plastics slide on steel' },
};

/** Friction of a blank on a steel fixture, oiled: what to plan with. */
export function frictionOnSteel(group: Material['group']): Friction {
  return FRICTION[group];
}

/** Mean friction radius of a ring under even pressure, 2/3 (Ro^3 - Ri^3) / (Ro^2 - Ri^2). mm */
function ringMeanRadiusMm(innerRadiusMm: number, outerRadiusMm: number): number {
  const a = innerRadiusMm;
  const b = outerRadiusMm;
  // The common factor Ro - Ri is divided out, so a thin ring is safe.
  return (2 * (a * a + a * b + b * b)) / (3 * (a + b));
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

/** Tensile stress area of a metric thread, pi/4 (d - 0.9382 P)^2 (ISO 898-1). mm2 */
function stressAreaMm2(diameterMm: number, pitchMm: number): number {
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
  /** Tightening torque for the preload, dry thread, T = K d F. N m */
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
      const torqueNm = (DRY_NUT_FACTOR * diameterMm * preloadN) / 1000;
      return { diameterMm, preloadN, torqueNm, yieldShare };
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
  /** true where a spigot or bolt in the bore takes the sideways force; friction then only has to
   *  stop the blank from turning. */
  readonly located: boolean;
  readonly safety: number;
}

/**
 * Axial clamping force that a blank needs on one face. Against turning it is S F_cut r_cut / (mu
 * r_mean); where nothing locates the blank, S F_cut / mu against sliding is added as if both peaked
 * together at the same place of the ring; the pull of the helix takes from the clamp before friction
 * does (statics; Carr Lane, Clamping force calculations). N
 */
export function clampingNeedN(input: HoldingInput): number {
  const { cutForceN, safety, axialPullN } = input;
  const { mu } = input.friction;
  const meanRadiusMm = ringMeanRadiusMm(input.ringInnerRadiusMm, input.ringOuterRadiusMm);
  const turning = (safety * cutForceN * input.cutRadiusMm) / (mu * meanRadiusMm);
  const sliding = input.located ? 0 : (safety * cutForceN) / mu;
  return turning + sliding + safety * axialPullN;
}

/** So much more clamping is asked for where it holds a jammed cutter, too: less than the scatter of a
 *  screw tightened by feel. Common practice, no source. */
const JAM_EXTRA = 0.25;

/**
 * Clamping to ask for: what the cut needs, or what a jam takes where that is little more. N
 * @param needN  clamping that the cut needs, its safety factor included
 * @param jamN   clamping that a jammed cutter takes, without a factor
 */
export function clampingAskedN(needN: number, jamN: number): number {
  return jamN <= (1 + JAM_EXTRA) * needN ? Math.max(needN, jamN) : needN;
}

/**
 * Whether double-sided tape or glue may hold the blank: light cuts in plastic and aluminium only.
 * Static design load of foam tape is about 1.7 kPa (3M), and heat, oil and the pull of the helix
 * peel it; in steel, stainless, iron and brass the cut throws the part.
 */
export function tapeMayHold(group: Material['group']): boolean {
  return group === 'plastic' || group === 'aluminium';
}

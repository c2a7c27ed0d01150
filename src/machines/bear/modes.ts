/**
 * What rings when a light machine cuts: frame, spindle in its mount, cutter in its holder. Each is one
 * mass on one spring, the three in series at the tip, so that their compliances add.
 *
 *   frame   stiffness and moving mass of the axis, or its frequency where it was tapped
 *   mount   spindle, mount and Z plate: the figures of the profile
 *   cutter  stepped beam on the spring of collet and nut (below)
 *
 * Only stiffness, frequency and damping of the frame and of the mount differ by direction.
 */
import { TURN_RAD } from '../../maths/angle.js';
import { bisect } from '../../maths/solve.js';
import {
  type AxisName,
  type Machine,
  type RingingCutter,
  isMeasured,
  bodyDiameterMm,
} from '../../model/machine.js';
import type { Spread } from './spread.js';
import { CORE_SHARE, cutterComplianceMmPerN, naturalFrequencyHz } from './wall-shift.js';

/** One mass on one spring. */
export interface Mode {
  readonly stiffnessNPerMm: Spread;
  readonly frequencyHz: Spread;
  /** Share of critical damping. */
  readonly damping: Spread;
}

/** Modes felt at the tip of the cutter, by direction. */
export interface TipModes {
  readonly x: readonly Mode[];
  readonly y: readonly Mode[];
  /** Alike in both directions. */
  readonly cutter: Mode;
}

/**
 * How far figures are off, as a factor two values in three lie within: those of a table, and measured
 * ones. Mounts of 120 to 900 Hz and 0.015 to 0.05 and a stiffness within 1.5 are what our simulation
 * of light machines samples; the rest is from memory.
 */
const GUESSED = { stiffness: 1.5, hz: 1.7, damping: 1.4 } as const;
const MEASURED = { stiffness: 1.1, hz: 1.03, damping: 1.2 } as const;
/** Stiffness and mass of a frame are each known to some 1.35, so its frequency to 1.25. */
const FRAME_FROM_STIFFNESS_HZ = 1.25;
/** The cutter's dimensions are known; holder and clamping are not. From memory. */
const CUTTER = { stiffness: 1.25, hz: 1.25 } as const;

/** Density, kg/mm3. Carbide 14.4, high-speed steel 8.1 g/cm3; from memory. */
const DENSITY_KG_PER_MM3 = { carbide: 14.4e-6, hss: 8.1e-6 } as const;

/** Modes of a machine with a cutter, at the tip. */
export function tipModes(machine: Machine, cutter: RingingCutter): TipModes {
  const axis = (name: AxisName): readonly Mode[] => [frame(machine, name), mount(machine, name)];
  const { cutterDamping, holderMassKg } = machine.modes;
  const stiffness = 1 / (1 / machine.holderStiffnessNPerMm + cutterComplianceMmPerN(cutter, 0, 0));
  const hz = cutterInHolderHz(cutter, machine.holderStiffnessNPerMm, holderMassKg);
  const tapped = isMeasured(machine, 'modes.holderMassKg');
  return {
    x: axis('x'),
    y: axis('y'),
    cutter: {
      stiffnessNPerMm: { median: stiffness, factor: CUTTER.stiffness },
      frequencyHz: { median: hz, factor: tapped ? MEASURED.hz : CUTTER.hz },
      damping: known(machine, 'modes.cutterDamping', cutterDamping, 'damping'),
    },
  };
}

function known(machine: Machine, path: string, median: number, kind: keyof typeof GUESSED): Spread {
  return { median, factor: (isMeasured(machine, path) ? MEASURED : GUESSED)[kind] };
}

function mount(machine: Machine, axis: AxisName): Mode {
  const { mountStiffnessNPerMm, mountHz, mountDamping } = machine.modes;
  const of = (key: 'mountStiffnessNPerMm' | 'mountHz' | 'mountDamping') => `modes.${key}.${axis}`;
  return {
    stiffnessNPerMm: known(
      machine,
      of('mountStiffnessNPerMm'),
      mountStiffnessNPerMm[axis],
      'stiffness',
    ),
    frequencyHz: known(machine, of('mountHz'), mountHz[axis], 'hz'),
    damping: known(machine, of('mountDamping'), mountDamping[axis], 'damping'),
  };
}

function frame(machine: Machine, axis: AxisName): Mode {
  const stiffness = machine.stiffnessNPerMm[axis];
  const tapped = machine.modes.frameHz[axis];
  const fromMass = naturalFrequencyHz(stiffness, machine.movingMassKg[axis]);
  return {
    stiffnessNPerMm: known(machine, `stiffnessNPerMm.${axis}`, stiffness, 'stiffness'),
    frequencyHz:
      tapped === null
        ? { median: fromMass, factor: FRAME_FROM_STIFFNESS_HZ }
        : known(machine, `modes.frameHz.${axis}`, tapped, 'hz'),
    damping: known(
      machine,
      `modes.frameDamping.${axis}`,
      machine.modes.frameDamping[axis],
      'damping',
    ),
  };
}

/** Pieces that the stick-out is cut into: its first frequency is then within 0.2 %. */
const PIECES = 40;
const ROUNDS = 8;

/**
 * First natural frequency of a cutter in its collet: the stick-out as a stepped beam (shank, then
 * flutes as a round bar of 0.8 D), clamped at the collet face, which itself rides on the spring of
 * collet and nut and carries a mass. Lumped masses on the flexibility matrix of the beam; the first
 * mode by repeated multiplication (Stodola's method, any text on mechanical vibration).
 * @param holderStiffnessNPerMm  Infinity for a rigid collet
 * @param holderMassKg           mass at the collet face
 * @returns Hz
 */
export function cutterInHolderHz(
  cutter: RingingCutter,
  holderStiffnessNPerMm: number,
  holderMassKg: number,
): number {
  const pieceMm = cutter.stickOutMm / PIECES;
  const heights = Array.from({ length: PIECES }, (_, i) => (i + 0.5) * pieceMm);
  const masses = heights.map((above) => {
    const d =
      above < cutter.fluteLengthMm ? CORE_SHARE * cutter.diameterMm : bodyDiameterMm(cutter);
    return ((Math.PI * d * d) / 4) * pieceMm * DENSITY_KG_PER_MM3[cutter.material];
  });
  const holder = 1 / holderStiffnessNPerMm;
  const give = heights.map((a) =>
    heights.map((b) => holder + cutterComplianceMmPerN(cutter, a, b)),
  );
  let shape = new Float64Array(PIECES).fill(1);
  let face = 1;
  let perOmega2 = 0;
  for (let round = 0; round < ROUNDS; round++) {
    const inertia = shape.map((y, i) => y * masses[i]!);
    const faceInertia = face * holderMassKg;
    const next = shape.map((_, i) =>
      inertia.reduce((sum, m, j) => sum + m * give[i]![j]!, faceInertia * holder),
    );
    face = holder * (inertia.reduce((sum, m) => sum + m, 0) + faceInertia);
    perOmega2 = next[0]! / shape[0]!;
    shape = next.map((y) => y / perOmega2);
    face /= perOmega2;
  }
  // kg mm/N is 1e-3 s^2.
  return 1 / (TURN_RAD * Math.sqrt(perOmega2 * 1e-3));
}

/** More mass than any collet has. kg */
const MOST_HOLDER_KG = 5;

/**
 * Mass at the collet face with which a cutter rings at a frequency: the inverse of
 * {@link cutterInHolderHz}.
 * @returns kg; null where the cutter is slower than any mass makes it, or quicker than without one
 */
export function holderMassFor(
  cutter: RingingCutter,
  holderStiffnessNPerMm: number,
  hz: number,
): number | null {
  const quicker = (kg: number) => cutterInHolderHz(cutter, holderStiffnessNPerMm, kg) >= hz;
  if (!quicker(0) || quicker(MOST_HOLDER_KG)) return null;
  return bisect(quicker, 0, MOST_HOLDER_KG, 40)[0];
}

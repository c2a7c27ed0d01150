/** A machine with the figures that a tap has shown. */
import { rounded } from '../../maths/elementary.js';
import { holderMassFor } from '../bear/modes.js';
import type { Cutter, Machine } from '../../model/machine.js';
import type { Band, TapReading } from './tap.js';

/** What can be tapped. */
export const TAPPED = ['cutter', 'mount', 'gantry'] as const;
export type Tapped = (typeof TAPPED)[number];

/** Where each rings on light machines, with room on either side; from memory. */
export const TAP_BANDS: Readonly<Record<Tapped, Band>> = {
  cutter: { lowHz: 1000, highHz: 20_000 },
  mount: { lowHz: 60, highHz: 1500 },
  gantry: { lowHz: 8, highHz: 200 },
};

/** Of a tap: what was hit, which way, with which cutter in the collet, and the day. */
export interface TapNote {
  readonly where: Tapped;
  /** Axis along which it was hit; null for a cutter. */
  readonly axis: 'x' | 'y' | null;
  readonly cutter: Cutter | null;
  readonly date: string;
}

/**
 * The machine with frequency and damping as tapped. A cutter's frequency becomes the mass that rings
 * with the collet, so that it holds for other cutters, too.
 * @throws RangeError "rule; fix" where no such mass explains the frequency, or axis or cutter lack
 */
export function tappedMachine(machine: Machine, reading: TapReading, note: TapNote): Machine {
  const { hz, hzSd, damping, dampingSd, rang } = reading;
  const source = (value: number, sd: number, digits: number) =>
    `measured ${note.date} from ${rang.length} taps on the ${note.where}: +- ${sd.toFixed(digits)} of ${value.toFixed(digits)} (one sigma)`;
  const provenance: Record<string, string> = { ...machine.provenance };
  const figure = (path: string, value: number, sd: number, digits: number): number => {
    provenance[`modes.${path}`] = source(value, sd, digits);
    return rounded(value, digits);
  };
  const { modes } = machine;
  if (note.where === 'cutter') {
    if (note.cutter === null) throw new RangeError('says nothing without the cutter; name it');
    const mass = holderMassFor(note.cutter, machine.holderStiffnessNPerMm, hz);
    if (mass === null) {
      throw new RangeError(
        `rings at ${hz.toFixed(0)} Hz, which this cutter cannot in a collet of ${machine.holderStiffnessNPerMm} N/mm; check --cutter and --stick-out, or the stiffness of the holder`,
      );
    }
    const cutterDamping = figure('cutterDamping', damping, dampingSd, 4);
    // Mass falls with the square of the frequency.
    const holderMassKg = figure('holderMassKg', mass, (2 * mass * hzSd) / hz, 5);
    return { ...machine, modes: { ...modes, cutterDamping, holderMassKg }, provenance };
  }
  const { axis } = note;
  if (axis === null) throw new RangeError('says nothing without a direction; give it');
  const [hzKey, dampingKey] =
    note.where === 'mount'
      ? (['mountHz', 'mountDamping'] as const)
      : (['frameHz', 'frameDamping'] as const);
  const tapped = {
    [hzKey]: { ...modes[hzKey], [axis]: figure(`${hzKey}.${axis}`, hz, hzSd, 1) },
    [dampingKey]: {
      ...modes[dampingKey],
      [axis]: figure(`${dampingKey}.${axis}`, damping, dampingSd, 4),
    },
  };
  return { ...machine, modes: { ...modes, ...tapped }, provenance };
}

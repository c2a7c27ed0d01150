/** A machine as the evidence has it. */
import { type LoadedAxis, type Posterior, limitBand } from './posterior.js';
import { motionForceN, thrustAtN, thrustFrom } from '../bear/thrust.js';
import type { Machine } from '../../model/machine.js';

/** A smaller share is no share of a machine file. */
const LEAST_SHARE = 0.05;

/** What a new machine file says about where its figures come from. */
export interface RetuneNote {
  readonly id: string;
  /** "2026-05-03" */
  readonly date: string;
  readonly runs: number;
  readonly riskPerProgram: number;
  readonly jobTitle: string;
}

/**
 * The machine with the thrust that is believed (the medians), and the share of it that brings the
 * cutting force down to what the chosen risk allows.
 * @param forceN  cutting force an axis may be given
 * @returns       null where no share can do that: what is left after moving the axes is too little
 */
export function retunedMachine(
  machine: Machine,
  posterior: Posterior,
  forceN: number,
  note: RetuneNote,
): Machine | null {
  const provenance: Record<string, string> = { ...machine.provenance };
  const curve = (axis: LoadedAxis) => {
    const { p5, p50, p95 } = limitBand(posterior, axis);
    provenance[`thrustN.${axis}`] =
      `inferred ${note.date} from ${note.runs} logged runs: median, 5 to 95 % ${p5.toFixed(0)} to ${p95.toFixed(0)} N at standstill`;
    return thrustFrom(machine, axis, p50);
  };
  const thrustN = { x: curve('x'), y: curve('y'), z: machine.thrustN.z };
  const stronger: Machine = { ...machine, thrustN };
  const left = (axis: LoadedAxis): number =>
    thrustAtN(stronger, axis, machine.maxFeedMmPerMin) - motionForceN(stronger, axis);
  const least = Math.min(left('x'), left('y'));
  const share = Math.floor((forceN / least) * 1e4) / 1e4;
  if (!(least > 0) || share < LEAST_SHARE) return null;
  provenance['limits.thrustShare'] =
    `inferred ${note.date}: ${(100 * note.riskPerProgram).toFixed(1)} % risk of lost steps by cutting force in one program of "${note.jobTitle}"`;
  return {
    ...stronger,
    id: note.id,
    limits: { ...machine.limits, thrustShare: Math.min(1, share) },
    provenance,
  };
}

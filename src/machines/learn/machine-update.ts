/** A machine as the evidence has it. */
import { pow } from '../../maths/elementary.js';
import type { Belief } from './belief.js';
import { limitBand } from './posterior.js';
import type { LoadedAxis } from './run-evidence.js';
import { thrustFrom } from '../bear/thrust.js';
import { normalQuantile } from '../../maths/normal.js';
import type { Machine } from '../../model/machine.js';

/** What a new machine file says about where its figures come from. */
export interface RetuneNote {
  readonly id: string;
  /** "2026-05-03" */
  readonly date: string;
  readonly runs: number;
}

/**
 * The machine with the thrust that is believed: medians, and the factor within which two in three lie
 * (half the way from 5 to 95 %, as a normal distribution of the logarithm has it).
 */
export function retunedMachine(
  machine: Machine,
  belief: Belief,
  { id, date, runs }: RetuneNote,
): Machine {
  const provenance: Record<string, string> = { ...machine.provenance };
  const thrustN = { ...machine.thrustN };
  const thrustSpread = { ...machine.thrustSpread };
  for (const axis of ['x', 'y'] as const satisfies readonly LoadedAxis[]) {
    const { p5, p50, p95 } = limitBand(belief, axis);
    const from = `inferred ${date} from ${runs} logged runs: median, 5 to 95 % ${p5.toFixed(0)} to ${p95.toFixed(0)} N at standstill`;
    thrustN[axis] = thrustFrom(machine, axis, p50);
    const factor = pow(p95 / p5, 1 / (2 * normalQuantile(0.95)));
    thrustSpread[axis] = Math.round(factor * 1000) / 1000;
    provenance[`thrustN.${axis}`] = from;
    provenance[`thrustSpread.${axis}`] = from;
  }
  return { ...machine, id, thrustN, thrustSpread, provenance };
}

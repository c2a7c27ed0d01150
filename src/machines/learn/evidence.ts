/** The log of what runs have shown of a machine's thrust limits, as values. */
import type { AxisLoads } from './load-history.js';
import { addTallies, NO_LOAD } from './load-history.js';
import { GUESSED_SIGMA, MEASURED_SIGMA, runSigma } from './posterior-model.js';
import {
  type LoadedAxis,
  type Posterior,
  type RunEvidence,
  type ThrustPrior,
  type Update,
  priorPosterior,
  updatePosterior,
} from './posterior.js';
import type { AxisName, Machine } from '../../model/machine.js';

/** One run as the log keeps it. */
export interface LoggedRun {
  /** YYYY-MM-DD, or what a person wrote. */
  readonly date: string;
  readonly outcome: 'finished' | 'lost';
  /** What was run: a job and its digest, or a ladder. */
  readonly program: string;
  /** Material id. */
  readonly material: string;
  /** Where the loss was seen, in words; null for a run that finished. */
  readonly seen: string | null;
  /** Axis that lost steps; null: not known. */
  readonly axis: AxisName | null;
  /** Which way the machine ended up off, as seen on the part: '+' is towards +X or +Y. */
  readonly direction: '+' | '-' | null;
  readonly amountMm: number | null;
  readonly note: string | null;
  /** Load survived. */
  readonly held: AxisLoads;
  /** Load of the stretch in which the loss happened; null for a run that finished. */
  readonly suspect: AxisLoads | null;
}

export interface EvidenceLog {
  /** Id of the machine, without the number of a revision. */
  readonly machine: string;
  /** What was believed before the first run. */
  readonly prior: ThrustPrior;
  /** Where the prior comes from. */
  readonly priorFrom: string;
  readonly runs: readonly LoggedRun[];
}

/** Name of a machine without the revision that retuning adds: my-router-r3 is my-router. */
export function baseName(name: string): string {
  return name.replace(/-r\d+$/, '');
}

/** Prior from a profile's thrust at standstill and how it is known. */
export function priorFromMachine(machine: Machine): ThrustPrior {
  const one = (axis: LoadedAxis) => ({
    thrustN: machine.thrustN[axis][0]?.[1] ?? 0,
    sigma: /^measured\b/i.test(machine.provenance[`thrustN.${axis}`] ?? '')
      ? MEASURED_SIGMA
      : GUESSED_SIGMA,
  });
  return { x: one('x'), y: one('y') };
}

/** A log without runs for a machine. */
export function newEvidenceLog(machine: Machine): EvidenceLog {
  return {
    machine: baseName(machine.id),
    prior: priorFromMachine(machine),
    priorFrom: `machine ${machine.id}`,
    runs: [],
  };
}

/** A logged run as evidence for a job in a material. */
export function runEvidence(run: LoggedRun, material: string): RunEvidence {
  return {
    held: run.held,
    lost: run.suspect === null ? null : { suspect: run.suspect, axis: run.axis },
    sigma: runSigma(run.material === material),
  };
}

/** What is believed after each run of a log; the first entry is the prior, before any run. */
export interface Learning {
  readonly steps: readonly Posterior[];
  /** For each run, what it changed. */
  readonly updates: readonly Update[];
}

export function learn(log: EvidenceLog, material: string): Learning {
  const steps = [priorPosterior(log.prior)];
  const updates = log.runs.map((run) => {
    const update = updatePosterior(steps[steps.length - 1]!, runEvidence(run, material));
    steps.push(update.posterior);
    return update;
  });
  return { steps, updates };
}

/** What is believed after the last run. */
export function believed(learning: Learning): Posterior {
  return learning.steps[learning.steps.length - 1]!;
}

/** All the load of a run. */
export function allLoad(run: Pick<LoggedRun, 'held' | 'suspect'>): AxisLoads {
  const suspect = run.suspect ?? { x: NO_LOAD, y: NO_LOAD };
  return { x: addTallies(run.held.x, suspect.x), y: addTallies(run.held.y, suspect.y) };
}

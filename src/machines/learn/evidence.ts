/**
 * What runs have shown of a machine's thrust limits, as values: kinds of evidence, the log of them,
 * and what is believed after each. A kind is a file of its own and a line of `KINDS`; what counts
 * is worked out in posterior.ts, from loads as load-history.ts keeps them.
 */
import type { Machine } from '../../model/machine.js';
import { type Finished, finished } from './finished.js';
import { type LossSeen, type Lost, lost } from './lost.js';
import { GUESSED_SIGMA, MEASURED_SIGMA, runSigma } from './posterior-model.js';
import {
  type EvidenceKind,
  type LoadedAxis,
  type Posterior,
  type ThrustPrior,
  type Update,
  priorPosterior,
  reweigh,
} from './posterior.js';

/** What counts of a run. */
export type Evidence = Finished | Lost;

/** The same with what the log keeps of it besides. */
type Kept = Finished | (Lost & LossSeen);

const KINDS: Readonly<Record<Evidence['outcome'], EvidenceKind<Evidence, Kept>>> = {
  finished,
  lost,
};

/** One run as the log keeps it. */
export type LoggedRun = RunHead & Kept;

/** What the log keeps of every run. */
export interface RunHead {
  /** YYYY-MM-DD, or what a person wrote. */
  readonly date: string;
  /** What was run: a job and its digest, or a ladder. */
  readonly program: string;
  /** Material id. */
  readonly material: string;
  readonly note: string | null;
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

/** Takes one run into account. @param sigma  spread of the error common to the run */
export function updatePosterior(before: Posterior, run: Evidence, sigma: number): Update {
  return reweigh(before, KINDS[run.outcome].likelihood(run, before, sigma));
}

/** What the log writes of a run besides its head: words, and loads, in this order. */
export function entriesOf(run: LoggedRun) {
  const kind = KINDS[run.outcome];
  return { words: kind.words(run), loads: kind.loads(run) };
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
    const update = updatePosterior(
      steps[steps.length - 1]!,
      run,
      runSigma(run.material === material),
    );
    steps.push(update.posterior);
    return update;
  });
  return { steps, updates };
}

/** What is believed after the last run. */
export function believed(learning: Learning): Posterior {
  return learning.steps[learning.steps.length - 1]!;
}

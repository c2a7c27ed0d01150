/**
 * What runs have shown of a machine's thrust limits, as values: the log of them, and what is
 * believed after each. How a run counts is worked out in posterior.ts, from loads as
 * load-history.ts keeps them.
 */
import type { HeardCut, Machine } from '../../model/machine.js';
import { thrustSigma } from '../bear/spread.js';
import { thrustAtN } from '../bear/thrust.js';
import { runSigma } from './posterior-model.js';
import {
  type Finished,
  type LoadedAxis,
  type Lost,
  type ThrustPrior,
  priorPosterior,
  updatePosterior,
} from './posterior.js';

/** What the log keeps of every run. */
interface RunHead {
  /** YYYY-MM-DD, or what a person wrote. */
  readonly date: string;
  /** What was run: a job and its digest, or a ladder. */
  readonly program: string;
  /** Material id. */
  readonly material: string;
  readonly note: string | null;
  /** Where a loss was seen or chatter was heard, in words. */
  readonly seen?: string | null | undefined;
  /** Chatter, or none, where somebody listened. */
  readonly heard?: HeardCut | undefined;
}

/** What the log keeps of a loss besides what counts. */
export interface LossSeen {
  readonly seen: string | null;
  /** Which way the machine ended up off, as seen on the part: '+' is towards +X or +Y. */
  readonly direction: '+' | '-' | null;
  readonly amountMm: number | null;
}

/** One run as the log keeps it. */
export type LoggedRun = RunHead & (Finished | (Lost & LossSeen));

/** What a person saw and heard of a run apart from where. */
export type Seen = Pick<RunHead, 'date' | 'note'> &
  (
    | (Pick<Finished, 'outcome'> & { readonly sound?: Sound })
    | (Pick<Lost, 'outcome' | 'axis'> & Omit<LossSeen, 'seen'>)
  );

/** What was heard: nothing but the cut, or chatter and its pitch where known. */
export type Sound = Pick<HeardCut, 'sound' | 'pitchHz'>;

/** What ran, and its loads before and at the place of a loss; all of them are before where there
 *  was none. */
export type Place = Pick<RunHead, 'program' | 'material' | 'heard'> &
  Pick<LossSeen, 'seen'> &
  Pick<Lost, 'held' | 'suspect'>;

export function loggedRun(seen: Seen, place: Place): LoggedRun {
  if (seen.outcome === 'lost') return { ...seen, ...place };
  const { outcome, date, note, sound } = seen;
  const { program, material, held, heard } = place;
  const where = sound?.sound === 'chatter' && { seen: place.seen };
  return { outcome, date, note, program, material, ...where, held, heard };
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

/** A log without runs; its prior is the profile's thrust at standstill and how it is known. */
export function newEvidenceLog(machine: Machine): EvidenceLog {
  const limit = (axis: LoadedAxis) => {
    const thrustN = thrustAtN(machine, axis, 0);
    return { thrustN, sigma: thrustSigma(machine, axis) };
  };
  return {
    machine: baseName(machine.id),
    prior: { x: limit('x'), y: limit('y') },
    priorFrom: `machine ${machine.id}`,
    runs: [],
  };
}

/** What is believed after each run of a log, the prior before any run first; and what each run
 *  changed. */
export function learn(log: EvidenceLog, material: string) {
  const steps = [priorPosterior(log.prior)];
  const updates = log.runs.map((run) => {
    const update = updatePosterior(steps.at(-1)!, run, runSigma(run.material === material));
    steps.push(update.posterior);
    return update;
  });
  return { steps, updates };
}

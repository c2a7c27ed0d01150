/**
 * What runs have shown of a machine's thrust limits, as values: the log of them, and what is
 * believed after each. How a run counts is worked out in posterior.ts, from loads as
 * load-history.ts keeps them.
 *
 * Of the folder: log reads and writes it; belief sums over the limits what survival and ring say of each
 * run, posterior is asked, and believed is the job with it. Pull test, tap and what is heard are
 * measurements of their own; causes and offsets are for a run that went wrong.
 */
import { exp, hypot, log as ln } from '../../maths/elementary.js';
import {
  type AxisName,
  type HeardCut,
  type LoadedAxis,
  type Machine,
  perLoadedAxis,
} from '../../model/machine.js';
import { MEASURED_SIGMA, thrustSigma } from '../bear/spread.js';
import { thrustAtN } from '../bear/thrust.js';
import { Belief, type LimitPrior, type ThrustPrior } from './belief.js';
import { type Finished, type Lost, RunMemory, type RunSetting } from './run-evidence.js';

/** What the log keeps of every run. */
interface RunHead extends RunSetting {
  /** YYYY-MM-DD, or what a person wrote. */
  readonly date: string;
  /** What was run: a job and its digest. */
  readonly program: string;
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
    | (Pick<Lost, 'outcome' | 'axis' | 'otherHeld'> & Omit<LossSeen, 'seen'>)
  );

/** What was heard: nothing but the cut, or chatter and its pitch where known. */
export type Sound = Pick<HeardCut, 'sound' | 'pitchHz'>;

/** A pull test. */
export interface LoggedPull {
  readonly date: string;
  /** Thrust before the standing axis let go, and what its readings leave open. */
  readonly limits: Readonly<Partial<Record<LoadedAxis, LimitPrior>>>;
  readonly stiffnessNPerMm: Readonly<Partial<Record<AxisName, number>>>;
}

export interface EvidenceLog {
  /** Id of the machine, without the number of a revision. */
  readonly machine: string;
  /** What was believed before the first run. */
  readonly prior: ThrustPrior;
  /** Where the prior comes from. */
  readonly priorFrom: string;
  readonly pulls: readonly LoggedPull[];
  readonly runs: readonly LoggedRun[];
}

/** Name of a machine without the revision that retuning adds: my-router-r3 is my-router. */
export function baseName(name: string): string {
  return name.replace(/-r\d+$/, '');
}

/** A log without runs; its prior is the profile's thrust at standstill and how it is known. */
export function newEvidenceLog(machine: Machine): EvidenceLog {
  return {
    machine: baseName(machine.id),
    prior: perLoadedAxis((axis) => ({
      thrustN: thrustAtN(machine, axis, 0),
      sigma: thrustSigma(machine, axis),
    })),
    priorFrom: `machine ${machine.id}`,
    pulls: [],
    runs: [],
  };
}

/**
 * Limits before any run, from the profile and the pull tests. What running takes off a thrust measured at
 * standstill is common to all pulls, and to a profile that was measured.
 */
function priorOf({ prior, pulls }: EvidenceLog, axis: LoadedAxis): LimitPrior {
  const { sigma } = prior[axis];
  const read = pulls.flatMap(({ limits }) => limits[axis] ?? []);
  if (read.length === 0) return prior[axis];
  const pulled = weighed(read);
  const all = weighed([prior[axis], { ...pulled, sigma: hypot(pulled.sigma, MEASURED_SIGMA) }]);
  const least = sigma <= MEASURED_SIGMA + 1e-9 ? sigma : 0;
  return { ...all, sigma: Math.max(all.sigma, least) };
}

/** Several figures of one limit as one, each counted as it is known. */
function weighed(limits: readonly LimitPrior[]): LimitPrior {
  const weights = limits.map(({ sigma }) => 1 / sigma ** 2);
  const sum = weights.reduce((a, b) => a + b, 0);
  const mean = limits.reduce((at, { thrustN }, i) => at + weights[i]! * ln(thrustN), 0) / sum;
  return { thrustN: exp(mean), sigma: Math.sqrt(1 / sum) };
}

/** The edge as the last run that tells of one left it: lives it has served, and those of that run. */
export function edgeLeft(runs: readonly Pick<LoggedRun, 'edge'>[]) {
  const { beforeLives, tookLives } = runs.findLast(({ edge }) => edge !== null)?.edge ?? NO_LIVES;
  return { servedLives: beforeLives + tookLives, tookLives };
}

const NO_LIVES = { beforeLives: 0, tookLives: 0 };

/** What a log says. */
export interface Learning {
  readonly log: EvidenceLog;
  /** What is believed before any run, after some of the runs, the last two among them. */
  readonly steps: readonly { readonly runs: number; readonly belief: Belief }[];
  readonly after: Belief;
  /** The same before the last run. */
  readonly before: Belief;
}

/** Steps that are kept, about. */
const MOST_STEPS = 40;

export function learn(log: EvidenceLog): Learning {
  const { runs } = log;
  let after = Belief.before(perLoadedAxis((axis) => priorOf(log, axis)));
  const steps = [{ runs: 0, belief: after }];
  const every = Math.max(1, Math.ceil(runs.length / MOST_STEPS));
  let before = after;
  const tables = new RunMemory(after);
  runs.forEach((run, i) => {
    [before, after] = [after, after.with(run, tables.of(run))];
    const count = i + 1;
    if (count % every === 0 || count >= runs.length - 1) steps.push({ runs: count, belief: after });
  });
  return { log, steps, after, before };
}

/** What a log with one more run says. */
export function learnMore({ log, steps, after: before }: Learning, run: LoggedRun): Learning {
  const runs = [...log.runs, run];
  const after = before.with(run);
  return {
    log: { ...log, runs },
    steps: [...steps, { runs: runs.length, belief: after }],
    after,
    before,
  };
}

/**
 * From a log of runs to the next plan: what is believed about the thrust limits, the machine that has
 * them, and the job planned again with it at the risk chosen.
 */
import { Refusal } from '../../model/refusal.js';
import { FORCE_SHARE } from '../../cam/choose.js';
import { demandLoads, opDemands } from '../../cam/demand.js';
import { replay } from '../../cam/stock/replay.js';
import { type RetuneNote, retunedMachine } from '../../machines/learn/machine-update.js';
import { type EvidenceLog, type Learning, learn } from '../../machines/learn/evidence.js';
import type { Belief } from '../../machines/learn/belief.js';
import {
  type LimitBand,
  otherCause as otherCauseOf,
  finishProbability,
  limitBand,
} from '../../machines/learn/posterior.js';
import { withHeard } from '../../machines/learn/heard.js';
import type { RunSetting } from '../../machines/learn/run-evidence.js';
import type { AxisLoads } from '../../machines/learn/load-history.js';
import type { Machine } from '../../model/machine.js';
import type { CanonicalOp } from '../../model/op.js';
import type { Plan, Progress } from '../../post/plan.js';
import { planParts } from '../plan.js';
import { blankStart } from '../start.js';
import { type LossCauses, lossCauses } from './causes.js';
import { chattersOn } from './heard.js';
import type { Entry, ProgramRun } from './run.js';

type Bands = Readonly<Record<'x' | 'y', LimitBand>>;

/** One way to run the job. */
export interface WayToRun {
  readonly totalMin: number;
  /** null: not told apart. */
  readonly roughCutMin: number | null;
  readonly finishMin: number | null;
  /** What the cut asks of the drives at most, and what they are sure of at the risk. N */
  readonly driveN: { readonly x: number; readonly y: number };
  readonly driveForceN: { readonly x: number; readonly y: number };
  /** Probability that no steps are lost by cutting force in one program, as now believed. */
  readonly finishes: number;
  /** Probability that it chatters, as now believed. */
  readonly chatters: number;
}

export interface Retuned {
  /** The log with the run at its end, and what is believed after each of its runs. */
  readonly log: EvidenceLog;
  readonly learning: Learning;
  /** Limits before any run, before this one and now. */
  readonly bands: Readonly<Record<'prior' | 'before' | 'after', Bands>>;
  /** Likely places; null for a ladder, and where nothing was lost. */
  readonly causes: LossCauses | null;
  /** Probability that force did not do it; null where nothing was lost. */
  readonly otherCause: number | null;
  /** A loss that force most likely did not bring: it says nothing about the machine's limits. */
  readonly lowLoad: boolean;
  /** The program that the log's last run was, or the job as planned. */
  readonly old: WayToRun;
  /** Probability that it chatters, as believed before this run. */
  readonly chattersBefore: number;
  /** The habit after a loss, to compare with: the same program with every feed halved. */
  readonly halved: WayToRun;
  /** Planned again; null where that is not possible, `refused` says why. */
  readonly fresh: WayToRun | null;
  readonly refused: string | null;
  /** Whether the drive decides the new plan: false where chip, cutter, edge or stability do. */
  readonly driveBinds: boolean;
  /** What the next job may name; null where the loss taught nothing or there is no new plan. */
  readonly machine: Machine | null;
}

/** Below this probability of cutting force, a loss is said to be something else. */
const LOW_LOAD = 0.5;

/**
 * @param run      the job as it is planned now, its program laid open
 * @param log      all runs before
 * @param entry    the run to learn from; null: none, the log is read again
 * @param risk     chosen probability that one program loses steps by cutting force
 * @param note     id and date for the new machine file
 */
export function retune(
  run: ProgramRun,
  log: EvidenceLog,
  entry: Entry | null,
  risk: number,
  note: Omit<RetuneNote, 'runs'>,
  onProgress: (p: Progress) => void = () => {},
): Retuned {
  const full = entry ? { ...log, runs: [...log.runs, entry.logged] } : log;
  const learning = learn(full);
  const { steps, after, last } = learning;
  const [prior, before] = [steps[0]!.belief, entry && last ? last.before : after];
  const next: RunSetting = { material: run.planned.job.material.id, bar: null, edge: null };
  const causes =
    entry?.range && entry.logged.outcome === 'lost'
      ? lossCauses(run, entry.range, entry.logged, before)
      : null;
  const otherCause = causes
    ? 1 - causes.byForce
    : entry && last
      ? otherCauseOf(before, last.run)
      : null;
  const lowLoad = otherCause !== null && otherCause > 1 - LOW_LOAD;
  const old = run.planned.job.machine;
  const retuned = retunedMachine(old, after, { ...note, runs: full.runs.length });
  const machine = withHeard(retuned, full.runs);
  const known = { belief: after, next, machine };
  const found = planAgain(run, known, risk, onProgress);
  return {
    ...{ log: full, learning, causes, otherCause, lowLoad },
    bands: { prior: bandsOf(prior), before: bandsOf(before), after: bandsOf(after) },
    old: wayOf(run.planned, known),
    halved: halvedWay(run.planned, known),
    chattersBefore: chattersOn(run.planned, withHeard(old, log.runs)),
    ...found,
    machine: lowLoad || found.fresh === null ? null : machine,
  };
}

/** What is believed, and what the next run is on. */
interface Known {
  readonly belief: Belief;
  readonly next: RunSetting;
  readonly machine: Machine;
}

function finishes({ belief, next }: Known, loads: AxisLoads): number {
  return finishProbability(belief, loads, next);
}

function bandsOf(belief: Belief): Bands {
  return { x: limitBand(belief, 'x'), y: limitBand(belief, 'y') };
}

/** A plan's own program, whatever was run in its place. */
function wayOf(planned: Plan, known: Known): WayToRun {
  const { summary, program, replay, job, cam } = planned;
  const { totalMin, roughCutMin, finishMin } = summary.predicted;
  const demands = opDemands(program.ops, replay.loads, job.machine);
  const holds = finishes(known, demandLoads(demands, 0, program.ops.length - 1));
  const { driveForceN } = cam.process;
  const driveN = { x: replay.peakDriveN.x.value, y: replay.peakDriveN.y.value };
  const chatters = chattersOn(planned, known.machine);
  return { totalMin, roughCutMin, finishMin, driveN, driveForceN, finishes: holds, chatters };
}

function halvedWay(planned: Plan, known: Known): WayToRun {
  const { job, profile, cam, program } = planned;
  const slow = program.ops.map((op): CanonicalOp =>
    op.op === 'feed' || op.op === 'arc' ? { ...op, feedMmPerMin: op.feedMmPerMin / 2 } : op,
  );
  const { loads } = replay(slow, blankStart(job, profile, cam.blank, cam.field).setup);
  const demands = opDemands(slow, loads, job.machine);
  const most = (values: Float64Array): number => values.reduce((a, b) => Math.max(a, b), 0);
  return {
    totalMin: demands.seconds.reduce((a, b) => a + b, 0) / 60,
    roughCutMin: null,
    finishMin: null,
    driveN: { x: most(loads.driveXN), y: most(loads.driveYN) },
    driveForceN: cam.process.driveForceN,
    finishes: finishes(known, demandLoads(demands, 0, slow.length - 1)),
    chatters: chattersOn(planned, known.machine),
  };
}

/** The job planned with the machine as it is now believed. */
function planAgain(
  run: ProgramRun,
  known: Known,
  risk: number,
  onProgress: (p: Progress) => void,
): Pick<Retuned, 'fresh' | 'refused' | 'driveBinds'> {
  const { job } = run.planned;
  try {
    const planned = planParts({ ...job, machine: known.machine, riskShare: risk }, onProgress);
    const way = wayOf(planned, known);
    // Less than the cutter bears is kept for the drives only.
    const driveBinds = planned.cam.process.way.forceShare < 0.999 * FORCE_SHARE;
    return { fresh: way, refused: null, driveBinds };
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    const refused = `with the thrust now believed the job cannot be planned: ${error.message}`;
    return { fresh: null, refused, driveBinds: true };
  }
}

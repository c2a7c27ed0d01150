/**
 * What a program uses: a job read, planned, a program checked, a worn chain named, a machine's
 * limits learnt from its runs, and the tables. Values in, values out: no files, no clock.
 *
 * A plan is for a person to read before anything is cut: hand on the warnings of its summary and
 * its `warning-sheet.html` together with the program.
 *
 * @packageDocumentation
 */
import { NO_FILE, readJob as readJobFile } from './job/load.js';
import { asPlanned, logOf, withLog } from './machines/learn/believed.js';
import { evidenceLogText, withRun } from './machines/learn/log.js';
import {
  type Learning,
  type Seen,
  type Sound,
  learn,
  newEvidenceLog,
} from './machines/learn/evidence.js';
import type { LimitBand } from './machines/learn/posterior.js';
import { listCutters } from './machines/cutters.js';
import { listMachines } from './machines/machines.js';
import { listMaterials } from './machines/materials.js';
import type { Job, PlanSummary } from './model/job.js';
import type { AxisName } from './model/machine.js';
import { type CheckReport, checkProgram } from './plan/check/check.js';
import { planJob, planParts } from './plan/plan.js';
import { type FreshWay, retune as learnAndPlan, type WayToRun } from './plan/retune/retune.js';
import { type RunOn, type Stretch, programRun, runEntry } from './plan/retune/run.js';
import { listControllers } from './post/control/controllers.js';
import type { Progress } from './post/plan.js';
import type { SheetOptions } from './post/sheet/format.js';
import { CHAINS } from './profile/chain/chains.js';
import { type Identification, identifyChain } from './profile/chain/identify.js';
import type { WornChain } from './profile/chain/model.js';
import { plainText } from './text/program-text.js';

export { Refusal, type RefusalCode } from './model/refusal.js';
export { JobError, type JobFault, type Place } from './text/fault.js';
export type { ArcEdge, Edge, LineEdge, Loop, Pt } from './model/edges.js';
export type {
  Job,
  JobChain,
  JobDefault,
  PlanSummary,
  PlanWarning,
  ToothForm,
} from './model/job.js';
export type { AxisName, Cutter, Machine, Material, PerAxis } from './model/machine.js';
export type { Controller, SurpriseCode } from './model/op.js';
export type { CutterEntry } from './machines/cutters.js';
export type { LimitBand } from './machines/learn/posterior.js';
export type { CheckFinding, CheckReport, CheckSeverity } from './plan/check/check.js';
export type { FreshWay, WayToRun } from './plan/retune/retune.js';
export type { RunOn, Stretch } from './plan/retune/run.js';
export type { Progress } from './post/plan.js';
export type { SheetOptions } from './post/sheet/format.js';
export type {
  Chain,
  ChainDisagreement,
  ChainFigure,
  ChainFigureName,
  Confidence,
} from './profile/chain/chains.js';
export type { ChainFamily } from './profile/chain/family.js';
export type {
  Candidate,
  Deviation,
  ElongationEstimate,
  Identification,
} from './profile/chain/identify.js';
export type { NextMeasurement } from './profile/chain/information.js';
export type { FigureMeasure, Measure, Reading, WornChain } from './profile/chain/model.js';

/** How {@link readJob} names the job, and how it gets at a machine file that the job names. */
export interface ReadOptions {
  /** Name of the job file in messages. Default "job". */
  readonly file?: string;
  /**
   * Text of a machine file by the path that the job gives; null where there is none. Left out, a
   * job may name the shipped machines only.
   */
  readonly machineFile?: (path: string) => string | null;
}

/**
 * Reads a job file and fills in what it leaves out.
 * @param text  YAML; quantities are strings with units, "12 mm", "0.306 in", "3 deg"
 * @returns     the job: lengths in mm, angles in deg where a name says so, names looked up
 * @throws JobError with file, line, key, value and fix; `errors` holds every fault of the text
 * @example
 * const job = readJob(readFileSync('pinion.yaml', 'utf8'), { file: 'pinion.yaml' });
 */
export function readJob(text: string, { file = NO_FILE, machineFile }: ReadOptions = {}): Job {
  const missing = { problem: 'is not there', fix: 'name a machine file that can be read' };
  return readJobFile(text, file, {
    machineFile(path) {
      const found = machineFile?.(path) ?? null;
      return { file: path, ...(found === null ? missing : { text: found }) };
    },
  });
}

/** Options of {@link plan}. */
export interface PlanOptions {
  /** Called now and then; the count rises from 0 to `of`. */
  readonly onProgress?: (progress: Progress) => void;
  /** Units of the warning sheet, and whether it speaks of brazing. */
  readonly sheet?: SheetOptions;
  /** Log of the machine's runs and pull tests, as {@link retune} gives it: planned is with what is
   *  believed then. Left out: with the profile alone. */
  readonly logText?: string | null;
}

/** Stands for the file of a log in what is said of it. */
const LOG_FILE = 'log';

/** The job as a log has its machine. */
function learntJob(job: Job, logText: string | null): Job {
  return logText === null ? job : withLog(job, knownFrom(job, logText), LOG_FILE);
}

function knownFrom({ machine }: Job, logText: string | null): Learning {
  return learn(logText === null ? newEvidenceLog(machine) : logOf(machine, logText, LOG_FILE));
}

/** What a plan comes to. */
export interface Plan {
  /** Figures and warnings; units are in the names. */
  readonly summary: PlanSummary;
  /**
   * Name -> contents: program, `plan.json`, `warning-sheet.html`, drawings. The preview page is
   * added by the command alone.
   */
  readonly files: Readonly<Record<string, string | Uint8Array>>;
}

/**
 * Plans a job: outline, toolpath, program, replay of the program that was written, and the sheet.
 * Takes some seconds and does not pause. The same job gives the same bytes.
 * @throws Refusal where the part cannot be made this way, or the program fails its own replay
 * @throws JobError for a log that cannot be read, or is another machine's
 * @example
 * const { summary, files } = plan(job, { logText });
 * for (const warning of summary.warnings) console.log(warning.text);
 */
export function plan(job: Job, { onProgress, sheet, logText = null }: PlanOptions = {}): Plan {
  const { summary, files } = planJob(learntJob(job, logText), onProgress, sheet);
  return { summary, files };
}

/**
 * Replays a program, from here or by other means, on the job's uncut blank and machine.
 * @param text  RS-274
 * @returns     findings, worst kinds first; `worst` is 'none' where there are none
 * @throws Refusal for a job that can have no outline or no blank
 * @example
 * if (check(text, job).worst === 'error') throw new Error('do not run this');
 */
export function check(
  text: string,
  job: Job,
  { onProgress, logText = null }: Pick<PlanOptions, 'onProgress' | 'logText'> = {},
): CheckReport {
  const known = knownFrom(job, logText);
  const then = asPlanned(job, known, LOG_FILE, text);
  return checkProgram(text, withLog(job, known, LOG_FILE), onProgress, { then });
}

/**
 * Names a worn chain from measurements.
 * @param worn  span over a count of pitches, and any of the other figures, mm
 * @returns     candidates, the most likely first, each with its wear; `fits` says whether the table
 *              explains the measurements at all
 * @throws RangeError for a span or a figure that is no length
 * @example
 * const { candidates } = identify({
 *   span: { valueMm: 128.2, sdMm: null },
 *   pitches: 10,
 *   figures: { rollerDiameter: { valueMm: 7.7, sdMm: null } },
 * });
 * console.log(candidates[0]?.family.name);
 */
export function identify(worn: WornChain): Identification {
  return identifyChain(worn);
}

/** How a run of a job's program ended, as a person saw it. */
export interface SeenRun {
  readonly outcome: 'finished' | 'lost';
  /** YYYY-MM-DD */
  readonly date: string;
  /** Where a loss was seen, or how far a run got that held. Default the whole program. */
  readonly at?: Stretch;
  /** Axis that lost steps; null: not known. */
  readonly axis?: AxisName | 'both' | null;
  /** Where one axis lost steps: whether the other is seen to have held. */
  readonly otherHeld?: boolean;
  /** Edge and blank; left out: the edge goes on from the run before, the one bar of the material. */
  readonly on?: Partial<RunOn>;
  /** Which way the machine ended up off, as seen on the part. */
  readonly direction?: '+' | '-' | null;
  /** By how much. mm */
  readonly amountMm?: number | null;
  /** What was heard of a run that finished, or up to `at`; Hz. Left out where nobody listened. */
  readonly sound?: Sound;
  readonly note?: string | null;
}

/** Options of {@link retune}. */
export interface RetuneOptions {
  /** The log so far, as `logText` of an earlier call; null or left out: there is none yet. */
  readonly logText?: string | null;
  /** The program that ran, where it is not the one planned from the job as it is. */
  readonly program?: string | null;
  /** Probability of not reaching the end to plan again with. Default the job's. */
  readonly risk?: number;
  readonly onProgress?: (progress: Progress) => void;
}

/** What a run taught. */
export interface Retuning {
  /** The log with the run at its end; keep it. */
  readonly logText: string;
  /** Thrust at standstill at which an axis loses steps, before any run and as now believed. N */
  readonly limitsN: Readonly<Record<'before' | 'after', Readonly<Record<'x' | 'y', LimitBand>>>>;
  /** Probability that a loss had nothing to do with cutting force; null where nothing was lost. */
  readonly otherCause: number | null;
  /** Why the loads may not be those of the run; null: no doubt. */
  readonly doubt: string | null;
  readonly old: WayToRun;
  /** The job planned again; null where that is not possible, `refused` says why. */
  readonly fresh: FreshWay | null;
  readonly refused: string | null;
}

/**
 * Learns from a run that finished or lost steps, and plans the job again with what is believed.
 * Plans several times: takes as long as several plans.
 * @param job  with its machine as the profile has it
 * @param run  null: nothing is added, the log is read again
 * @throws Refusal for a place that the program does not have, and for a program that is not sound
 * @throws JobError for a log that cannot be read, or is another machine's
 * @throws RangeError for a risk that is not between 0 and 0.5
 * @example
 * const seen = { outcome: 'lost', date: '2026-05-03', at: { kind: 'lines', from: 15200, to: 15900 } };
 * const { logText } = retune(job, seen);
 * plan(job, { logText });
 */
export function retune(job: Job, run: SeenRun | null, options: RetuneOptions = {}): Retuning {
  const { logText = null, program = null, risk = job.riskShare, onProgress } = options;
  if (!(risk > 0 && risk <= 0.5))
    throw new RangeError(`retune: a risk of ${risk} is not in 0..0.5`);
  const known = knownFrom(job, logText);
  const planned = asPlanned(job, known, LOG_FILE, program);
  const past = programRun(planParts(planned, onProgress), program);
  const at = run?.at ?? { kind: 'whole' };
  const on = { edgeMin: null, edges: null, bar: null, ...run?.on };
  const entry = run && runEntry(past, seenOf(run), at, past.digest, on);
  const next = { ...job, riskShare: risk };
  const found = learnAndPlan(past, next, known, LOG_FILE, { entry, pull: null }, onProgress);
  const { bands, otherCause, old, fresh, refused } = found;
  const text = logText ?? evidenceLogText(known.log);
  return {
    logText: entry ? withRun(text, entry.logged) : text,
    limitsN: { before: bands.prior, after: bands.after },
    ...{ otherCause, doubt: past.doubt, old, fresh, refused },
  };
}

function seenOf({ outcome, date, note = null, ...loss }: SeenRun): Seen {
  const head = { date, note: note && plainText(note) };
  const { sound } = loss;
  if (outcome === 'finished') return { outcome, ...head, ...(sound && { sound }) };
  const { axis = null, otherHeld = false, direction = null, amountMm = null } = loss;
  return { outcome, ...head, axis, otherHeld, direction, amountMm };
}

/** What a job can name, as `gullet list` shows it; each row says where its figures come from. */
export const tables = {
  /** Machine profiles, lightest first. */
  machines: listMachines,
  /** Workpiece materials. */
  materials: listMaterials,
  /** Chains, by designation. */
  chains: () => CHAINS,
  /** End mills, smallest first. */
  cutters: listCutters,
  /** Kinds of control, by what they can do. */
  controllers: listControllers,
} as const;

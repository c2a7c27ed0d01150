/**
 * From a log of runs to the next plan: what is believed about the thrust limits, and the job planned
 * again with it. Odds are the plan's own: of everything that can end the cut.
 */
import { Refusal } from '../../model/refusal.js';
import { bindingOf } from '../../cam/explain.js';
import { searchOf } from '../../cam/choose.js';
import { gapSize } from '../../cam/sequence.js';
import { opSeconds } from '../../cam/demand.js';
import { replay } from '../../cam/stock/replay.js';
import { withLog } from '../../machines/learn/believed.js';
import { type EvidenceLog, type Learning, learn } from '../../machines/learn/evidence.js';
import type { Belief } from '../../machines/learn/belief.js';
import { type LimitBand, limitBand } from '../../machines/learn/posterior.js';
import type { Job, PlanSummary } from '../../model/job.js';
import type { CanonicalOp } from '../../model/op.js';
import type { Plan, Progress } from '../../post/plan.js';
import { S_PER_MIN } from '../../maths/motion.js';
import { planOdds } from '../odds.js';
import { BEARERS } from '../explain.js';
import { planParts } from '../plan.js';
import { blankStart } from '../start.js';
import { NOT_ASKED } from '../worth.js';
import { type LossCauses, lossCauses } from './causes.js';
import type { Entry, ProgramRun } from './run.js';

type Bands = Readonly<Record<'x' | 'y', LimitBand>>;
type Predicted = PlanSummary['predicted'];

/** One way to run the job, with odds as now believed. */
export interface WayToRun extends Pick<
  Predicted,
  | 'totalMin'
  | 'driveDemandN'
  | 'driveThrustN'
  | 'finishProbability'
  | 'finishParts'
  | 'chatterProbability'
> {
  /** null: not told apart. */
  readonly roughCutMin: number | null;
  readonly finishMin: number | null;
}

/** The job planned again. */
export interface FreshWay extends WayToRun {
  /** What decides how hard it is cut. */
  readonly limitedBy: string;
  readonly worth: Predicted['worth'];
}

export interface Retuned {
  /** The log with what was added at its end, and what is believed by and by. */
  readonly log: EvidenceLog;
  readonly learning: Learning;
  /** Limits before any run, before what was added and now. */
  readonly bands: Readonly<Record<'prior' | 'before' | 'after', Bands>>;
  /** Likely places; null where nothing was lost. */
  readonly causes: LossCauses | null;
  /** Probability that force did not do it; null where nothing was lost. */
  readonly otherCause: number | null;
  /** A loss that force most likely did not bring: it says little about the machine's limits. */
  readonly lowLoad: boolean;
  /** The program that the last run was, or the job as planned. */
  readonly old: WayToRun;
  /** The habit after a loss, to compare with: the same program with every feed halved. */
  readonly halved: WayToRun;
  /** Planned again; null where that is not possible, `refused` says why. */
  readonly fresh: FreshWay | null;
  readonly refused: string | null;
}

/** Below this probability of cutting force, a loss is said to be something else. */
const LOW_LOAD = 0.5;

/**
 * @param run      the job as it was planned, its program laid open
 * @param profile  the job with its machine as the profile has it, and the risk to plan to
 * @param log      all before
 * @param file     name of the log, for people
 * @param added    the log with what is to be learnt from at its end: runs or a pull test
 * @param entry    the run among it; null: none
 */
export function retune(
  run: ProgramRun,
  profile: Job,
  log: EvidenceLog,
  added: EvidenceLog,
  file: string,
  entry: Entry | null,
  onProgress: (p: Progress) => void = () => {},
): Retuned {
  const learning = learn(added);
  const { steps, after } = learning;
  const [prior, before] = [steps[0]!.belief, added === log ? after : learn(log).after];
  // As the log has it, with the state of its edge told.
  const last = entry && learning.last!.run;
  const lost = last?.outcome === 'lost' ? last : null;
  const causes = entry && lost ? lossCauses(run, entry.range, lost, before) : null;
  const otherCause = causes && 1 - causes.byForce;
  const job = withLog(profile, added, file, after);
  return {
    ...{ log: added, learning, causes, otherCause },
    lowLoad: otherCause !== null && otherCause > 1 - LOW_LOAD,
    bands: { prior: bandsOf(prior), before: bandsOf(before), after: bandsOf(after) },
    old: wayOf(run.planned, job),
    halved: halvedWay(run.planned, job),
    ...planAgain(job, onProgress),
  };
}

function bandsOf(belief: Belief): Bands {
  return { x: limitBand(belief, 'x'), y: limitBand(belief, 'y') };
}

/** A plan's own program, whatever was run in its place, on the machine as a job has it. */
function wayOf({ summary, cam, replay, program }: Plan, job: Job): WayToRun {
  const { totalMin, roughCutMin, finishMin } = summary.predicted;
  return { totalMin, roughCutMin, finishMin, ...bears(job, cam, replay, program.ops) };
}

function bears(
  job: Job,
  cam: Parameters<typeof planOdds>[1],
  replayed: Parameters<typeof planOdds>[2],
  ops: readonly CanonicalOp[],
) {
  const found = planOdds(job, cam, replayed, ops, NOT_ASKED);
  const { drive, cutter, edge, other, all } = found.odds;
  const { driveDemandN, driveThrustN, chatterProbability } = found;
  const finishParts = { drive, cutter, edge, other };
  return { driveDemandN, driveThrustN, chatterProbability, finishProbability: all, finishParts };
}

function halvedWay({ job: { machine }, ...planned }: Plan, job: Job): WayToRun {
  const { profile, cam, program } = planned;
  const ops = program.ops.map((op): CanonicalOp =>
    op.op === 'feed' || op.op === 'arc' ? { ...op, feedMmPerMin: op.feedMmPerMin / 2 } : op,
  );
  const replayed = replay(ops, blankStart(job, profile, cam.blank, cam.field).setup);
  const totalMin = opSeconds(ops, machine).reduce((a, b) => a + b, 0) / S_PER_MIN;
  const { process, finish, times } = cam;
  const slow = {
    process: { ...process, feed: (phiRad: number) => process.feed(phiRad) / 2 },
    finish: {
      ...finish,
      passes: finish.passes.map((p) => ({ ...p, feedMmPerMin: p.feedMmPerMin / 2 })),
    },
    times: { ...times, totalMin },
  };
  return { totalMin, roughCutMin: null, finishMin: null, ...bears(job, slow, replayed, ops) };
}

/** The job planned with the machine as it is now believed. */
function planAgain(
  job: Job,
  onProgress: (p: Progress) => void,
): Pick<Retuned, 'fresh' | 'refused'> {
  try {
    const { summary, cam, profile } = planParts(job, onProgress);
    const { predicted } = summary;
    const search = searchOf(job, gapSize(job, profile, cam.blank));
    const limitedBy = BEARERS[bindingOf(search, cam.process.way)];
    return { fresh: { ...predicted, limitedBy }, refused: null };
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    const refused = `with the thrust now believed the job cannot be planned: ${error.message}`;
    return { fresh: null, refused };
  }
}

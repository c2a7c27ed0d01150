/**
 * From a log of runs to the next plan: what is believed about the thrust limits, and the job planned
 * again with it. Odds are the plan's own: of everything that can end the cut.
 *
 * Of the folder: run is what one program's loads say, heard what was heard, causes why steps were lost.
 */
import { perLoadedAxis, type PerLoadedAxis } from '../../model/machine.js';
import { Refusal } from '../../model/refusal.js';
import { BEARERS, bindingOf } from '../../cam/explain.js';
import { chooseWay, searchOf } from '../../cam/choose.js';
import { gapSize } from '../../cam/sequence.js';
import { opSeconds } from '../../cam/demand.js';
import { replay } from '../../cam/stock/replay.js';
import { withLog } from '../../machines/learn/believed.js';
import { type Learning, type LoggedPull, learn, learnMore } from '../../machines/learn/evidence.js';
import type { Belief } from '../../machines/learn/belief.js';
import { type LimitBand, limitBand } from '../../machines/learn/posterior.js';
import type { Job, PlanSummary } from '../../model/job.js';
import { type CanonicalOp, isFeedMove } from '../../model/op.js';
import type { Plan, Progress } from '../../post/plan.js';
import { S_PER_MIN } from '../../maths/motion.js';
import { planOdds } from '../odds.js';
import { planParts } from '../plan.js';
import { blankStart } from '../start.js';
import { type LossCauses, lossCauses } from './causes.js';
import type { Entry, ProgramRun } from './run.js';

type Bands = PerLoadedAxis<LimitBand>;
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
  /** Cutters used one after the other. */
  readonly edges: number;
  /** null: not told apart. */
  readonly roughCutMin: number | null;
  readonly finishMin: number | null;
}

/** The job planned again. */
export interface FreshWay extends WayToRun {
  /** What decides how hard it is cut. */
  readonly limitedBy: string;
  readonly worth: Predicted['worth'];
  readonly edgeServedLives: number;
  readonly edgeInLives: number;
  /** What a new edge at the start would save. min, 0 where it begins with one */
  readonly newEdgeSavesMin: number;
}

export interface Retuned {
  /** What the log says with what was added at its end. */
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

/** What is learned from; both null: nothing, the log is read again. */
export interface Evidence {
  readonly entry: Entry | null;
  readonly pull: LoggedPull | null;
}

/**
 * @param run      the job as it was planned, its program laid open
 * @param profile  the job with its machine as the profile has it, and the risk to plan to
 * @param known    what the log says before
 * @param file     name of the log, for people
 */
export function retune(
  run: ProgramRun,
  profile: Job,
  known: Learning,
  file: string,
  { entry, pull }: Evidence,
  onProgress: (p: Progress) => void = () => {},
): Retuned {
  const { log } = known;
  const pulled = pull && learn({ ...log, pulls: [...log.pulls, pull] });
  const learning = entry ? learnMore(known, entry.logged) : (pulled ?? known);
  const before = known.after;
  const { after } = learning;
  const lost = entry?.logged.outcome === 'lost' ? entry.logged : null;
  const causes = entry && lost ? lossCauses(run, entry.range, lost, before) : null;
  const otherCause = causes && 1 - causes.byForce;
  const job = withLog(profile, learning, file);
  const onNew = () => withLog(profile, learning, file, { servedLives: 0 });
  return {
    ...{ learning, causes, otherCause },
    lowLoad: otherCause !== null && otherCause > 1 - LOW_LOAD,
    bands: {
      prior: bandsOf(learning.steps[0]!.belief),
      before: bandsOf(before),
      after: bandsOf(after),
    },
    old: wayOf(run.planned, job),
    halved: halvedWay(run.planned, job),
    ...planAgain(job, onNew, onProgress),
  };
}

function bandsOf(belief: Belief): Bands {
  return perLoadedAxis((axis) => limitBand(belief, axis));
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
  const found = planOdds(job, cam, replayed, ops);
  const { drive, cutter, edge, other, all } = found.odds;
  const { driveDemandN, driveThrustN, chatterProbability } = found;
  const finishParts = { drive, cutter, edge, other };
  return {
    ...{ driveDemandN, driveThrustN, chatterProbability, finishParts },
    ...{ finishProbability: all, edges: found.edges },
  };
}

function halvedWay({ job: { machine }, ...planned }: Plan, job: Job): WayToRun {
  const { profile, cam, program } = planned;
  const ops = program.ops.map((op): CanonicalOp =>
    isFeedMove(op) ? { ...op, feedMmPerMin: op.feedMmPerMin / 2 } : op,
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

/** The job planned with the machine as it is now believed. @param onNew  the same with a new edge */
function planAgain(
  job: Job,
  onNew: () => Job,
  onProgress: (p: Progress) => void,
): Pick<Retuned, 'fresh' | 'refused'> {
  try {
    const { summary, cam, profile } = planParts(job, onProgress);
    const { predicted } = summary;
    const { way } = cam.process;
    const size = gapSize(job, profile, cam.blank);
    const best =
      way.edgeShares.servedLives > 0
        ? chooseWay(searchOf(onNew(), size, way.edgeScale)).best
        : null;
    const newEdgeSavesMin = best ? Math.max(0, way.timeS - best.timeS) / S_PER_MIN : 0;
    const limitedBy = BEARERS[bindingOf(searchOf(job, size, way.edgeScale), way)];
    return { fresh: { ...predicted, limitedBy, newEdgeSavesMin }, refused: null };
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    const refused = `with the thrust now believed the job cannot be planned: ${error.message}`;
    return { fresh: null, refused };
  }
}

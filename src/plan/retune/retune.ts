/**
 * From a log of runs to a force that the next program may use: what is believed about the limits,
 * the cutting force that keeps the risk of one program at a chosen level, and the job planned again
 * with it.
 */
import { bisect } from '../../maths/solve.js';
import { Refusal } from '../../model/refusal.js';
import { demandLoads, opDemands } from '../../cam/demand.js';
import { replay } from '../../cam/stock/replay.js';
import { tallyOf } from '../../machines/learn/load-history.js';
import { type RetuneNote, retunedMachine } from '../../machines/learn/machine-update.js';
import { type EvidenceLog, learn } from '../../machines/learn/evidence.js';
import {
  type LimitBand,
  type Posterior,
  finishProbability,
  limitBand,
} from '../../machines/learn/posterior.js';
import type { Machine } from '../../model/machine.js';
import type { CanonicalOp } from '../../model/op.js';
import type { Plan, Progress } from '../../post/plan.js';
import { planParts } from '../plan.js';
import { blankStart } from '../start.js';
import { type LossCauses, lossCauses } from './causes.js';
import type { Entry, ProgramRun } from './run.js';

type Bands = Readonly<Record<'x' | 'y', LimitBand>>;

/** One way to run the job. */
export interface WayToRun {
  readonly totalMin: number;
  /** null: not told apart. */
  readonly roughCutMin: number | null;
  readonly finishMin: number | null;
  readonly peakForceN: { readonly x: number; readonly y: number };
  readonly allowedForceN: { readonly x: number; readonly y: number };
  /** Probability that no steps are lost by cutting force in one program, as now believed. */
  readonly finishes: number;
}

export interface Retuned {
  /** The log with the run at its end, and what is believed after each of its runs. */
  readonly log: EvidenceLog;
  readonly learning: ReturnType<typeof learn>;
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
  /** The habit after a loss, to compare with: the same program with every feed halved. */
  readonly halved: WayToRun;
  /** Planned again; null where that is not possible, `refused` says why. */
  readonly fresh: WayToRun | null;
  readonly refused: string | null;
  /** Cutting force that the new plan may use. N */
  readonly allowedForceN: number;
  /** Whether force still decides the feeds: false where chip, power or feed do. */
  readonly forceBinds: boolean;
  /** What the next job may name; null where the loss taught nothing or there is no new plan. */
  readonly machine: Machine | null;
}

/** Below this probability of cutting force, a loss is said to be something else. */
const LOW_LOAD = 0.5;

/** How near the risk of the new plan comes to the one chosen: between this share of it and all. */
const NEAR_ENOUGH = 0.7;
const MOST_PLANS = 6;
/** Shares of the old program's cutting forces between which the new force is looked for. */
const LEAST_SCALE = 0.02;
const MOST_SCALE = 20;
/** A plan whose peak stays under this share of the force allowed is decided by something else. */
const BINDING_SHARE = 0.9;

/**
 * @param run      the job as it is planned now, its program laid open
 * @param log      all runs before
 * @param entry    the run to learn from; null: none, the log is read again
 * @param risk     chosen probability that one program loses steps by cutting force
 * @param note     id, date and title for the new machine file
 */
export function retune(
  run: ProgramRun,
  log: EvidenceLog,
  entry: Entry | null,
  risk: number,
  note: Omit<RetuneNote, 'runs' | 'riskPerProgram'>,
  onProgress: (p: Progress) => void = () => {},
): Retuned {
  const full = entry ? { ...log, runs: [...log.runs, entry.logged] } : log;
  const learning = learn(full, run.planned.job.material.id);
  const { steps, updates } = learning;
  const [prior, before, after] = [steps[0]!, steps[log.runs.length]!, steps.at(-1)!];
  const causes =
    entry?.range && entry.logged.outcome === 'lost'
      ? lossCauses(run, entry.range, entry.logged, before)
      : null;
  const otherCause = causes ? 1 - causes.byForce : ((entry && updates.at(-1)!.otherCause) ?? null);
  const lowLoad = otherCause !== null && otherCause > 1 - LOW_LOAD;
  const fullNote = { ...note, runs: full.runs.length, riskPerProgram: risk };
  const found = searchForce(run, after, risk, fullNote, onProgress);
  return {
    ...{ log: full, learning, causes, otherCause, lowLoad },
    bands: { prior: bandsOf(prior), before: bandsOf(before), after: bandsOf(after) },
    old: wayOf(run.planned, after),
    halved: halvedWay(run.planned, after),
    ...found,
    machine: lowLoad ? null : found.machine,
  };
}

function bandsOf(posterior: Posterior): Bands {
  return { x: limitBand(posterior, 'x'), y: limitBand(posterior, 'y') };
}

/** A plan's own program, whatever was run in its place. */
function wayOf({ summary, program, replay, job }: Plan, posterior: Posterior): WayToRun {
  const { totalMin, roughCutMin, finishMin, peakForceN } = summary.predicted;
  const { allowedForceN } = summary.limits;
  const demands = opDemands(program.ops, replay.loads, job.machine);
  const finishes = finishProbability(posterior, demandLoads(demands, 0, program.ops.length - 1));
  return { totalMin, roughCutMin, finishMin, peakForceN, allowedForceN, finishes };
}

function halvedWay(planned: Plan, posterior: Posterior): WayToRun {
  const { job, profile, cam, summary, program } = planned;
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
    peakForceN: { x: most(loads.xN), y: most(loads.yN) },
    allowedForceN: summary.limits.allowedForceN,
    finishes: finishProbability(posterior, demandLoads(demands, 0, slow.length - 1)),
  };
}

interface Tried {
  readonly forceN: number;
  readonly risk: number;
  readonly planned: Plan;
  readonly machine: Machine;
  readonly way: WayToRun;
}

/**
 * Plans again and again until the risk is a little under the one chosen. ln(risk) is close to
 * straight in ln(force), so two plans show where the next should be.
 */
function searchForce(
  run: ProgramRun,
  posterior: Posterior,
  risk: number,
  note: RetuneNote,
  onProgress: (p: Progress) => void,
): Pick<Retuned, 'fresh' | 'refused' | 'allowedForceN' | 'forceBinds' | 'machine'> {
  const { job } = run.planned;
  let forceN = leastAllowedN(run.planned) * scaleForRisk(run, posterior, risk);
  const none = (refused: string) => {
    return { fresh: null, refused, allowedForceN: forceN, forceBinds: true, machine: null };
  };
  if (!(forceN > 0)) {
    const why = `moving the axes alone brings more risk than ${(100 * risk).toFixed(1)} %`;
    return none(
      `${why}: lower acceleration and rapid feed in the machine file before cutting anything`,
    );
  }
  const tooLittle = () =>
    none(
      `only ${forceN.toFixed(0)} N of cutting force are left at this risk, too small a share of the thrust to plan with`,
    );
  const tried: Tried[] = [];
  let best: Tried | null = null;
  for (let i = 0; i < MOST_PLANS; i++) {
    onProgress({ stage: 'planning again', done: i, of: MOST_PLANS });
    const machine = retunedMachine(job.machine, posterior, forceN, note);
    if (machine === null) return tooLittle();
    let planned: Plan;
    try {
      planned = planParts({ ...job, machine });
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      if (best) break;
      return none(`at ${forceN.toFixed(0)} N the job cannot be planned: ${error.message}`);
    }
    const way = wayOf(planned, posterior);
    const one = { forceN, risk: 1 - way.finishes, planned, machine, way };
    tried.push(one);
    if (one.risk <= risk) {
      if (best === null || forceN > best.forceN) best = one;
      if (one.risk >= NEAR_ENOUGH * risk || !bindsForce(planned)) break;
    }
    forceN = nextForce(tried, risk);
  }
  if (best === null) return tooLittle();
  return {
    fresh: best.way,
    refused: null,
    allowedForceN: leastAllowedN(best.planned),
    forceBinds: bindsForce(best.planned),
    machine: best.machine,
  };
}

function leastAllowedN({ summary }: Plan): number {
  const { x, y } = summary.limits.allowedForceN;
  return Math.min(x, y);
}

function bindsForce(planned: Plan): boolean {
  const { x, y } = planned.summary.predicted.peakForceN;
  return Math.max(x, y) >= BINDING_SHARE * leastAllowedN(planned);
}

/** Force for the next try, aimed a little under the risk: by the slope of the last two tries. */
function nextForce(tried: readonly Tried[], risk: number): number {
  const aim = Math.log(risk * (0.5 + 0.5 * NEAR_ENOUGH));
  const last = tried[tried.length - 1]!;
  const before = tried[tried.length - 2];
  // Slope of ln(risk) over ln(force): 6 is typical; measured once there are two tries.
  let slope = 6;
  if (before && before.forceN !== last.forceN && before.risk > 0 && last.risk > 0) {
    slope = Math.log(last.risk / before.risk) / Math.log(last.forceN / before.forceN);
  }
  slope = Math.min(40, Math.max(2, slope));
  const step = (aim - Math.log(Math.max(1e-9, last.risk))) / slope;
  return last.forceN * Math.exp(Math.min(1, Math.max(-1, step)));
}

/** Share of the program's own cutting forces at which its risk would be the one chosen; 0: none. */
function scaleForRisk(run: ProgramRun, posterior: Posterior, risk: number): number {
  const { ops, demands } = run;
  const none = new Float64Array(ops.length);
  const still = opDemands(ops, { xN: none, yN: none }, run.planned.job.machine);
  const riskAt = (scale: number): number => {
    const tally = (axis: 'xN' | 'yN') => {
      const loads = Array.from(demands[axis], (demandN, i) => {
        const motionN = still[axis][i]!;
        return [motionN + scale * Math.max(0, demandN - motionN), demands.seconds[i]!] as const;
      });
      return tallyOf(loads);
    };
    return 1 - finishProbability(posterior, { x: tally('xN'), y: tally('yN') });
  };
  if (riskAt(LEAST_SCALE) > risk) return 0;
  const holds = (lnScale: number): boolean => riskAt(Math.exp(lnScale)) <= risk;
  return Math.exp(bisect(holds, Math.log(LEAST_SCALE), Math.log(MOST_SCALE), 18)[0]);
}

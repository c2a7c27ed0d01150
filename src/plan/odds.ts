/** How likely a plan is to reach its end, from its replay. */
import type { Process } from '../cam/process.js';
import type { CamPlan } from '../cam/sequence.js';
import { opSeconds } from '../cam/demand.js';
import { DRIVE_LOOKED_AT, LIVES_MARGIN, conditionsFor, wornOver } from '../cam/choose.js';
import { stabilityOf } from '../cam/stable.js';
import type { Replay } from '../cam/stock/replay.js';
import type { Motion } from '../cam/stock/replay/motion.js';
import { cutterForceN } from '../machines/bear/cutter.js';
import { DriveOdds, driveRisk } from '../machines/bear/drive-meter.js';
import { edgeUsePerMin, livesFor } from '../machines/bear/edge.js';
import { type Asked, type Odds, oddsBand, oddsOf } from '../machines/bear/odds.js';
import { NOT_ASKED, type Worth } from './worth.js';
import { S_PER_MIN } from '../maths/motion.js';
import { SPARE_MM } from '../maths/tolerance.js';
import { isThrustMeasured } from '../machines/bear/spread.js';
import type { Job, PlanSummary } from '../model/job.js';
import { isStated, LOADED_AXES, type Machine } from '../model/machine.js';
import type { CanonicalOp } from '../model/op.js';
import type { Plan } from '../post/plan.js';

type XY = { readonly x: number; readonly y: number };

export interface PlanOdds {
  readonly odds: Odds;
  /** With every figure a sigma worse, and a sigma better. */
  readonly band: readonly [low: number, high: number];
  readonly chatterProbability: number;
  /** Depth at which half of such machines chatter, over the depth planned. */
  readonly stabilityMargin: number;
  /** What the drives are asked for at most, friction and acceleration included, and their thrust at
   *  the risk that they may take. N */
  readonly driveDemandN: XY;
  readonly driveThrustN: XY;
  readonly worth: Worth;
  readonly restsOn: PlanSummary['predicted']['restsOn'];
  /** Minutes in the cut. */
  readonly edgeMinutes: number;
  /** Lives that all edges together are used for, the one that bears most, and that it may be. */
  readonly edgeLives: number;
  readonly edgeLivesEach: number;
  readonly edgeServedLives: number;
  readonly edgeInLives: number;
  readonly edgeLivesMost: number;
  readonly edges: number;
}

export function planOdds(
  job: Job,
  cam: Pick<CamPlan, 'process' | 'finish'> & { readonly times: { readonly totalMin: number } },
  replay: Replay,
  ops: readonly CanonicalOp[],
  worth: Worth = NOT_ASKED,
): PlanOdds {
  const { process } = cam;
  const { edges, changesAfter, servedLives } = process.way.edgeShares;
  const changedAtZMm = changesAfter.map((level) => process.levelsMm[level]!);
  const used = edgeUse(job, replay, ops, changedAtZMm);
  const edgeLivesEach = servedLives + used.livesEach;
  // What the edge has served before is in the thrust of the machine.
  const drive = driveOf(job, cam, replay, wornOver(job, used.livesEach));
  const asked: Asked = {
    driveHolds: drive.holds,
    cutterShare:
      (wornOver(job, edgeLivesEach) * replay.peakResultantN.value) /
      cutterForceN(job.cutter, process.stepdownMm),
    livesAnEdge: edgeLivesEach,
    servedLives,
    edges,
    minutes: cam.times.totalMin,
  };
  const stability = stabilityOf(job)(process.spindleRpm, replay.peakEngagementRad.value);
  return {
    odds: oddsOf(asked),
    band: oddsBand(asked, drive.holdsAt),
    chatterProbability: stability.chatter(process.stepdownMm),
    stabilityMargin: stability.margin(process.stepdownMm),
    worth,
    restsOn: restsOn(job.machine),
    driveDemandN: drive.demandN,
    driveThrustN: drive.thrustN,
    edgeMinutes: used.minutes,
    edgeLives: used.lives,
    edgeLivesEach,
    edgeServedLives: servedLives,
    edgeInLives: job.basis?.servedLives || (job.machine.learnt?.edgeLives ?? 0),
    edgeLivesMost: livesFor(job.riskShare, edges),
    edges,
  };
}

/** How often a cut is planned again because its edges do more than was reckoned. */
export const MOST_AGAIN = 2;

/** Scale of an edge's use to plan again with, where its replay finds more work for an edge than it may
 *  do, or than the odds allow for, and the choice had hoped for less; else null. */
export function edgeScaleToTry(
  { riskShare }: Pick<Job, 'riskShare'>,
  { way }: Process,
  odds: PlanOdds,
): number | null {
  const { servedLives, most } = way.edgeShares;
  const hoped = way.edgeLives * most;
  const allowed = Math.min(odds.edgeLivesMost, LIVES_MARGIN * hoped);
  const keeps = (all: number): boolean => 1 - all <= riskShare;
  const over = hoped <= odds.edgeLivesMost && odds.edgeLivesEach > allowed;
  const short = keeps(way.odds.all) && !keeps(odds.odds.all) && odds.edgeLivesEach > hoped;
  if (!over && !short) return null;
  return (way.edgeScale * (odds.edgeLivesEach - servedLives)) / (hoped - servedLives);
}

function restsOn(machine: Machine): PlanOdds['restsOn'] {
  const log = machine.learnt ?? null;
  if (log || isThrustMeasured(machine)) return { thrust: log ? 'log' : 'measured', log };
  const stated = LOADED_AXES.some((axis) => isStated(machine, `thrustN.${axis}`));
  return { thrust: stated ? 'stated' : 'profile', log };
}

/**
 * Minutes in the cut, lives of an edge that they take, and those that the edge takes which bears most.
 * @param changedAtZMm  levels of roughing after which there is a new edge, downwards
 */
export function edgeUse(
  job: Job,
  { loads }: Pick<Replay, 'loads'>,
  ops: readonly CanonicalOp[],
  changedAtZMm: readonly number[] = [],
): { readonly minutes: number; readonly lives: number; readonly livesEach: number } {
  let [minutes, edge] = [0, 0];
  const lives = [0];
  eachInCut(job, loads, ops, (op, inCutMin, used) => {
    minutes += inCutMin;
    while (edge < changedAtZMm.length && op.to[2] < changedAtZMm[edge]! - SPARE_MM) {
      edge += 1;
      lives.push(0);
    }
    lives[edge]! += used;
  });
  const all = lives.reduce((sum, one) => sum + one, 0);
  return { minutes, lives: all, livesEach: Math.max(...lives) };
}

/** Every move that cuts, with its minutes and the lives of an edge that it takes. */
export function eachInCut(
  { machine, material, cutter }: Job,
  loads: Replay['loads'],
  ops: readonly CanonicalOp[],
  visit: (op: Motion, inCutMin: number, lives: number) => void,
): void {
  const seconds = opSeconds(ops, machine);
  ops.forEach((op, i) => {
    const phiRad = loads.engagementRad[i]!;
    if (!(phiRad > 0) || !('spindleRpm' in op) || !('to' in op) || !(op.spindleRpm > 0)) return;
    const inCutMin = seconds[i]! / S_PER_MIN;
    const perMin = edgeUsePerMin(material, cutter, op.spindleRpm, phiRad, loads.axialMm[i]!);
    visit(op, inCutMin, inCutMin * perMin);
  });
}

/** Lives of an edge that a plan's minute in the cut takes. */
export function livesPerMin({ summary: { predicted } }: Pick<Plan, 'summary'>): number {
  return predicted.edgeLives / predicted.edgeMinutes;
}

/** @param worn  force at the end over the force planned with */
function driveOf(job: Job, cam: Pick<CamPlan, 'process' | 'finish'>, replay: Replay, worn: number) {
  const { process, finish } = cam;
  const drives = new DriveOdds(job.machine);
  const demands = drives.none();
  const add = (depthMm: number, phiRad: number, feedMmPerMin: number): void => {
    const conditions = {
      ...conditionsFor(job, process.spindleRpm, depthMm),
      wearFactor: job.limits.wearFactor * worn,
    };
    const intervals = [{ fromRad: 0, toRad: phiRad }];
    drives.add(demands, { conditions, feedMmPerMin, intervals, climb: true });
  };
  for (const share of DRIVE_LOOKED_AT) {
    const phiRad = share * replay.peakEngagementRad.value;
    if (phiRad > 0) add(process.stepdownMm, phiRad, process.feed(phiRad));
  }
  for (const pass of finish.passes) {
    if (pass.engagementRad > 0) add(finish.stepdownMm, pass.engagementRad, pass.feedMmPerMin);
  }
  return {
    holds: drives.hold(demands),
    /** With thrusts so many sigmas higher. */
    holdsAt: (sigmas: number) => drives.hold(demands, sigmas),
    demandN: drives.demandN(demands),
    thrustN: drives.thrustN(driveRisk(job.riskShare)),
  };
}

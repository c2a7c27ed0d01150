/** A job with its machine as the log of it has it. */
import { exp, log, rounded } from '../../maths/elementary.js';
import { normalQuantile } from '../../maths/normal.js';
import { type Basis, basisOf } from '../../model/basis.js';
import type { Job } from '../../model/job.js';
import {
  LOADED_AXES,
  type Machine,
  perLoadedAxis,
  type PerLoadedAxis,
} from '../../model/machine.js';
import { driveRisk } from '../bear/drive-meter.js';
import { livesFor } from '../bear/edge.js';
import { scaledThrust, thrustAtN } from '../bear/thrust.js';
import { WORN_FACTOR } from '../load/slope.js';
import { jobErrorFrom } from '../../text/fault.js';
import { type EvidenceLog, type Learning, baseName, edgeLeft, learn } from './evidence.js';
import { withHeard } from './heard.js';
import { readEvidenceLog } from './log.js';
import type { Belief, LimitPrior } from './belief.js';
import { thrustToCome } from './posterior.js';
import type { RunSetting } from './run-evidence.js';
import type { EdgeUse } from './survival.js';

/** How long the highest loads of a program last. s. Our own judgement; ten times as long takes 1 % off
 *  the thrust. */
const PEAK_S = 60;

/**
 * The state of the edge that the next run is planned with: at its end it is worn as its loads are reckoned
 * with, or further where it has served before.
 * @param nextLives  that the run will take; 0: not known
 */
export function edgeToPlanWith(
  servedLives: number,
  nextLives: number,
  wearFactor: number,
): EdgeUse {
  const tookLives = (wearFactor - 1) / (WORN_FACTOR - 1);
  const more = (nextLives || tookLives) - tookLives;
  const beforeLives = servedLives > 0 ? Math.max(0, servedLives + more) : 0;
  return { beforeLives, tookLives, wearFactor };
}

/** A thrust: its median, and what it is but for the risk that the drives may take. N */
export interface ThrustToPlanWith {
  readonly middleN: number;
  readonly leastN: number;
}

/**
 * The thrust that the next run is planned with. What runs, bars and edges differ by is counted on top of
 * what is not known of the thrust; a plan without a log takes the profile's spread for all of it. So that a
 * log that has taught nothing changes nothing, the profile's figure stands for an edge worn no further than
 * a plan's own until the log is sure of more, and falls as the log's does; for an edge worn further the log
 * alone counts.
 * @param belief    after the log
 * @param untaught  before it; the profile is for a new edge
 */
export function thrustToPlanWith(
  prior: PerLoadedAxis<LimitPrior>,
  { belief, untaught }: { readonly belief: Belief; readonly untaught: Belief },
  next: RunSetting,
  risk: number,
): PerLoadedAxis<ThrustToPlanWith> {
  const onNew = { ...next, edge: next.edge && { ...next.edge, beforeLives: 0 } };
  const worn = (next.edge?.beforeLives ?? 0) > 0;
  const now = thrustToCome(belief, next, PEAK_S);
  const before = thrustToCome(untaught, onNew, PEAK_S);
  return perLoadedAxis((axis) => {
    const { thrustN, sigma } = prior[axis];
    const profileN = thrustN * exp(sigma * normalQuantile(risk));
    const [byLogN, untaughtN] = [now[axis](risk), before[axis](risk)];
    return {
      middleN: (thrustN * now[axis](0.5)) / before[axis](0.5),
      leastN: worn ? byLogN : Math.max(byLogN, profileN * Math.min(1, byLogN / untaughtN)),
    };
  });
}

/** What a person asks for in place of what job and log say. */
export type Asked = Partial<Pick<Basis, 'riskShare' | 'servedLives'>>;

/** What a plan is made with. The edge of the last run serves on where the accepted risk lets it. */
function basisFor({ riskShare }: Job, { runs, pulls }: EvidenceLog, asked: Asked): Basis {
  const risk = asked.riskShare ?? riskShare;
  const { servedLives, tookLives } = edgeLeft(runs);
  const left = servedLives + tookLives > livesFor(risk) ? 0 : servedLives;
  // As exactly as it is written in a program.
  const taken = rounded(asked.servedLives ?? left, 3);
  return { riskShare: risk, servedLives: taken, runs: runs.length, pulls: pulls.length };
}

/** What a log said when it held so much. */
export function knownThen(
  known: Learning,
  { runs, pulls }: Pick<Basis, 'runs' | 'pulls'>,
): Learning {
  const { log } = known;
  const then = { ...log, runs: log.runs.slice(0, runs), pulls: log.pulls.slice(0, pulls) };
  const grown = then.runs.length < log.runs.length || then.pulls.length < log.pulls.length;
  return grown ? learn(then) : known;
}

/** The job as it was when a program was planned, by what its text states. @param text  null: as it is now */
export function asPlanned(profile: Job, known: Learning, file: string, text: string | null): Job {
  if (text === null) return withLog(profile, known, file);
  const stated = basisOf(text);
  return withLog(profile, knownThen(known, stated ?? { runs: 0, pulls: 0 }), file, stated ?? {});
}

/**
 * The job with the thrust that its machine has in the next run, as far as everything known says: profile,
 * pull tests and runs. The spread is the one that gives the thrust at the risk that the drives may take;
 * the middle is the median. Stiffness is that of the last pull test that measured it.
 * @param profile   the job as its file and the machine's have it
 * @param known     what the log of this machine says
 * @param file      name of the log, for people
 */
export function withLog(
  profile: Job,
  { log: evidence, after }: Pick<Learning, 'log' | 'after'>,
  file: string,
  asked: Asked = {},
): Job {
  const basis = basisFor(profile, evidence, asked);
  const job = asked.riskShare === undefined ? profile : withRisk(profile, asked.riskShare);
  const empty = basis.runs + basis.pulls === 0;
  if (empty && basis.servedLives === 0)
    return job.riskShare === profile.riskShare ? profile : { ...job, basis };
  const { machine } = job;
  const thrust = withThrust(machine, evidence, basis, job, after);
  if (empty) return { ...job, basis, machine: thrust };
  const provenance: Record<string, string> = { ...thrust.provenance };
  const stiffnessNPerMm = { ...machine.stiffnessNPerMm };
  for (const { date, stiffnessNPerMm: measured } of evidence.pulls) {
    Object.assign(stiffnessNPerMm, measured);
    for (const axis of Object.keys(measured)) {
      provenance[`stiffnessNPerMm.${axis}`] = `measured ${date}: pull and indicator`;
    }
  }
  for (const axis of LOADED_AXES) {
    for (const key of ['thrustN', 'thrustSpread']) provenance[`${key}.${axis}`] = 'from the log';
  }
  const learnt: Machine['learnt'] = {
    file,
    runs: evidence.runs.length,
    losses: evidence.runs.filter(({ outcome }) => outcome === 'lost').length,
    pulled: evidence.pulls.at(-1)?.date ?? null,
    edgeLives: edgeLeft(evidence.runs).servedLives,
    beganN: perLoadedAxis((axis) => evidence.prior[axis].thrustN),
    statedN: perLoadedAxis((axis) => thrustAtN(machine, axis, 0)),
  };
  const learned = { ...thrust, stiffnessNPerMm, provenance, learnt };
  return { ...job, basis, machine: withHeard(learned, evidence.runs) };
}

/** The job at another risk. */
function withRisk(job: Job, riskShare: number): Job {
  return { ...job, riskShare, defaults: (job.defaults ?? []).filter(({ key }) => key !== 'risk') };
}

/** The machine with the thrust that it has in the next run. */
function withThrust(
  machine: Machine,
  evidence: EvidenceLog,
  { servedLives, riskShare }: Basis,
  { material, limits }: Job,
  belief: Belief,
): Machine {
  const risk = driveRisk(riskShare);
  const untaught = learn({ ...evidence, runs: [], pulls: [] }).after;
  const { tookLives } = edgeLeft(evidence.runs);
  const edge = edgeToPlanWith(servedLives, tookLives, limits.wearFactor);
  const next = { material: material.id, bar: null, edge };
  const known = thrustToPlanWith(evidence.prior, { belief, untaught }, next, risk);
  const thrustN = { ...machine.thrustN };
  const thrustSpread = { ...machine.thrustSpread };
  for (const axis of LOADED_AXES) {
    const { middleN, leastN } = known[axis];
    thrustN[axis] = scaledThrust(machine.thrustN[axis], middleN);
    const sigma = log(middleN / leastN) / -normalQuantile(risk);
    thrustSpread[axis] = rounded(exp(sigma), 3);
  }
  return { ...machine, thrustN, thrustSpread };
}

/**
 * The log of a machine from its text.
 * @throws JobError for a log that cannot be read, with its lines, and for that of another machine
 */
export function logOf(machine: Pick<Machine, 'id'>, text: string, file: string): EvidenceLog {
  const log = readEvidenceLog(text, file);
  const base = baseName(machine.id);
  if (log.machine === base) return log;
  const rule = `is not the job's machine, ${base}`;
  const fix = 'name the right machine in the job, or rename the log';
  throw jobErrorFrom([{ file, place: null, key: 'machine', value: log.machine, rule, fix }]);
}

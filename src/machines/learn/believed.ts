/** A job with its machine as the log of it has it. */
import { exp, log } from '../../maths/elementary.js';
import { normalQuantile } from '../../maths/normal.js';
import type { Job } from '../../model/job.js';
import type { Machine } from '../../model/machine.js';
import { driveRisk } from '../bear/drive-meter.js';
import { thrustAtN, thrustFrom } from '../bear/thrust.js';
import { WORN_FACTOR } from '../load/slope.js';
import { jobErrorFrom } from '../../text/fault.js';
import { type EvidenceLog, type LoggedRun, baseName, learn, livesCarried } from './evidence.js';
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
 * with, or further where it carries on from the runs before.
 */
export function edgeToPlanWith(
  runs: readonly Pick<LoggedRun, 'edge'>[],
  wearFactor: number,
): EdgeUse {
  const tookLives = (wearFactor - 1) / (WORN_FACTOR - 1);
  const before = livesCarried(runs);
  const last = runs.findLast(({ edge }) => edge !== null)?.edge?.tookLives ?? 0;
  const beforeLives = before > 0 ? Math.max(0, before + last - tookLives) : 0;
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
  prior: Readonly<Record<'x' | 'y', LimitPrior>>,
  { belief, untaught }: { readonly belief: Belief; readonly untaught: Belief },
  next: RunSetting,
  risk: number,
): Readonly<Record<'x' | 'y', ThrustToPlanWith>> {
  const onNew = { ...next, edge: next.edge && { ...next.edge, beforeLives: 0 } };
  const worn = (next.edge?.beforeLives ?? 0) > 0;
  const now = thrustToCome(belief, next, PEAK_S);
  const before = thrustToCome(untaught, onNew, PEAK_S);
  const of = (axis: 'x' | 'y') => {
    const { thrustN, sigma } = prior[axis];
    const profileN = thrustN * exp(sigma * normalQuantile(risk));
    const [byLogN, untaughtN] = [now[axis].loadN(risk), before[axis].loadN(risk)];
    return {
      middleN: (thrustN * now[axis].loadN(0.5)) / before[axis].loadN(0.5),
      leastN: worn ? byLogN : Math.max(byLogN, profileN * Math.min(1, byLogN / untaughtN)),
    };
  };
  return { x: of('x'), y: of('y') };
}

/**
 * The job with the thrust that its machine has in the next run, as far as everything known says: profile,
 * pull tests and runs. The spread is the one that gives the thrust at the risk that the drives may take;
 * the middle is the median. Stiffness is that of the last pull test that measured it.
 * @param evidence  of this machine
 * @param file      name of the log, for people
 */
export function withLog(
  job: Job,
  evidence: EvidenceLog,
  file: string,
  belief: Belief = learn(evidence).after,
): Job {
  if (evidence.runs.length + evidence.pulls.length === 0) return job;
  const { machine } = job;
  const risk = driveRisk(job.riskShare);
  const untaught = learn({ ...evidence, runs: [], pulls: [] }).after;
  const edge = edgeToPlanWith(evidence.runs, job.limits.wearFactor);
  const next = { material: job.material.id, bar: null, edge };
  const known = thrustToPlanWith(evidence.prior, { belief, untaught }, next, risk);
  const thrustN = { ...machine.thrustN };
  const thrustSpread = { ...machine.thrustSpread };
  const provenance: Record<string, string> = { ...machine.provenance };
  for (const axis of ['x', 'y'] as const) {
    const { middleN, leastN } = known[axis];
    thrustN[axis] = thrustFrom(machine, axis, middleN);
    const sigma = log(middleN / leastN) / -normalQuantile(risk);
    thrustSpread[axis] = Number(exp(sigma).toFixed(3));
    for (const key of ['thrustN', 'thrustSpread']) provenance[`${key}.${axis}`] = 'from the log';
  }
  const stiffnessNPerMm = { ...machine.stiffnessNPerMm };
  for (const { date, stiffnessNPerMm: measured } of evidence.pulls) {
    Object.assign(stiffnessNPerMm, measured);
    for (const axis of Object.keys(measured)) {
      provenance[`stiffnessNPerMm.${axis}`] = `measured ${date}: pull and indicator`;
    }
  }
  const learnt: Machine['learnt'] = {
    file,
    runs: evidence.runs.length,
    losses: evidence.runs.filter(({ outcome }) => outcome === 'lost').length,
    pulled: evidence.pulls.at(-1)?.date ?? null,
    edgeLives: livesCarried(evidence.runs),
    beganN: { x: evidence.prior.x.thrustN, y: evidence.prior.y.thrustN },
    statedN: { x: thrustAtN(machine, 'x', 0), y: thrustAtN(machine, 'y', 0) },
  };
  const learned = { ...machine, thrustN, thrustSpread, stiffnessNPerMm, provenance, learnt };
  return { ...job, machine: withHeard(learned, evidence.runs) };
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

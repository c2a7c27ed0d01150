/** A job with its machine as the log of it has it. */
import { exp, log } from '../../maths/elementary.js';
import { normalQuantile } from '../../maths/normal.js';
import type { Job } from '../../model/job.js';
import type { Machine } from '../../model/machine.js';
import { driveRisk } from '../bear/drive-meter.js';
import { thrustAtN, thrustFrom } from '../bear/thrust.js';
import { WORN_FACTOR } from '../load/slope.js';
import { jobErrorFrom } from '../../text/fault.js';
import { type EvidenceLog, baseName, learn } from './evidence.js';
import { withHeard } from './heard.js';
import { readEvidenceLog } from './log.js';
import type { Belief, LimitPrior } from './belief.js';
import { thrustToCome } from './posterior.js';
import type { RunSetting } from './run-evidence.js';

/** How long the highest loads of a program last. s. Our own judgement; ten times as long takes 1 % off
 *  the thrust. */
const PEAK_S = 60;

/** The next run of a job: on a new edge, worn at its end as its loads are reckoned with, and the one bar
 *  of its material. */
function nextRun({ material, limits: { wearFactor } }: Job): RunSetting {
  const tookLives = (wearFactor - 1) / (WORN_FACTOR - 1);
  return { material: material.id, bar: null, edge: { beforeLives: 0, tookLives, wearFactor } };
}

/**
 * The job with the thrust that its machine has in the next run, as far as everything known says: profile,
 * pull tests and runs. The spread is the one that gives the thrust at the risk that the drives may take;
 * the middle is the median. Stiffness is that of the last pull test that measured it.
 *
 * What runs, bars and edges differ by is counted on top of what is not known of the thrust; a plan without
 * a log takes the profile's spread for all of it. So that a log that has taught nothing changes nothing,
 * the profile's figure stands until the log is sure of more, and falls as the log's does.
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
  const next = nextRun(job);
  const toCome = thrustToCome(belief, next, PEAK_S);
  const untaught = thrustToCome(learn({ ...evidence, runs: [], pulls: [] }).after, next, PEAK_S);
  const profileN = leastOf(evidence, risk);
  const thrustN = { ...machine.thrustN };
  const thrustSpread = { ...machine.thrustSpread };
  const provenance: Record<string, string> = { ...machine.provenance };
  for (const axis of ['x', 'y'] as const) {
    const middleN =
      (evidence.prior[axis].thrustN * toCome[axis].loadN(0.5)) / untaught[axis].loadN(0.5);
    const [byLogN, untaughtN] = [toCome[axis].loadN(risk), untaught[axis].loadN(risk)];
    const leastN = Math.max(byLogN, profileN[axis] * Math.min(1, byLogN / untaughtN));
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
    beganN: { x: evidence.prior.x.thrustN, y: evidence.prior.y.thrustN },
    statedN: { x: thrustAtN(machine, 'x', 0), y: thrustAtN(machine, 'y', 0) },
  };
  const known = { ...machine, thrustN, thrustSpread, stiffnessNPerMm, provenance, learnt };
  return { ...job, machine: withHeard(known, evidence.runs) };
}

/** Thrust that the profile has but for a risk, as when the log was begun. N */
function leastOf({ prior }: EvidenceLog, risk: number): Record<'x' | 'y', number> {
  const of = ({ thrustN, sigma }: LimitPrior) => thrustN * exp(sigma * normalQuantile(risk));
  return { x: of(prior.x), y: of(prior.y) };
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

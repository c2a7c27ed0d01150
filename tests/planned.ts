/** Plans of the shipped examples, each made once for all the test files of a worker. */
import { readFileSync, readdirSync } from 'node:fs';
import { readJob } from '../src/job/load.js';
import { sizesOf } from '../src/cam/aim.js';
import type { CamPlan } from '../src/cam/sequence.js';
import type { Plan } from '../src/post/plan.js';
import { planParts, planResult } from '../src/plan/plan.js';
import { planWarnings } from '../src/plan/warnings.js';
import type { PlanResult } from '../src/plan/plan.js';
import type { Job } from '../src/model/job.js';
import { LONG } from './cam/oracle/runs.js';

const EXAMPLES = new URL('../examples/', import.meta.url);

/** Names of the examples, without the ending, sorted. */
export function exampleNames(): string[] {
  return readdirSync(EXAMPLES)
    .filter((name) => name.endsWith('.yaml'))
    .map((name) => name.replace('.yaml', ''))
    .sort();
}

/** Left to the night: the two longest to cut, and those whose machine, form and holding others have. */
const BY_NIGHT = [
  'bark-elevator-8t-s32',
  'barrow-axle-60t-415',
  'dibber-14t-05b',
  'hedge-trimmer-13t-measured',
  'potting-machine-15t-40',
];

/** Names of the examples that are planned whole: by day those that differ most. */
export function plannedNames(): string[] {
  return exampleNames().filter((name) => LONG || !BY_NIGHT.includes(name));
}

export function exampleText(name: string): string {
  return readFileSync(new URL(`${name}.yaml`, EXAMPLES), 'utf8');
}

/** Thinner teeth: fewer levels, so that planning again and again is quick. */
export const THIN = ['thickness: auto, tip-rounding', 'thickness: 2.6 mm, tip-rounding'] as const;

/** Text of the nursery barrow with thin teeth. */
export function thinBarrow(): string {
  return exampleText('nursery-barrow').replace(...THIN);
}

/** Text of a job and what is put in its place. */
export type Change = readonly [string, string];

/** @param changes  text of the job to exchange first, which it must have */
export function exampleJob(name: string, ...changes: readonly Change[]): Job {
  const text = changes.reduce((was, [from, to]) => {
    if (!was.includes(from)) throw new Error(`${name} has no "${from}"`);
    return was.replace(from, to);
  }, exampleText(name));
  return readJob(text, `${name}.yaml`, {
    machineFile: (file) => ({ file, problem: 'is not there', fix: 'check the name' }),
  });
}

const kept = new Map<string, PlanResult>();

/** Plan of an example, its files made where they are asked for. Shared: do not change it. */
export function examplePlan(name: string, ...changes: readonly Change[]): PlanResult {
  const key = [name, ...changes.flat()].join('\n');
  const known = kept.get(key);
  if (known) return known;
  const planned = planParts(exampleJob(name, ...changes));
  let files: PlanResult['files'] | undefined;
  const plan: PlanResult = {
    ...{ planned, summary: planned.summary },
    get files() {
      return (files ??= planResult(planned).files);
    },
  };
  kept.set(key, plan);
  return plan;
}

const MACHINE = 'machine: screw-gantry-light';

/** What is added to the barrow with thin teeth for datum checks: indicators, or a pin at X 60 Y -50, which
 *  its control touches with a probe, and one that has none with a feeler. */
const PIN = 'datum: { x: 60 mm, y: -50 mm, pin-diameter: 6 mm, pin-top: 10 mm }';
const DATUM = {
  indicators: 'check-every: 5 min',
  probe: `check-every: 5 min\n${PIN}`,
  feeler: `controller: two-mode\ncheck-every: 5 min\n${PIN}`,
};

export const datumPlan = (kind: keyof typeof DATUM): PlanResult =>
  examplePlan('nursery-barrow', THIN, [MACHINE, `${MACHINE}\n${DATUM[kind]}`]);

/** What a plan warns of, were it of another job or path. */
export function warningsFor({ profile, aim, ...plan }: Plan, job: Job, cam: CamPlan = plan.cam) {
  const { sizes, settingMm } = sizesOf(job, aim, cam.finish.errorMm);
  return planWarnings(job, profile, cam, plan.bore, sizes, settingMm);
}

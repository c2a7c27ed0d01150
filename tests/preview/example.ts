import { readFileSync } from 'node:fs';
import { parseJob } from '../../src/job/load.js';
import { type PlanResult, planJob } from '../../src/plan/plan.js';
import { type PageData, pageDataOf } from '../../src/preview/data/page-data.js';

const NO_FILES = {
  machineFile: (file: string) => ({ file, problem: 'is not there', fix: 'check the name' }),
};

const kept = new Map<string, PlanResult>();

/** Plan of a shipped example, made once per test file. */
export function planned(name = 'nursery-barrow'): PlanResult {
  let result = kept.get(name);
  if (!result) {
    const text = readFileSync(`examples/${name}.yaml`, 'utf8');
    result = planJob(parseJob(text, `${name}.yaml`, NO_FILES));
    kept.set(name, result);
  }
  return result;
}

const data = new Map<string, PageData>();

export function pageData(name = 'nursery-barrow'): PageData {
  let known = data.get(name);
  if (!known) data.set(name, (known = pageDataOf(planned(name).planned)));
  return known;
}

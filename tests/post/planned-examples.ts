import { readFileSync, readdirSync } from 'node:fs';
import { parseJob } from '../../src/job/load.js';
import { planParts } from '../../src/plan/plan.js';
import type { PlannedJob } from '../../src/post/plan.js';

const kept = new Map<string, PlannedJob>();

export const EXAMPLES = readdirSync('examples')
  .filter((name) => name.endsWith('.yaml'))
  .sort();

/**
 * Plan of a shipped example, made once per test file.
 * @param change  text of the job to exchange first
 */
export function plannedExample(name: string, change?: readonly [string, string]): PlannedJob {
  const key = [name, ...(change ?? [])].join('\n');
  const known = kept.get(key);
  if (known) return known;
  const file = name.endsWith('.yaml') ? name : `${name}.yaml`;
  const shipped = readFileSync(`examples/${file}`, 'utf8');
  if (change && !shipped.includes(change[0])) throw new Error(`${file} has no "${change[0]}"`);
  const planned = planParts(
    parseJob(change ? shipped.replace(...(change as [string, string])) : shipped, file, {
      machineFile: (path) => ({ file: path, problem: 'is not there', fix: 'check the name' }),
    }),
  );
  kept.set(key, planned);
  return planned;
}

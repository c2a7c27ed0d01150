import { readFileSync, readdirSync } from 'node:fs';
import { parseJob } from '../../src/job/load.js';
import { planParts } from '../../src/job/pipeline.js';
import type { PlannedJob } from '../../src/job/planned.js';

const kept = new Map<string, PlannedJob>();

export const EXAMPLES = readdirSync('examples')
  .filter((name) => name.endsWith('.yaml'))
  .sort();

/** Plan of a shipped example, made once per test file. */
export function plannedExample(name: string): PlannedJob {
  const known = kept.get(name);
  if (known) return known;
  const file = name.endsWith('.yaml') ? name : `${name}.yaml`;
  const planned = planParts(
    parseJob(readFileSync(`examples/${file}`, 'utf8'), file, {
      machineFile: (path) => ({ file: path, problem: 'is not there', fix: 'check the name' }),
    }),
  );
  kept.set(name, planned);
  return planned;
}

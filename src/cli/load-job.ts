import { dirname, isAbsolute, join } from 'node:path';
import { JOB_FILE_LIMITS } from '../text/input.js';
import { parseJob } from '../job/load.js';
import type { Job } from '../model/job.js';
import { PathError } from './command.js';
import type { Env } from './env.js';
import { readTextFile } from './io/read-text.js';

/**
 * Job from a file that a person named. A machine file that the job names is looked for from the
 * job's own folder.
 * @throws JobError with every fault; UserError when a file cannot be read
 */
export function loadJob(path: string, env: Env): Job {
  const text = readTextFile(path, env.cwd, JOB_FILE_LIMITS.maxBytes);
  return parseJob(text, path, {
    machineFile(name) {
      const file = isAbsolute(name) ? name : join(dirname(path), name);
      try {
        return { file, text: readTextFile(file, env.cwd, JOB_FILE_LIMITS.maxBytes) };
      } catch (error) {
        if (!(error instanceof PathError)) throw error;
        return { file, problem: error.rule, fix: error.fix };
      }
    },
  });
}

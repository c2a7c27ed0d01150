import { dirname, isAbsolute, join } from 'node:path';
import { JOB_FILE_LIMITS } from '../text/yaml-text.js';
import { type FileText, readJob } from '../job/load.js';
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
  return readJob(text, path, { machineFile: (name) => machineFile(name, dirname(path), env) });
}

/** Text of a machine file that is named from a folder, or why it cannot be had. */
export function machineFile(name: string, folder: string, env: Env): FileText {
  const file = isAbsolute(name) ? name : join(folder, name);
  try {
    return { file, text: readTextFile(file, env.cwd, JOB_FILE_LIMITS.maxBytes) };
  } catch (error) {
    if (!(error instanceof PathError)) throw error;
    return { file, problem: error.rule, fix: error.fix };
  }
}

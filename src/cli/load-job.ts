import { existsSync } from 'node:fs';
import { dirname, isAbsolute, join, resolve } from 'node:path';
import { JOB_FILE_LIMITS } from '../text/yaml-text.js';
import { type FileText, type JobResolvers, readJob } from '../job/load.js';
import type { Job } from '../model/job.js';
import { PathError } from './command.js';
import type { Env } from './env.js';
import { readTextFile } from './io/read-text.js';

/**
 * Job from a file that a person named, with what the log of its machine says. Files that the job names
 * are looked for from its own folder.
 * @throws JobError with every fault; UserError when a file cannot be read
 */
export function loadJob(path: string, env: Env): Job {
  const text = readTextFile(path, env.cwd, JOB_FILE_LIMITS.maxBytes);
  return readJob(text, path, fileResolvers(dirname(path), env));
}

export const MAX_LOG_BYTES = 16 * 1024 * 1024;

/** How a job in a folder gets at the files that it names, and at the log of its machine. */
export function fileResolvers(folder: string, env: Env): JobResolvers {
  return {
    machineFile: (name) => machineFile(name, folder, env),
    evidenceLog: (name) => {
      const there = existsSync(resolve(env.cwd, folder, name));
      return there ? machineFile(name, folder, env, MAX_LOG_BYTES) : null;
    },
  };
}

/** Text of a machine file that is named from a folder, or why it cannot be had. */
export function machineFile(
  name: string,
  folder: string,
  env: Env,
  maxBytes = JOB_FILE_LIMITS.maxBytes,
): FileText {
  const file = isAbsolute(name) ? name : join(folder, name);
  try {
    return { file, text: readTextFile(file, env.cwd, maxBytes) };
  } catch (error) {
    if (!(error instanceof PathError)) throw error;
    return { file, problem: error.rule, fix: error.fix };
  }
}

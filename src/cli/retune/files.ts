/** The log of a machine: found, read, added to. */
import { existsSync } from 'node:fs';
import { basename, dirname, isAbsolute, join, resolve } from 'node:path';
import { evidenceLogName } from '../../text/file-name.js';
import { logOf } from '../../machines/learn/believed.js';
import { type Learning, learn, newEvidenceLog } from '../../machines/learn/evidence.js';
import { evidenceLogText, withPull, withRun } from '../../machines/learn/log.js';
import { readJob } from '../../job/load.js';
import type { Job } from '../../model/job.js';
import type { Machine } from '../../model/machine.js';
import type { Evidence } from '../../plan/retune/retune.js';
import { plainText } from '../../text/program-text.js';
import { JOB_FILE_LIMITS, readJobInput } from '../../text/yaml-text.js';
import type { Env } from '../env.js';
import { replaceFile } from '../io/one-file.js';
import { aboutPath, readTextFile } from '../io/read-text.js';
import { uninterrupted } from '../io/signals.js';
import { MAX_LOG_BYTES, fileResolvers } from '../load-job.js';

export interface LogFile {
  /** As a person would give it. */
  readonly path: string;
  readonly name: string;
  /** What it says. */
  readonly known: Learning;
  readonly text: string;
}

/** A job with its machine as the profile has it, and the log of that machine. */
export function profileAndLog(path: string, env: Env): { profile: Job; file: LogFile } {
  const text = readTextFile(path, env.cwd, JOB_FILE_LIMITS.maxBytes);
  const folder = dirname(path);
  const { machineFile } = fileResolvers(folder, env);
  const profile = readJob(text, path, { machineFile });
  const machineName = String(readJobInput(text, path).input['machine']);
  return { profile, file: logFileOf(folder, machineName, profile.machine, env) };
}

/**
 * The log beside the machine file, or beside the job where the machine is a shipped one; a new one where
 * there is none yet.
 * @param folder       of the job
 * @param machineName  as the job has it: a name or a path
 * @throws JobError for a log that cannot be read, with its lines
 */
function logFileOf(folder: string, machineName: string, machine: Machine, env: Env): LogFile {
  const own = evidenceLogName(machineName, machine.id);
  const path = isAbsolute(own) ? own : join(folder, own);
  const name = basename(path);
  if (!existsSync(resolve(env.cwd, path))) {
    const log = newEvidenceLog(machine);
    return { path, name, known: learn(log), text: evidenceLogText(log) };
  }
  const text = readTextFile(path, env.cwd, MAX_LOG_BYTES);
  return { path, name, known: learn(logOf(machine, text, path)), text };
}

/** What the log calls a program. @param jobPath  as the person gave it */
export function runName(jobPath: string, digest: string): string {
  return `${plainText(basename(jobPath))} ${digest}`;
}

/** Writes the log with what was added to it: the whole file, or none of it. */
export function addToLog({ path, text }: LogFile, { entry, pull }: Evidence, cwd: string): void {
  if (!entry && !pull) return;
  const more = entry ? withRun(text, entry.logged) : text;
  const whole = pull ? withPull(more, pull) : more;
  uninterrupted(() => aboutPath(path, () => replaceFile(resolve(cwd, path), whole)));
}

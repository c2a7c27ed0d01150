/** The files beside a machine file: the evidence log, and the files that retuning adds. */
import { existsSync, renameSync, rmSync } from 'node:fs';
import { basename, dirname, extname, isAbsolute, join, resolve } from 'node:path';
import { jobErrorFrom } from '../../text/fault.js';
import { isPath } from '../../job/load.js';
import { readEvidenceLog } from '../../machines/learn/log.js';
import { type EvidenceLog, baseName } from '../../machines/learn/evidence.js';
import { PathError } from '../command.js';
import type { Env } from '../env.js';
import { aboutPath } from '../io/fs-fault.js';
import { writeFlushed } from '../io/output-folder.js';
import { readTextFile } from '../io/read-text.js';

const MAX_LOG_BYTES = 8 * 1024 * 1024;
const MAX_REVISIONS = 999;

export interface RetuneFiles {
  /** Path of the log as a person would give it. */
  readonly log: string;
  /** New machine file: a name that nothing has yet. */
  readonly machine: string;
  /** Id of the machine in it. */
  readonly id: string;
}

/**
 * Where things go: beside the machine file, or beside the job where the machine is a shipped one.
 * @param machineName  as the job has it: a name or a path
 * @param machineId    id of the machine
 */
export function retuneFiles(
  jobPath: string,
  machineName: string,
  machineId: string,
  cwd: string,
): RetuneFiles {
  const jobFolder = dirname(jobPath);
  const name = isPath(machineName) ? machineName : `${machineId}.yaml`;
  const path = isAbsolute(name) ? name : join(jobFolder, name);
  const folder = dirname(path);
  const stem = baseName(basename(path, extname(path)));
  for (let n = 1; n <= MAX_REVISIONS; n++) {
    const machine = join(folder, `${stem}-r${n}.yaml`);
    if (existsSync(resolve(cwd, machine))) continue;
    return {
      log: join(folder, `${stem}.evidence.yaml`),
      machine,
      id: `${baseName(machineId).slice(0, 36)}-r${n}`,
    };
  }
  throw new PathError(folder, `holds ${MAX_REVISIONS} revisions of ${stem}`, 'clear some away');
}

/**
 * The log, or null where there is none yet.
 * @throws JobError for a log that cannot be read, with its lines
 */
export function readLog(path: string, env: Env): { log: EvidenceLog; text: string } | null {
  if (!existsSync(resolve(env.cwd, path))) return null;
  const text = readTextFile(path, env.cwd, MAX_LOG_BYTES);
  const { log, faults } = readEvidenceLog(text, path);
  if (log === null) throw jobErrorFrom(faults);
  return { log, text };
}

/** Writes a file that must not be there yet. */
export function writeNew(path: string, cwd: string, text: string): void {
  aboutPath(path, () => {
    try {
      writeFlushed(resolve(cwd, path), text);
    } catch (error) {
      if ((error as { code?: string }).code !== 'EEXIST') throw error;
      throw new PathError(path, 'is there already and is never overwritten', 'run again');
    }
  });
}

/** Puts a text in the place of another as a whole or not at all. */
export function replaceText(path: string, cwd: string, text: string): void {
  const target = resolve(cwd, path);
  const part = `${target}.part`;
  aboutPath(path, () => {
    rmSync(part, { force: true });
    try {
      writeFlushed(part, text);
      renameSync(part, target);
    } catch (error) {
      rmSync(part, { force: true });
      throw error;
    }
  });
}

/** Takes back a file that was just written. */
export function takeBack(path: string, cwd: string): void {
  rmSync(resolve(cwd, path), { force: true });
}

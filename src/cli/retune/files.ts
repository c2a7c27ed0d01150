/** The files beside a machine file: the evidence log, and the files that retuning adds. */
import { existsSync, rmSync } from 'node:fs';
import { basename, dirname, extname, isAbsolute, join, relative, resolve } from 'node:path';
import { isPath } from '../../job/load.js';
import { readEvidenceLog, withRun } from '../../machines/learn/log.js';
import { type EvidenceLog, type LoggedRun, baseName } from '../../machines/learn/evidence.js';
import { machineFileText } from '../../machines/machine-file.js';
import type { Machine } from '../../model/machine.js';
import { PathError } from '../command.js';
import type { Env } from '../env.js';
import { replaceFile } from '../io/one-file.js';
import { writeFlushed } from '../io/output-folder.js';
import { aboutPath, errorCode, readTextFile } from '../io/read-text.js';
import { uninterrupted } from '../io/signals.js';

const MAX_LOG_BYTES = 8 * 1024 * 1024;
const MAX_REVISIONS = 999;

export interface RetuneFiles {
  /** Path of the log as a person would give it. */
  readonly log: string;
  /** New machine file: a name that nothing has yet. */
  readonly machine: string;
  /** The same as the job would name it: from the job's own folder. */
  readonly machineInJob: string;
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
  const name = isPath(machineName) ? machineName : `${machineId}.yaml`;
  const path = isAbsolute(name) ? name : join(dirname(jobPath), name);
  const folder = dirname(path);
  const stem = baseName(basename(path, extname(path)));
  for (let n = 1; n <= MAX_REVISIONS; n++) {
    const machine = join(folder, `${stem}-r${n}.yaml`);
    if (existsSync(resolve(cwd, machine))) continue;
    const inJob = relative(dirname(resolve(cwd, jobPath)), resolve(cwd, machine));
    return {
      log: join(folder, `${stem}.evidence.yaml`),
      machine,
      machineInJob: inJob.replaceAll('\\', '/'),
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
  return { log: readEvidenceLog(text, path), text };
}

/** Writes a file that must not be there yet. */
export function writeNew(path: string, cwd: string, text: string): void {
  aboutPath(path, () => {
    try {
      writeFlushed(resolve(cwd, path), text);
    } catch (error) {
      if (errorCode(error) !== 'EEXIST') throw error;
      throw new PathError(path, 'is there already and is never overwritten', 'run again');
    }
  });
}

/**
 * Log and machine file, both or neither.
 * @param logText  the log so far
 */
export function writeFiles(
  files: RetuneFiles,
  cwd: string,
  logText: string,
  logged: LoggedRun | null,
  machine: Machine | null,
) {
  return uninterrupted(() => writeBoth(files, cwd, logText, logged, machine));
}

function writeBoth(
  files: RetuneFiles,
  cwd: string,
  logText: string,
  logged: LoggedRun | null,
  machine: Machine | null,
) {
  if (machine !== null) {
    const heading =
      'Written by gullet retune; the figures that came from runs say so. Name this file in the job\n' +
      `to use it. What the runs showed is in ${basename(files.log)} beside it.`;
    writeNew(files.machine, cwd, machineFileText(machine, heading));
  }
  if (logged !== null) {
    aboutPath(files.log, () => {
      try {
        replaceFile(resolve(cwd, files.log), withRun(logText, logged));
      } catch (error) {
        if (machine !== null) rmSync(resolve(cwd, files.machine), { force: true });
        throw error;
      }
    });
  }
  return { log: logged !== null, machine: machine !== null };
}

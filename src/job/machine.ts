import { findMachine, readMachineFile } from '../machines/machines.js';
import type { Machine } from '../model/machine.js';
import type { JobFault } from '../text/fault.js';

/** Text of a file that a job names, or why it cannot be had. `file` is the name for messages. */
export type FileText =
  | { readonly file: string; readonly text: string }
  | { readonly file: string; readonly problem: string; readonly fix: string };

/** How a job gets at what it names but does not hold; the command passes the file system. */
export interface JobResolvers {
  readonly machineFile: (path: string) => FileText;
}

/** A name with a slash, or one that ends like a text file, is a path. */
export function isPath(name: string): boolean {
  return /[\\/]|\.(?:ya?ml|json)$/i.test(name);
}

/**
 * Machine by its name, or from a person's own file.
 * @param key  where the job names it, for a fault of the name itself
 * @returns    the machine or the faults; faults inside the file name the file and the line there
 * @throws     UnknownNameError for a name that no shipped profile has
 */
export function findJobMachine(
  name: string,
  resolvers: JobResolvers,
  key: Pick<JobFault, 'file' | 'place' | 'key'>,
): Machine | readonly JobFault[] {
  if (!isPath(name)) return findMachine(name);
  const found = resolvers.machineFile(name);
  if ('problem' in found) {
    return [{ ...key, value: name, rule: found.problem, fix: found.fix }];
  }
  return readMachineFile(found.text, found.file);
}

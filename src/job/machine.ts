import { MachineFileError, findMachine, parseMachine } from '../machines/machines.js';
import type { Machine } from '../model/machine.js';
import type { JobFault, Place } from '../text/fault.js';
import { type YamlLimits, type YamlNode, readYamlText, toPlain } from '../text/yaml-text.js';

/** Text of a file that a job names, or why it cannot be had. `file` is the name for messages. */
export type FileText =
  | { readonly file: string; readonly text: string }
  | { readonly file: string; readonly problem: string; readonly fix: string };

/** How a job gets at what it names but does not hold; the command passes the file system. */
export interface JobResolvers {
  readonly machineFile: (path: string) => FileText;
}

const MACHINE_FILE_LIMITS: YamlLimits = {
  maxBytes: 256 * 1024,
  maxKeys: 2000,
  maxDepth: 8,
  lists: true,
};

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
  const { root, faults } = readYamlText(found.text, found.file, MACHINE_FILE_LIMITS);
  if (root === null) return faults;
  try {
    return parseMachine(toPlain(root), found.file);
  } catch (error) {
    if (!(error instanceof MachineFileError)) throw error;
    return error.faults.map(({ path, value, rule, fix }) => {
      const place = path === null ? null : placeOf(root, path.split('.'));
      return { file: found.file, place, key: path, value, rule, fix };
    });
  }
}

/** Place of the deepest key on the way to a path that the file has. */
function placeOf(node: YamlNode, path: readonly string[]): Place | null {
  if (node.kind !== 'map') return null;
  const entry = node.entries.find(({ key }) => key === path[0]);
  return entry ? (placeOf(entry.value, path.slice(1)) ?? entry.place) : null;
}

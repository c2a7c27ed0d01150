/** The shipped machine profiles, and reading a user's own. */
import data from './machines.json' with { type: 'json' };
import { UnknownNameError, findByName } from '../text/lookup.js';
import { readMachine } from './machine-file.js';
import type { Machine } from '../model/machine.js';

export { MachineFileError } from './machine-error.js';
export type { MachineFileFault } from './machine-error.js';
export { UnknownNameError } from '../text/lookup.js';

const shipped: readonly Machine[] = data.machines.map((content) =>
  readMachine(content, 'machines.json', []),
);

/** The shipped profiles, lightest first. */
export function listMachines(): readonly Machine[] {
  return shipped;
}

/**
 * Shipped profile with this id; letter case and hyphens aside.
 * @throws UnknownNameError with the nearest ids
 */
export function findMachine(id: string): Machine {
  const found = findByName(shipped, id);
  if (found === null) {
    throw new UnknownNameError(
      'machine',
      id,
      shipped.map((machine) => machine.id),
    );
  }
  return found;
}

/**
 * Machine from a user's own file. Same keys as the shipped profiles: every figure a number or
 * `{ value, source }`; axis figures for x, y and z or once for all; `basedOn` names a shipped
 * profile that fills in what is left out.
 * @param content   the parsed file (JSON or YAML)
 * @param fileName  for messages, and as provenance of figures that give no source
 * @throws MachineFileError naming file, figure, value and rule; `faults` holds all of them
 */
export function parseMachine(content: unknown, fileName: string): Machine {
  return readMachine(content, fileName, shipped);
}

/** Dotted paths of the figures of a machine that nobody measured or published: guesses to check. */
export function unmeasuredFigures(machine: Machine): readonly string[] {
  return Object.entries(machine.provenance)
    .filter(([, source]) => /from memory|common practice/.test(source))
    .map(([path]) => path);
}

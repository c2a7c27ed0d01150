/** The shipped machine profiles, and reading a user's own. */
import data from './machines.json' with { type: 'json' };
import { type JobFault, jobErrorFrom } from '../text/fault.js';
import { faultLog } from '../text/fields.js';
import { readWritten } from '../text/yaml-text.js';
import { findRow } from '../text/lookup.js';
import { readMachine } from './machine-file.js';
import type { Machine } from '../model/machine.js';

const shipped: readonly Machine[] = data.machines.map((content) => {
  const log = faultLog('machines.json', new Map(), 'a machine file');
  const machine = readMachine(content, 'machines.json', [], log);
  if (machine === null) throw jobErrorFrom(log.faults);
  return machine;
});

/** The shipped profiles, lightest first. */
export function listMachines(): readonly Machine[] {
  return shipped;
}

/**
 * Shipped profile with this id; letter case and hyphens aside.
 * @throws UnknownNameError with the nearest ids
 */
export function findMachine(id: string): Machine {
  return findRow('machine', shipped, id);
}

const LIMITS = { maxBytes: 256 * 1024, maxKeys: 2000, maxDepth: 8, lists: true } as const;

/**
 * Machine from the text of a user's own file, YAML or JSON. Same keys as the shipped profiles:
 * every figure a number or `{ value, source }`; axis figures for x, y and z or once for all;
 * `basedOn` names a shipped profile that fills in what is left out.
 * @param file  name for messages, and as provenance of figures that give no source
 * @returns     the machine, or every fault with file, line, key, value and rule
 */
export function readMachineFile(text: string, file: string): Machine | readonly JobFault[] {
  const { input, places, faults } = readWritten(text, file, LIMITS);
  if (faults.length > 0) return faults;
  const log = faultLog(file, places, 'a machine file');
  return readMachine(input, file, shipped, log) ?? log.faults;
}

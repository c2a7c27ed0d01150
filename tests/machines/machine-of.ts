import { readMachineFile } from '../../src/machines/machines.js';
import type { Machine } from '../../src/model/machine.js';
import { jobErrorFrom } from '../../src/text/fault.js';

/** Machine from the content of a machine file. @throws JobError with every fault */
export function machineOf(content: object | string, file: string): Machine {
  const text = typeof content === 'string' ? content : JSON.stringify(content);
  const found = readMachineFile(text, file);
  if ('id' in found) return found;
  throw jobErrorFrom(found);
}

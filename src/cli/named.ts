/** Machines, cutters and rows of tables that options name. */
import { completeCutter, cutterFaults, findCutter } from '../machines/cutters.js';
import { findJobMachine } from '../job/load.js';
import type { Cutter, Machine } from '../model/machine.js';
import { jobErrorFrom } from '../text/fault.js';
import { UnknownNameError } from '../text/lookup.js';
import { showText } from '../text/show.js';
import { UserError } from './command.js';
import type { Env } from './env.js';
import { machineFile } from './load-job.js';
import { parseLength } from './retune/args.js';

/** What a name of an option stands for. @throws UserError with the nearest names */
function named<T>(command: string, option: string, find: () => T): T {
  try {
    return find();
  } catch (error) {
    if (!(error instanceof UnknownNameError)) throw error;
    throw new UserError(
      `${command}: --${option}: ${error.message} (gullet list ${option}s shows all)`,
    );
  }
}

/** Shipped profile, or a person's own from its path. */
export function machineNamed(command: string, name: string, env: Env): Machine {
  const key = { file: '--machine', place: null, key: 'machine' };
  const resolvers = { machineFile: (path: string) => machineFile(path, '.', env) };
  const found = named(command, 'machine', () => findJobMachine(name, resolvers, key));
  if ('id' in found) return found;
  throw jobErrorFrom(found);
}

/** Cutter of the table, or one filled in from a diameter. */
export function cutterNamed(command: string, name: string): Cutter {
  if (!/^\s*[\d.]/.test(name)) return named(command, 'cutter', () => findCutter(name));
  const { cutter } = completeCutter({ diameterMm: parseLength(name, 'cutter', command) });
  const fault = cutterFaults(cutter)[0];
  if (!fault) return cutter;
  throw new UserError(`${command}: --cutter "${showText(name)}" ${fault.rule}; ${fault.fix}`);
}

import { resolve } from 'node:path';
import { readTaps } from '../machines/learn/tap.js';
import {
  TAPPED,
  TAP_BANDS,
  type TapNote,
  type Tapped,
  tappedMachine,
} from '../machines/learn/tap-machine.js';
import { MAX_WAV_BYTES, recordingOf } from '../machines/learn/wav.js';
import { machineFileText } from '../machines/machine-file.js';
import { completeCutter, cutterFaults, findCutter } from '../machines/cutters.js';
import { findJobMachine } from '../job/load.js';
import type { Cutter, Machine } from '../model/machine.js';
import { jobErrorFrom } from '../text/fault.js';
import { UnknownNameError } from '../text/lookup.js';
import { showText } from '../text/show.js';
import {
  type CommonArgs,
  PathError,
  UserError,
  asPathError,
  choiceOption,
  command,
  textOption,
} from './command.js';
import type { Env } from './env.js';
import { aboutPath, errorCode, readByteFile } from './io/read-text.js';
import { machineFile } from './load-job.js';
import { parseLength } from './retune/args.js';
import { writeFlushed } from './io/output-folder.js';
import { tapHelp, tapText } from '../say/tap-text.js';

interface TapArgs extends CommonArgs {
  readonly recording?: string;
  readonly where: Tapped;
  readonly axis?: 'x' | 'y';
  readonly cutter?: string;
  readonly 'stick-out'?: string;
  readonly machine?: string;
  readonly out?: string;
}

export const tap = command<TapArgs>({
  name: 'tap',
  usage: 'tap [recording]',
  summary: 'Natural frequency and damping from a recording of light taps.',
  positionals: {
    recording: { type: 'string', describe: 'WAV file, any phone; without it, how to record one' },
  },
  options: {
    where: {
      ...choiceOption(TAPPED, 'what was tapped'),
      demandOption: 'say what was tapped: cutter, mount or gantry',
    },
    axis: choiceOption(['x', 'y'], 'direction of the taps, for mount and gantry'),
    cutter: textOption('for a tapped cutter: cutter of the table, or a diameter'),
    'stick-out': textOption('for a tapped cutter: how far it stood out, as "12 mm"'),
    machine: textOption('machine profile, or a path to your own, to take the figures'),
    out: textOption('machine file to write; must not be there yet'),
  },
  examples: [
    ['$0 tap --where mount', 'how to tap and record'],
    [
      '$0 tap mount-x.wav --where mount --axis x --machine my.yaml --out my-2.yaml',
      'into a machine file',
    ],
  ],
  run(args, env) {
    const { where, recording } = args;
    if (recording === undefined) {
      const text = tapHelp(where);
      return { exit: 0, text, json: { where, how: text } };
    }
    const note = noteOf(args, env);
    if ((args.machine === undefined) !== (args.out === undefined)) {
      throw new UserError(
        'tap: --machine and --out go together; give both, or neither to only look',
      );
    }
    const bytes = readByteFile(recording, env.cwd, MAX_WAV_BYTES);
    try {
      const { samples, rateHz } = recordingOf(bytes);
      const reading = readTaps(samples, rateHz, TAP_BANDS[where]);
      const written = args.out === undefined ? null : write(args, reading, note, env);
      const text = [tapText(where, note.axis, reading), ...(written === null ? [] : [written])];
      return {
        exit: 0,
        text: text.join('\n\n'),
        json: { where, axis: note.axis, ...reading, wrote: args.out ?? null },
      };
    } catch (error) {
      throw asPathError(error, recording, 'record again');
    }
  },
});

function noteOf(args: TapArgs, env: Env): TapNote {
  const { where, axis = null } = args;
  const cutter = where === 'cutter';
  if (cutter && axis !== null) {
    throw new UserError(
      'tap: --axis is for mount and gantry; a cutter rings alike both ways, leave it out',
    );
  }
  if (!cutter && axis === null && args.out !== undefined) {
    throw new UserError(
      `tap: --axis is missing; give the direction in which the ${where} was tapped`,
    );
  }
  if (cutter && args.out !== undefined && args.cutter === undefined) {
    throw new UserError(
      'tap: --cutter is missing; name the cutter that was tapped and its --stick-out',
    );
  }
  return { where, axis, cutter: cutterOf(args), date: env.today() };
}

function cutterOf(args: TapArgs): Cutter | null {
  if (args.cutter === undefined) return null;
  const found = cutterNamed(args.cutter);
  const given = args['stick-out'];
  if (given === undefined) return found;
  const stickOutMm = parseLength(given, 'stick-out', 'tap');
  if (!(stickOutMm > 0 && stickOutMm < 200)) {
    throw new UserError(
      `tap: --stick-out ${stickOutMm} mm cannot be; give how far the cutter stands out`,
    );
  }
  return { ...found, stickOutMm, fluteLengthMm: Math.min(found.fluteLengthMm, stickOutMm) };
}

/** What a name of an option stands for. @throws UserError with the nearest names */
function named<T>(option: string, find: () => T): T {
  try {
    return find();
  } catch (error) {
    if (!(error instanceof UnknownNameError)) throw error;
    throw new UserError(`tap: --${option}: ${error.message} (gullet list ${option}s shows all)`);
  }
}

/** Shipped profile, or a person's own from its path. */
function machineNamed(name: string, env: Env): Machine {
  const key = { file: '--machine', place: null, key: 'machine' };
  const resolvers = { machineFile: (path: string) => machineFile(path, '.', env) };
  const found = named('machine', () => findJobMachine(name, resolvers, key));
  if ('id' in found) return found;
  throw jobErrorFrom(found);
}

/** Cutter of the table, or one filled in from a diameter. */
function cutterNamed(name: string): Cutter {
  if (!/^\s*[\d.]/.test(name)) return named('cutter', () => findCutter(name));
  const { cutter } = completeCutter({ diameterMm: parseLength(name, 'cutter', 'tap') });
  const fault = cutterFaults(cutter)[0];
  if (!fault) return cutter;
  throw new UserError(`tap: --cutter "${showText(name)}" ${fault.rule}; ${fault.fix}`);
}

/** Writes the machine file. @returns what was written, in words */
function write(
  args: TapArgs,
  reading: ReturnType<typeof readTaps>,
  note: TapNote,
  env: Env,
): string {
  const machine = machineNamed(args.machine!, env);
  const tapped = tappedMachine(machine, reading, note);
  const heading = 'Written by gullet tap; the figures that were measured say so.';
  writeNew(args.out!, env.cwd, machineFileText(tapped, heading));
  return `Wrote ${args.out}. To cut with it, put "machine: ${args.out}" in the job and plan.`;
}

/** Writes a file that must not be there yet. */
function writeNew(path: string, cwd: string, text: string): void {
  aboutPath(path, () => {
    try {
      writeFlushed(resolve(cwd, path), text);
    } catch (error) {
      if (errorCode(error) !== 'EEXIST') throw error;
      throw new PathError(path, 'is there already and is never overwritten', 'run again');
    }
  });
}

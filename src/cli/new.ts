import { dirname } from 'node:path';
import { missingKeys, newJobText } from '../job/new-job.js';
import { loadJobText } from '../job/load.js';
import { fieldAt } from '../job/schema.js';
import { cutterForGaps } from '../cam/flutes.js';
import { wheelOf } from '../profile/wheel/sprocket.js';
import { showText } from '../text/show.js';
import { type CommonArgs, OVERWRITE, UserError, command, textOption } from './command.js';
import type { Env } from './env.js';
import { writeOne } from './io/one-file.js';
import { machineFile } from './load-job.js';

/** Options for the keys that nearly every job sets, with what is taken for those that are left out. */
const OPTIONS = {
  title: ['title', 'title of the job', null],
  chain: ['chain.designation', 'designation, such as 420', null],
  teeth: ['sprocket.teeth', 'teeth of the sprocket', null],
  bore: ['bore.diameter', 'bore diameter, such as "14 mm"', null],
  material: ['material', 'material of the blank', '42CrMo4-annealed'],
  machine: ['machine', 'machine profile, or a file of your own', 'screw-gantry-light'],
  cutter: ['cutter.diameter', 'cutter diameter', 'one that fits the gaps'],
} as const;
type OptionName = keyof typeof OPTIONS;

interface NewArgs extends CommonArgs, Partial<Readonly<Record<OptionName, string>>> {
  readonly file: string;
  readonly set?: readonly string[];
  readonly force?: boolean;
}

export const newJob = command<NewArgs>({
  name: 'new',
  usage: 'new <file>',
  summary:
    'Write a job file with remarks: what you give filled in, every other key with its range.',
  positionals: { file: { type: 'string', describe: 'job file to write (YAML)' } },
  options: {
    ...Object.fromEntries(
      Object.entries(OPTIONS).map(([name, [, describe, taken]]) => [
        name,
        textOption(taken === null ? describe : `${describe} [${taken}]`),
      ]),
    ),
    set: {
      type: 'string',
      array: true,
      requiresArg: true,
      describe: 'any other key, as in --set "drive.power=1.1 kW"; more than once if need be',
    },
    force: OVERWRITE,
  },
  examples: [
    ['$0 new pinion.yaml --chain 420 --teeth 12 --bore "14 mm"', 'a job that can be planned'],
    ['$0 new pinion.yaml', 'asks at a terminal for what a job must have'],
  ],
  async run(args, env) {
    const values = await answered(givenValues(args), env);
    if (values[CUTTER] === OPTIONS.cutter[2]) values[CUTTER] = usualCutter(values, args.file, env);
    const text = newJobText(values);
    checkGiven(text, values, args.file, env);
    writeOne(args.file, env.cwd, text, args.force === true);
    const missing = missingKeys(values);
    const next =
      missing.length > 0
        ? `Still to be given in it: ${missing.join(', ')}.`
        : `Next: gullet plan ${args.file}, or gullet preview ${args.file}.`;
    return { exit: 0, text: `Wrote ${args.file}. ${next}`, json: { file: args.file, missing } };
  },
});

const CUTTER = OPTIONS.cutter[0];

function loaded(text: string, file: string, env: Env) {
  return loadJobText(text, file, { machineFile: (name) => machineFile(name, dirname(file), env) });
}

/** Diameter of a cutter on file that goes well with the gaps; of any where they are not known yet. */
function usualCutter(values: Record<string, string>, file: string, env: Env): string {
  const { job } = loaded(newJobText({ ...values, [CUTTER]: '3 mm' }), file, env);
  return `${job ? cutterForGaps(job, wheelOf(job)) : 3} mm`;
}

function givenValues(args: NewArgs): Record<string, string> {
  const values: Record<string, string> = {};
  for (const [name, [key, , taken]] of Object.entries(OPTIONS)) {
    const value = args[name as OptionName] ?? taken;
    if (value !== null) values[key] = value;
  }
  for (const entry of args.set ?? []) {
    const [key, ...rest] = entry.split('=');
    if (rest.length === 0 || fieldAt(key!.trim()) === null) {
      throw new UserError(
        `new: --set "${showText(entry)}" names no key of a job; write it like "drive.power=1.1 kW"`,
      );
    }
    values[key!.trim()] = rest.join('=').trim();
  }
  if (values['cutter.file'] !== undefined) values[CUTTER] = args.cutter ?? '';
  return values;
}

/** Asks at a terminal for what is missing; elsewhere it stays to be given. */
async function answered(values: Record<string, string>, env: Env): Promise<Record<string, string>> {
  if (!env.ask) return values;
  const all = { ...values };
  for (const key of missingKeys(values)) {
    const field = fieldAt(key);
    const range = field && 'min' in field ? `, ${field.min} to ${field.max}` : '';
    const answer = (await env.ask(`${key} (${field?.what ?? ''}${range}): `)).trim();
    if (answer !== '') all[key] = answer;
  }
  return all;
}

/** @throws JobError for what was given and is wrong; what is still to be given is no fault yet */
function checkGiven(text: string, values: Record<string, string>, file: string, env: Env): void {
  const { error } = loaded(text, file, env);
  const missing = missingKeys(values);
  const faults = (error?.errors ?? []).filter(({ key }) => key === null || !missing.includes(key));
  const [first] = faults;
  if (first) throw first;
}

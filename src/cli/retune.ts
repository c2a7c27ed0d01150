import { asPlanned } from '../machines/learn/believed.js';
import { shiftsFromSides } from '../machines/learn/offsets.js';
import { PULL_TEST_TEMPLATE, pullOf } from '../machines/learn/pull-test.js';
import type { Job } from '../model/job.js';
import { DIRECTIONS, EVENTS, LOST_AXES, TOLD, stretchOf } from '../say/given-run.js';

import {
  type CommandResult,
  type CommonArgs,
  FORCE,
  JOB,
  MAX_PROGRAM_BYTES,
  UserError,
  choiceOption,
  command,
  textOption,
} from './command.js';
import type { Env } from './env.js';
import { withOutputFolder } from './io/output-folder.js';
import { withProgress } from './progress.js';
import { readTextFile } from './io/read-text.js';
import { given, parseLength, parseRisk, parseSides, withPlaces } from './retune/args.js';
import { type EventArgs, checkEvent, runOn, seenOf } from './retune/event.js';
import { type LogFile, addToLog, profileAndLog, runName } from './retune/files.js';
import { readMeasured } from './retune/pull.js';
import { type RetuneReport, learningSvg, retunePage, retuneResult } from './retune/report.js';

interface RetuneArgs extends CommonArgs, EventArgs {
  readonly job: string;
  readonly inside?: boolean;
  readonly 'measured-to': string;
  readonly program?: string;
  readonly 'pull-test'?: string;
  readonly risk?: string;
  readonly out?: string;
  readonly force?: boolean;
  readonly 'dry-run'?: boolean;
}

export const retune = command<RetuneArgs>({
  name: 'retune',
  usage: 'retune <job>',
  summary: 'Learn from a run that finished or lost steps, or from a pull test.',
  positionals: { job: { ...JOB, describe: `${JOB.describe} of the run` } },
  options: {
    event: choiceOption(
      EVENTS,
      'how the run ended, or what was heard: quiet finished without a howl; left out, the log is read and nothing is added',
    ),
    at: textOption(TOLD.at),
    axis: choiceOption(LOST_AXES, TOLD.axis),
    direction: choiceOption(Object.keys(DIRECTIONS), TOLD.direction),
    amount: textOption(TOLD.amount),
    pitch: textOption(TOLD.pitch),
    measured: textOption('sides of the wrong part: "x+: 1.5 mm too far, x-: untouched"'),
    inside: { type: 'boolean', describe: 'the measured sides are those of a bore' },
    'measured-to': textOption('how fine the sides were measured', { default: '0.05 mm' }),
    edge: textOption(TOLD.edge),
    changes: textOption(TOLD.changes),
    bar: textOption(TOLD.bar),
    'pull-test': textOption(
      'readings of a pull with a scale until the axis slips, a file; without a name: how it is done, and the file to fill in',
    ),
    out: textOption('folder for the report as a page with the learning curve'),
    force: { ...FORCE, describe: 'write there even where the folder holds files of other origin' },
    program: textOption('the program that ran, where it is not the one planned now'),
    note: textOption(TOLD.note),
    risk: textOption('risk to plan again with, per cent [the risk of the job]'),
    'dry-run': { type: 'boolean', describe: 'print only; write no file' },
  },
  examples: [
    [
      '$0 retune pinion.yaml --event lost --at 15200-15900 --axis x --direction minus',
      'a loss seen between two lines',
    ],
    ['$0 retune pinion.yaml --event quiet', 'a run that went well without a howl is evidence, too'],
    [
      '$0 retune pinion.yaml --event chatter --at 13431 --pitch "480 Hz"',
      'a howl heard at a line, and its pitch',
    ],
    ['$0 retune pinion.yaml --pull-test > pull.yaml', 'how to pull, and a file for the readings'],
    ['$0 retune pinion.yaml --measured "x+: 1.5 mm too far, x-: untouched"', 'from the wrong part'],
  ],
  async run(args, env) {
    const risk = args.risk === undefined ? null : parseRisk(args.risk, 'retune');
    checkEvent(args);
    if (args['pull-test'] === '') return { exit: 0, text: PULL_TEST_TEMPLATE.trimEnd(), json: {} };
    const { profile, file } = profileAndLog(args.job, env);
    const work = { profile, file, riskShare: risk ?? profile.riskShare };
    const write = args['dry-run'] !== true;
    if (args.out === undefined) {
      const report = await learnFrom(work, args, env);
      if (write) addToLog(file, report, env.cwd);
      return retuneResult(report, write, args.units, null);
    }
    const out = args.out;
    return withOutputFolder(out, env.cwd, args.force, async (commit): Promise<CommandResult> => {
      const report = await learnFrom(work, args, env);
      const page = retunePage(report, args.units, env.today());
      commit({ 'retune.html': page, 'learning-curve.svg': learningSvg(report) });
      if (write) addToLog(file, report, env.cwd);
      return retuneResult(report, write, args.units, `${out}/retune.html`);
    });
  },
});

interface Work {
  /** The job with its machine as the profile has it. */
  readonly profile: Job;
  readonly file: LogFile;
  readonly riskShare: number;
}

/** Everything that a run or a pull test teaches. */
async function learnFrom(work: Work, args: RetuneArgs, env: Env): Promise<RetuneReport> {
  const { profile, file, riskShare } = work;
  const measureMm = measuredTo(args);
  const { machine } = profile;
  const shifts =
    args.measured === undefined
      ? null
      : shiftsFromSides(parseSides(args.measured), machine, measureMm, args.inside === true);
  const text =
    args.program === undefined ? null : readTextFile(args.program, env.cwd, MAX_PROGRAM_BYTES);
  const seen = seenOf(args, shifts, env);
  const on = runOn(args);
  const measured =
    args['pull-test'] === undefined ? null : readMeasured(args['pull-test'], machine, env);
  const pull = measured && pullOf(measured, env.today());

  const [{ planParts }, { programRun, runEntry }, tuning] = await Promise.all([
    import('../plan/plan.js'),
    import('../plan/retune/run.js'),
    import('../plan/retune/retune.js'),
  ]);
  return withProgress(env, args.quiet, (update) => {
    const job = asPlanned(profile, file.known, file.name, text);
    const run = programRun(planParts(job, update), text);
    const program = runName(args.job, run.digest);
    const at = stretchOf(given(args.at ?? 'whole', 'at'));
    const entry = seen && withPlaces('--at', 'retune', () => runEntry(run, seen, at, program, on));
    const next = { ...profile, riskShare };
    const retuned = tuning.retune(run, next, file.known, file.name, { entry, pull }, update);
    const shown = { job: next, path: args.job };
    return { ...shown, run, seen, entry, on, pull, measured, shifts, retuned, file, measureMm };
  });
}

function measuredTo(args: RetuneArgs): number {
  const fine = parseLength(args['measured-to'], 'measured-to');
  if (fine > 0) return fine;
  throw new UserError('retune: --measured-to is not above 0; write it as 0.05 mm');
}

import { basename } from 'node:path';
import { JOB_FILE_LIMITS, readJobInput } from '../text/yaml-text.js';
import { evidenceLogText } from '../machines/learn/log.js';
import { shiftsFromSides } from '../machines/learn/offsets.js';
import { type EvidenceLog, baseName, newEvidenceLog } from '../machines/learn/evidence.js';
import type { Job } from '../model/job.js';
import { plainText } from '../text/program-text.js';
import {
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
import { loadJob } from './load-job.js';
import { withOutputFolder } from './io/output-folder.js';
import { withProgress } from './progress.js';
import { readTextFile } from './io/read-text.js';
import { parseLength, parseSides, parseStretch, withPlaces } from './retune/args.js';
import { EVENTS, type EventArgs, checkEvent, ladderEntry, seenOf } from './retune/event.js';
import { type RetuneFiles, readLog, retuneFiles, writeFiles } from './retune/files.js';
import { pullResult } from './retune/pull.js';
import {
  type RetuneReport,
  type Wrote,
  learningSvg,
  retunePage,
  retuneResult,
} from './retune/report.js';

interface RetuneArgs extends CommonArgs, EventArgs {
  readonly job: string;
  readonly inside?: boolean;
  readonly 'measured-to': string;
  readonly program?: string;
  readonly 'pull-test'?: string;
  readonly risk: string;
  readonly out?: string;
  readonly force?: boolean;
  readonly 'dry-run'?: boolean;
}

const RISK_PERCENT = { min: 0.01, max: 50 } as const;

export const retune = command<RetuneArgs>({
  name: 'retune',
  usage: 'retune <job>',
  summary: 'Learn from a run that finished or lost steps, and plan the job again.',
  positionals: { job: { ...JOB, describe: `${JOB.describe} of the run` } },
  options: {
    event: choiceOption(
      EVENTS,
      'how the run ended, or what was heard: quiet finished without a howl; left out, the log is read and nothing is added',
    ),
    at: textOption(
      'where the loss was seen or the howl heard: 15200, 15200-15900, "41-44 min", "rough 5", "check 3", "depth 2.4 mm" [anywhere]',
    ),
    axis: choiceOption(['x', 'y', 'z', 'unknown'], 'axis that lost steps [unknown]'),
    direction: choiceOption(['plus', 'minus'], 'which way the machine ended up off'),
    amount: textOption('by how much, "1.5 mm"'),
    pitch: textOption('pitch of the howl, as a tuner on a phone shows it: "480 Hz"'),
    measured: textOption('sides of the wrong part: "x+: 1.5 mm too far, x-: untouched"'),
    inside: { type: 'boolean', describe: 'the measured sides are those of a bore' },
    'measured-to': textOption('how fine the sides were measured', { default: '0.05 mm' }),
    ladder: textOption(
      'the run was a ladder: its ladder-x.json or ladder-y.json; --at names the rung',
    ),
    'pull-test': textOption(
      'readings of a pull test (YAML): stiffness and thrust into a new machine file',
    ),
    out: textOption('folder for the report as a page with the learning curve'),
    force: { ...FORCE, describe: 'write there even where the folder holds files of other origin' },
    program: textOption('the program that ran, where it is not the one planned now'),
    note: textOption('a remark for the log'),
    risk: textOption('risk of lost steps in one program, per cent', { default: '1' }),
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
    [
      '$0 retune pinion.yaml --ladder out/ladder/ladder-x.json --event lost --at "X plus 3" --axis x',
      'a ladder that ended at a rung',
    ],
    ['$0 retune pinion.yaml --measured "x+: 1.5 mm too far, x-: untouched"', 'from the wrong part'],
  ],
  async run(args, env) {
    const risk = parseRisk(args.risk);
    checkEvent(args);
    const job = loadJob(args.job, env);
    const { input } = readJobInput(
      readTextFile(args.job, env.cwd, JOB_FILE_LIMITS.maxBytes),
      args.job,
    );
    const files = retuneFiles(args.job, String(input['machine']), job.machine.id, env.cwd);
    const dryRun = args['dry-run'] === true;
    if (args['pull-test'] !== undefined) {
      if (args.event !== undefined || args.measured !== undefined) {
        throw new UserError('retune: --pull-test is evidence of its own; give it alone');
      }
      return pullResult(job, args['pull-test'], files, dryRun, args.quiet, env);
    }
    if (args.out === undefined) {
      const { report, write } = await learnFrom(job, files, risk, args, env);
      return retuneResult(report, dryRun ? null : write(), args.units, null);
    }
    const out = args.out;
    return withOutputFolder(out, env.cwd, args.force, async (commit) => {
      const { report, write } = await learnFrom(job, files, risk, args, env);
      const page = retunePage(report, args.units, env.today());
      commit({ 'retune.html': page, 'learning-curve.svg': learningSvg(report) });
      return retuneResult(report, dryRun ? null : write(), args.units, `${out}/retune.html`);
    });
  },
});

/** Everything that a run teaches, and a function that writes log and machine file. */
async function learnFrom(
  job: Job,
  files: RetuneFiles,
  risk: number,
  args: RetuneArgs,
  env: Env,
): Promise<{ report: RetuneReport; write: () => Wrote }> {
  const measureMm = measuredTo(args);
  const shifts =
    args.measured === undefined
      ? null
      : shiftsFromSides(parseSides(args.measured), job.machine, measureMm, args.inside === true);
  const stored = readLog(files.log, env);
  const log = stored?.log ?? newEvidenceLog(job.machine);
  checkMachine(log, job.machine.id, files.log);
  const text =
    args.program === undefined ? null : readTextFile(args.program, env.cwd, MAX_PROGRAM_BYTES);
  const seen = seenOf(args, shifts, env);
  // A ladder is judged without planning anything: faults in it come first.
  const ladderRun =
    seen && args.ladder !== undefined ? ladderEntry(seen, args, job.machine.id, env) : null;

  const [{ planParts }, { programRun, runEntry }, tuning] = await Promise.all([
    import('../plan/plan.js'),
    import('../plan/retune/run.js'),
    import('../plan/retune/retune.js'),
  ]);
  return withProgress(env, args.quiet, (update) => {
    const run = programRun(planParts(job, update), text);
    const at = parseStretch((ladderRun ? null : args.at) ?? 'whole');
    const program = `${plainText(basename(args.job))} ${run.digest}`;
    const entry = ladderRun
      ? { logged: ladderRun, range: null }
      : seen && withPlaces('--at', 'retune', () => runEntry(run, seen, at, program));
    const note = { id: files.id, date: env.today() };
    const retuned = tuning.retune(run, log, entry, risk, note, update);
    const logged = entry?.logged ?? null;
    const logText = stored?.text ?? evidenceLogText(log);
    return {
      report: { job, run, seen, logged, shifts, retuned, risk, files, measureMm },
      write: () => writeFiles(files, env.cwd, logText, logged, retuned.machine),
    };
  });
}

function parseRisk(text: string): number {
  const percentage = /^\d+(\.\d+)?( ?%)?$/.test(text) ? Number.parseFloat(text) : NaN;
  if (percentage >= RISK_PERCENT.min && percentage <= RISK_PERCENT.max) return percentage / 100;
  throw new UserError(
    `retune: --risk "${plainText(text)}" is not between ${RISK_PERCENT.min} and ${RISK_PERCENT.max} per cent; write a number, as 1`,
  );
}

function checkMachine(log: EvidenceLog, id: string, path: string): void {
  const base = baseName(id);
  if (log.machine === base) return;
  throw new UserError(
    `${path}: machine: ${log.machine} is not the job's machine, ${base}; name the right machine in the job, or rename the log`,
  );
}

function measuredTo(args: RetuneArgs): number {
  const fine = parseLength(args['measured-to'], 'measured-to');
  if (fine > 0) return fine;
  throw new UserError('retune: --measured-to is not above 0; write it as 0.05 mm');
}

import { basename, dirname, relative, resolve } from 'node:path';
import { readJobInput } from '../text/yaml-text.js';
import { evidenceLogText, withRun } from '../machines/learn/log.js';
import { machineFileText } from '../machines/machine-file.js';
import { shiftsFromSides } from '../machines/learn/offsets.js';
import {
  type EvidenceLog,
  type LoggedRun,
  baseName,
  newEvidenceLog,
} from '../machines/learn/evidence.js';
import type { Machine } from '../model/machine.js';
import { plainText } from '../text/program-text.js';
import { type CommonArgs, UserError, command, textOption } from './command.js';
import type { Env } from './env.js';
import { loadJob } from './load-job.js';
import { withOutputFolder } from './io/output-folder.js';
import { withProgress } from './progress.js';
import { readTextFile } from './io/read-text.js';
import { parseLength, parseSides } from './retune/args.js';
import { type EventArgs, checkEvent, ladderEntry, programEntry, seenOf } from './retune/event.js';
import {
  type RetuneFiles,
  readLog,
  replaceText,
  retuneFiles,
  takeBack,
  writeNew,
} from './retune/files.js';
import { pullResult } from './retune/pull.js';
import { type RetuneReport, learningSvg, retunePage, retuneResult } from './retune/report.js';
import { LOW_LOAD } from './retune/text.js';

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

const MAX_PROGRAM_BYTES = 64 * 1024 * 1024;
const MAX_JOB_BYTES = 256 * 1024;
const RISK_PERCENT = { min: 0.01, max: 50 } as const;

export const retune = command<RetuneArgs>({
  name: 'retune',
  usage: 'retune <job>',
  summary: 'Learn from a run that finished or lost steps, and plan the job again.',
  positionals: {
    job: { type: 'string', describe: 'job file (YAML) of the run' },
  },
  options: {
    event: {
      choices: ['finished', 'lost'],
      requiresArg: true,
      describe: 'how the run ended; left out, the log is read and nothing is added',
    },
    at: textOption(
      'where the loss was seen: 15200, 15200-15900, "41-44 min", "rough 5", "check 3", "depth 2.4 mm" [anywhere]',
    ),
    axis: {
      choices: ['x', 'y', 'z', 'unknown'],
      requiresArg: true,
      describe: 'axis that lost steps [unknown]',
    },
    direction: {
      choices: ['plus', 'minus'],
      requiresArg: true,
      describe: 'which way the machine ended up off',
    },
    amount: textOption('by how much, "1.5 mm"'),
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
    force: {
      type: 'boolean',
      describe: 'write there even where the folder holds files of other origin',
    },
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
    ['$0 retune pinion.yaml --event finished', 'a run that went well is evidence too'],
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
    const machineName = String(
      readJobInput(readTextFile(args.job, env.cwd, MAX_JOB_BYTES), args.job).input['machine'],
    );
    const files = retuneFiles(args.job, machineName, job.machine.id, env.cwd);
    const dryRun = args['dry-run'] === true;
    if (args['pull-test'] !== undefined) {
      if (args.event !== undefined || args.measured !== undefined) {
        throw new UserError('retune: --pull-test is evidence of its own; give it alone');
      }
      const inJob = machineInJob(files.machine, args.job, env.cwd);
      return pullResult(job, args['pull-test'], files, { dryRun, quiet: args.quiet, inJob }, env);
    }
    if (args.out === undefined) {
      const { report, write } = await learnFrom(job, files, risk, args, env);
      return retuneResult({ ...report, wrote: dryRun ? null : write() }, args.units, null);
    }
    const out = args.out;
    return withOutputFolder(out, env.cwd, args.force === true, async (commit) => {
      const { report, write } = await learnFrom(job, files, risk, args, env);
      const page = retunePage(report, args.units, env.today());
      commit({ 'retune.html': page, 'learning-curve.svg': learningSvg(report) });
      const wrote = dryRun ? null : write();
      return retuneResult({ ...report, wrote }, args.units, `${out}/retune.html`);
    });
  },
});

/** Everything that a run teaches, and a function that writes log and machine file. */
async function learnFrom(
  job: ReturnType<typeof loadJob>,
  files: RetuneFiles,
  risk: number,
  args: RetuneArgs,
  env: Env,
): Promise<{ report: RetuneReport; write: () => NonNullable<RetuneReport['wrote']> }> {
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

  const [{ planParts }, runs, tuning, { lossCauses }] = await Promise.all([
    import('../plan/plan.js'),
    import('../plan/retune/run.js'),
    import('../plan/retune/retune.js'),
    import('../plan/retune/causes.js'),
  ]);
  return withProgress(env, args.quiet, (update) => {
    const run = runs.programRun(planParts(job, update), text);
    const entry = seen && ladderRun === null ? programEntry(seen, args, run, runs) : null;
    const logged = ladderRun ?? entry?.logged ?? null;
    const full: EvidenceLog = logged ? { ...log, runs: [...log.runs, logged] } : log;
    const note = { id: files.id, date: env.today(), jobTitle: plainText(job.title) };
    const retuned = tuning.retune(job, run, full, risk, note, update);
    const before = retuned.learning.steps[log.runs.length]!;
    const causes =
      entry?.logged.outcome === 'lost' ? lossCauses(run, entry.range, entry.logged, before) : null;
    const learned = retuned.learning.updates[log.runs.length]?.otherCause ?? null;
    const otherCause = causes ? 1 - causes.byForce : learned;
    const report: RetuneReport = {
      ...{ job, run, logged, shifts, causes, otherCause, retuned, full, risk, files, measureMm },
      machineInJob: machineInJob(files.machine, args.job, env.cwd),
      beforeBands: tuning.bandsOf(before),
      wrote: null,
    };
    const unlearned = otherCause !== null && otherCause > 1 - LOW_LOAD;
    const machine = unlearned ? null : retuned.machine;
    const write = () =>
      writeFiles(files, env, stored?.text ?? evidenceLogText(log), logged, machine);
    return { report, write };
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
  if (!(fine > 0)) throw new UserError('retune: --measured-to is not above 0; write it as 0.05 mm');
  return fine;
}

/** Path of a machine file as the job would name it: from the job's own folder. */
export function machineInJob(machine: string, job: string, cwd: string): string {
  return relative(dirname(resolve(cwd, job)), resolve(cwd, machine)).replaceAll('\\', '/');
}

/** Log and machine file, both or neither. */
function writeFiles(
  files: RetuneFiles,
  env: Env,
  logText: string,
  logged: LoggedRun | null,
  machine: Machine | null,
): { log: boolean; machine: boolean } {
  if (machine !== null) {
    const heading =
      'Written by gullet retune; the figures that came from runs say so. Name this file in the job\n' +
      `to use it. What the runs showed is in ${basename(files.log)} beside it.`;
    writeNew(files.machine, env.cwd, machineFileText(machine, heading));
  }
  if (logged !== null) {
    try {
      replaceText(files.log, env.cwd, withRun(logText, logged));
    } catch (error) {
      if (machine !== null) takeBack(files.machine, env.cwd);
      throw error;
    }
  }
  return { log: logged !== null, machine: machine !== null };
}

import { basename } from 'node:path';
import { readJobInput } from '../job/input.js';
import type * as RetuneRun from '../job/retune-run.js';
import type { OpRange, ProgramRun } from '../job/retune-run.js';
import type { LossCauses } from '../job/retune-causes.js';
import type { Bands, Retuned } from '../job/retune.js';
import { plainText } from '../post/writer/text.js';
import { evidenceLogText, withRun } from '../machines/evidence-log.js';
import { machineFileText } from '../machines/evidence-machine.js';
import { type AxisShift, shiftsFromSides } from '../machines/evidence-offsets.js';
import {
  type EvidenceLog,
  type LoggedRun,
  baseName,
  newEvidenceLog,
} from '../machines/evidence.js';
import { runSigma } from '../machines/posterior-model.js';
import type { AxisName, Machine } from '../machines/types.js';
import { type CommandResult, type CommonArgs, UserError, command } from './command.js';
import type { Env } from './env.js';
import { plural } from './format.js';
import { loadJob } from './load-job.js';
import { progressLine } from './progress.js';
import { readTextFile } from './read-text.js';
import { parseLength, parseSides, parseStretch } from './retune-args.js';
import {
  type RetuneFiles,
  readLog,
  replaceText,
  retuneFiles,
  takeBack,
  writeNew,
} from './retune-files.js';
import {
  LOW_LOAD,
  bandsText,
  causesText,
  footing,
  headline,
  percent,
  shiftsText,
  sideBySide,
} from './retune-text.js';

interface RetuneArgs extends CommonArgs {
  readonly job: string;
  readonly event?: 'finished' | 'lost';
  readonly at?: string;
  readonly axis?: AxisName | 'unknown';
  readonly direction?: 'plus' | 'minus';
  readonly amount?: string;
  readonly measured?: string;
  readonly inside?: boolean;
  readonly 'measured-to': string;
  readonly program?: string;
  readonly note?: string;
  readonly risk: string;
  readonly 'dry-run'?: boolean;
}

const MAX_PROGRAM_BYTES = 64 * 1024 * 1024;
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
    at: {
      type: 'string',
      requiresArg: true,
      describe: 'where the loss was seen: 15200, 15200-15900, "41-44 min", "rough 5" [anywhere]',
    },
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
    amount: { type: 'string', requiresArg: true, describe: 'by how much, "1.5 mm"' },
    measured: {
      type: 'string',
      requiresArg: true,
      describe: 'sides of the wrong part: "x+: 1.5 mm too far, x-: untouched"',
    },
    inside: { type: 'boolean', describe: 'the measured sides are those of a bore' },
    'measured-to': {
      type: 'string',
      requiresArg: true,
      default: '0.05 mm',
      describe: 'how fine the sides were measured',
    },
    program: {
      type: 'string',
      requiresArg: true,
      describe: 'the program that ran, where it is not the one planned now',
    },
    note: { type: 'string', requiresArg: true, describe: 'a remark for the log' },
    risk: {
      type: 'string',
      requiresArg: true,
      default: '1',
      describe: 'risk of lost steps in one program, per cent',
    },
    'dry-run': { type: 'boolean', describe: 'print only; write no file' },
  },
  examples: [
    [
      '$0 retune pinion.yaml --event lost --at 15200-15900 --axis x --direction minus',
      'a loss seen between two lines',
    ],
    ['$0 retune pinion.yaml --event finished', 'a run that went well is evidence too'],
    ['$0 retune pinion.yaml --measured "x+: 1.5 mm too far, x-: untouched"', 'from the wrong part'],
  ],
  async run(args, env) {
    const risk = parseRisk(args.risk);
    checkTogether(args);
    const job = loadJob(args.job, env);
    const machineName = String(
      readJobInput(readTextFile(args.job, env.cwd, MAX_PROGRAM_BYTES), args.job).input['machine'],
    );
    const files = retuneFiles(args.job, machineName, job.machine.id, env.cwd);
    const shifts = measuredShifts(args, job);
    const stored = readLog(files.log, env);
    const log = stored?.log ?? newEvidenceLog(job.machine);
    checkMachine(log, job.machine.id, files.log);
    const text =
      args.program === undefined ? null : readTextFile(args.program, env.cwd, MAX_PROGRAM_BYTES);

    const [{ planParts }, runs, tuning, { lossCauses }] = await Promise.all([
      import('../job/pipeline.js'),
      import('../job/retune-run.js'),
      import('../job/retune.js'),
      import('../job/retune-causes.js'),
    ]);
    const progress = progressLine(env, args.quiet);
    try {
      const run = runs.programRun(
        planParts(job, (p) => progress.update(p)),
        text,
      );
      const seen = eventOf(args, shifts, env);
      const range = seen && runs.findStretch(run, seen.stretch);
      const logged =
        seen && range ? loggedRun(seen, run, range, runs, args.job, job.material.id) : null;
      const full: EvidenceLog = logged ? { ...log, runs: [...log.runs, logged] } : log;
      const note = { id: files.id, date: env.today(), jobTitle: plainText(job.title) };
      const retuned = tuning.retune(job, run, full, risk, note, (p) => progress.update(p));
      const { steps } = retuned.learning;
      const before = steps[log.runs.length]!;
      const causes =
        logged?.suspect && range
          ? lossCauses(
              run,
              range,
              logged.held,
              before,
              logged.axis,
              logged.direction,
              runSigma(true),
            )
          : null;
      progress.end();
      const beforeBands = tuning.bandsOf(before);
      const wrote =
        args['dry-run'] === true
          ? null
          : writeFiles(
              files,
              env,
              stored?.text ?? null,
              log,
              logged,
              causes !== null && causes.byForce < LOW_LOAD ? null : retuned.machine,
            );
      return report(
        { job, run, logged, shifts, causes, beforeBands, retuned, full, risk, files, wrote },
        args,
      );
    } finally {
      progress.end();
    }
  },
});

function parseRisk(text: string): number {
  const percentage = /^\d+(\.\d+)?( ?%)?$/.test(text) ? Number.parseFloat(text) : NaN;
  if (percentage >= RISK_PERCENT.min && percentage <= RISK_PERCENT.max) return percentage / 100;
  throw new UserError(
    `retune: --risk "${plainText(text)}" is not between ${RISK_PERCENT.min} and ${RISK_PERCENT.max} per cent; write a number, as 1`,
  );
}

function checkTogether(args: RetuneArgs): void {
  const lost = args.event === 'lost' || (args.event === undefined && args.measured !== undefined);
  if (args.event === 'finished' && args.measured !== undefined) {
    throw new UserError(
      'retune: --measured tells of a wrong part, --event finished of a good one; give one of them',
    );
  }
  for (const key of ['at', 'axis', 'direction', 'amount'] as const) {
    if (args[key] === undefined || lost) continue;
    throw new UserError(`retune: --${key} tells of a loss; add --event lost`);
  }
  if (args.event === undefined && args.measured === undefined && args.note !== undefined) {
    throw new UserError('retune: --note belongs to a run; add --event finished or --event lost');
  }
}

function checkMachine(log: EvidenceLog, id: string, path: string): void {
  const base = baseName(id);
  if (log.machine === base) return;
  throw new UserError(
    `${path}: machine: ${log.machine} is not the job's machine, ${base}; name the right machine in the job, or rename the log`,
  );
}

function measuredShifts(args: RetuneArgs, job: ReturnType<typeof loadJob>) {
  if (args.measured === undefined) return null;
  const fine = parseLength(args['measured-to'], 'measured-to');
  if (!(fine > 0)) throw new UserError('retune: --measured-to is not above 0; write it as 0.05 mm');
  return shiftsFromSides(parseSides(args.measured), job.machine, fine, args.inside === true);
}

interface Seen {
  readonly outcome: 'finished' | 'lost';
  readonly date: string;
  readonly stretch: ReturnType<typeof parseStretch>;
  readonly axis: AxisName | null;
  readonly direction: '+' | '-' | null;
  readonly amountMm: number | null;
  readonly note: string | null;
}

/** What the person saw; null when there is nothing to add. */
function eventOf(args: RetuneArgs, shifts: readonly AxisShift[] | null, env: Env): Seen | null {
  if (args.event === undefined && shifts === null) return null;
  const stretch = parseStretch(args.at ?? 'whole');
  const note = args.note === undefined ? null : plainText(args.note).slice(0, 200);
  const date = env.today();
  if (args.event === 'finished') {
    return {
      outcome: 'finished',
      date,
      stretch,
      axis: null,
      direction: null,
      amountMm: null,
      note,
    };
  }
  const off = (shifts ?? []).filter((s) => s.off).sort((a, b) => b.fullSteps - a.fullSteps)[0];
  if (shifts !== null && off === undefined && args.event === undefined) return null;
  return {
    outcome: 'lost',
    date,
    stretch,
    axis:
      args.axis === undefined ? (off?.axis ?? null) : args.axis === 'unknown' ? null : args.axis,
    direction:
      args.direction === undefined
        ? off === undefined
          ? null
          : off.shiftMm > 0
            ? '+'
            : '-'
        : args.direction === 'plus'
          ? '+'
          : '-',
    amountMm:
      args.amount === undefined
        ? off === undefined
          ? null
          : Math.abs(off.shiftMm)
        : Math.abs(parseLength(args.amount, 'amount')),
    note,
  };
}

/** The part of the planning side that lays a run open; loaded when it is needed. */
type RunKernel = Pick<typeof RetuneRun, 'loadsOf' | 'loadsBefore'>;

function loggedRun(
  seen: Seen,
  run: ProgramRun,
  range: OpRange,
  runs: RunKernel,
  jobPath: string,
  material: string,
): LoggedRun {
  const { outcome, date, axis, direction, amountMm, note } = seen;
  const program = `${plainText(basename(jobPath))} ${run.digest}`;
  const common = { outcome, date, axis, direction, amountMm, note, program, material };
  if (outcome === 'finished') {
    const all = { first: 0, last: run.ops.length - 1, text: '' };
    return { ...common, seen: null, held: runs.loadsOf(run, all), suspect: null };
  }
  return {
    ...common,
    seen: range.text.replaceAll('"', ''),
    held: runs.loadsBefore(run, range),
    suspect: runs.loadsOf(run, range),
  };
}

/** Log and machine file, both or neither. */
function writeFiles(
  files: RetuneFiles,
  env: Env,
  logText: string | null,
  log: EvidenceLog,
  logged: LoggedRun | null,
  machine: Machine | null,
): { log: boolean; machine: boolean } {
  if (machine !== null) {
    const heading =
      'Written by gullet retune; the figures that came from runs say so. Name this file in the job\n' +
      'to use it. What the runs showed is in the evidence log beside it.';
    writeNew(files.machine, env.cwd, machineFileText(machine, heading));
  }
  if (logged !== null) {
    try {
      replaceText(files.log, env.cwd, withRun(logText ?? evidenceLogText(log), logged));
    } catch (error) {
      if (machine !== null) takeBack(files.machine, env.cwd);
      throw error;
    }
  }
  return { log: logged !== null, machine: machine !== null };
}

interface Report {
  readonly job: ReturnType<typeof loadJob>;
  readonly run: ProgramRun;
  readonly logged: LoggedRun | null;
  readonly shifts: readonly AxisShift[] | null;
  readonly causes: LossCauses | null;
  readonly beforeBands: Bands;
  readonly retuned: Retuned;
  readonly full: EvidenceLog;
  readonly risk: number;
  readonly files: RetuneFiles;
  readonly wrote: { log: boolean; machine: boolean } | null;
}

function report(r: Report, args: RetuneArgs): CommandResult {
  const { job, logged, shifts, causes, retuned, files } = r;
  const blocks: string[][] = [[headline(job, logged, args.units)]];
  if (r.run.doubt !== null) blocks.push([`Note: ${r.run.doubt}.`]);
  if (shifts !== null) blocks.push(shiftsText(shifts, args.units));
  if (causes !== null && logged !== null) {
    blocks.push(causesText(causes, logged, job, r.beforeBands));
  }
  blocks.push(bandsText(r.beforeBands, retuned.afterBands));
  blocks.push(sideBySide(retuned, 'as planned', r.risk));
  blocks.push(footing(r.full, job));
  const wrote: string[] = [];
  if (r.wrote?.log)
    wrote.push(`Added to ${files.log}: ${plural(r.full.runs.length, 'run')} so far.`);
  if (r.wrote?.machine) {
    wrote.push(
      `Wrote ${files.machine}. To cut with it, put "machine: ${basename(files.machine)}" in the job and plan.`,
    );
  }
  if (r.wrote?.log && !r.wrote.machine && retuned.machine !== null) {
    wrote.push('No new machine file: this loss says nothing about cutting force.');
  }
  if (r.wrote === null) wrote.push('Nothing was written (--dry-run).');
  if (wrote.length > 0) blocks.push(wrote);
  const places = causes?.places.slice(0, 20) ?? [];
  return {
    exit: retuned.fresh === null ? 1 : 0,
    text: blocks.map((lines) => lines.join('\n')).join('\n\n'),
    json: {
      title: job.title,
      runs: r.full.runs.length,
      event: logged && { ...logged, held: undefined, suspect: undefined },
      shifts,
      causes: causes && { byForce: causes.byForce, axis: causes.axis, places },
      limitN: { prior: retuned.priorBands, before: r.beforeBands, after: retuned.afterBands },
      riskPerProgram: r.risk,
      allowedForceN: retuned.fresh === null ? null : retuned.allowedForceN,
      forceBinds: retuned.forceBinds,
      old: retuned.old,
      plannedAgain: retuned.fresh,
      refused: retuned.refused,
      wrote: {
        log: r.wrote?.log ? files.log : null,
        machine: r.wrote?.machine ? files.machine : null,
      },
    },
    ...(retuned.fresh === null && {
      complaint: `refused: ${retuned.refused} (${percent(r.risk)} risk per program)`,
    }),
  };
}

/** `retune --pull-test`: measured stiffness and thrust into a machine file, and the job with them. */
import { Refusal } from '../../model/refusal.js';
import { jobErrorFrom } from '../../text/fault.js';
import { showText } from '../../text/show.js';
import { type Job, type PlanSummary } from '../../model/job.js';
import { machineFileText } from '../../machines/machine-text.js';
import { readPullTest } from '../../machines/learn/pull-test-file.js';
import {
  type AxisMeasured,
  type Figure,
  measuredMachine,
  pullTest,
} from '../../machines/learn/pull-test.js';
import type { Machine } from '../../model/machine.js';
import { type CommandResult, asPathError } from '../command.js';
import type { Env } from '../env.js';
import { formatMinutes } from '../say/format.js';
import { withProgress } from '../progress.js';
import { readTextFile } from '../io/read-text.js';
import { type RetuneFiles, writeNew } from './files.js';
import { indent } from './parts.js';
import { textTable } from '../say/table.js';

const MAX_BYTES = 64 * 1024;

export async function pullResult(
  job: Job,
  path: string,
  files: RetuneFiles,
  options: { readonly dryRun: boolean; readonly quiet: boolean; readonly inJob: string },
  env: Env,
): Promise<CommandResult> {
  const { readings, faults } = readPullTest(readTextFile(path, env.cwd, MAX_BYTES), path);
  if (readings === null) throw jobErrorFrom(faults);
  let measured: readonly AxisMeasured[];
  try {
    measured = pullTest(readings, job.machine);
  } catch (error) {
    throw asPathError(error, path, 'measure again');
  }
  const machine = measuredMachine(job.machine, measured, files.id, env.today());
  const { planParts } = await import('../../plan/plan.js');
  const [old, fresh] = await withProgress(env, options.quiet, (update) => {
    const planned = (m: Machine): PlanSummary | string => {
      try {
        return planParts({ ...job, machine: m }, update).summary;
      } catch (error) {
        if (error instanceof Refusal) return error.message;
        throw error;
      }
    };
    return [planned(job.machine), planned(machine)] as const;
  });
  if (!options.dryRun) {
    const heading =
      'Written by gullet retune from a pull test; the figures that were measured say so.';
    writeNew(files.machine, env.cwd, machineFileText(machine, heading));
  }
  const text = [
    [`Pull test of ${job.machine.title}`],
    [
      'Measured, with 95 % intervals',
      indent(
        textTable(
          ['axis', 'figure', 'was', 'measured', 'readings'],
          measured.flatMap((m) => rows(m, job.machine)),
        ),
      ),
      ...measured.flatMap((m) => m.doubts.map((doubt) => `  - ${showText(doubt, 200)}`)),
    ],
    ['The job with it', indent(sideBySide(old, fresh))],
    [
      'Intervals hold for the scatter of the readings and the error of the scale; a machine that gives',
      'way differently at speed, or in another corner of its travel, is not in them.',
    ],
    [
      options.dryRun
        ? 'Nothing was written (--dry-run).'
        : `Wrote ${files.machine}. To cut with it, put "machine: ${options.inJob}" in the job and plan.`,
    ],
  ];
  return {
    exit: typeof fresh === 'string' ? 1 : 0,
    text: text.map((lines) => lines.join('\n')).join('\n\n'),
    json: {
      measured,
      old: typeof old === 'string' ? { refused: old } : old.predicted,
      plannedAgain: typeof fresh === 'string' ? { refused: fresh } : fresh.predicted,
      wrote: { machine: options.dryRun ? null : files.machine },
    },
    ...(typeof fresh === 'string' && { complaint: `refused: ${fresh}` }),
  };
}

function rows(m: AxisMeasured, before: Machine): (string | number)[][] {
  const row = (name: string, was: number, figure: Figure | null, unit: string) =>
    figure
      ? [
          [
            m.axis.toUpperCase(),
            `${name}, ${unit}`,
            Math.round(was),
            `${figure.value.toFixed(0)} +- ${figure.half95.toFixed(0)}`,
            figure.readings,
          ],
        ]
      : [];
  return [
    ...row('stiffness', before.stiffnessNPerMm[m.axis], m.stiffnessNPerMm, 'N/mm'),
    ...row('thrust', before.thrustN[m.axis][0]![1], m.thrustN, 'N'),
  ];
}

function sideBySide(old: PlanSummary | string, fresh: PlanSummary | string): string {
  const cell = (plan: PlanSummary | string, of: (s: PlanSummary) => string): string =>
    typeof plan === 'string' ? 'refused' : of(plan);
  const lines: [string, (s: PlanSummary) => string][] = [
    ['total time', (s) => formatMinutes(s.predicted.totalMin)],
    ['peak force', (s) => `${s.predicted.peakForceN.x.toFixed(0)} N`],
    [
      'allowed X, Y',
      (s) => `${s.limits.allowedForceN.x.toFixed(0)}, ${s.limits.allowedForceN.y.toFixed(0)} N`,
    ],
    ['taper', (s) => `${s.predicted.taperMm.toFixed(3)} mm`],
  ];
  return textTable(
    ['', 'as planned', 'with it'],
    lines.map(([name, of]) => [name, cell(old, of), cell(fresh, of)]),
  );
}

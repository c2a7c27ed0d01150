/** `retune --pull-test`: measured stiffness and thrust into a machine file, and the job with them. */
import { Refusal } from '../../model/refusal.js';
import { showText } from '../../text/show.js';
import { type Job, type PlanSummary } from '../../model/job.js';
import { machineFileText } from '../../machines/machine-file.js';
import {
  type AxisMeasured,
  type Figure,
  measuredMachine,
  pullTest,
  readPullTest,
} from '../../machines/learn/pull-test.js';
import type { Machine } from '../../model/machine.js';
import { type CommandResult, asPathError } from '../command.js';
import type { Env } from '../env.js';
import { formatMinutes, percent } from '../../say/format.js';
import { withProgress } from '../progress.js';
import { readTextFile } from '../io/read-text.js';
import { type RetuneFiles, writeNew } from './files.js';
import { type Part, partsText, say } from './parts.js';

const MAX_BYTES = 64 * 1024;

const CAUTION =
  'Intervals hold for the scatter of the readings and the error of the scale; a machine may give way differently at speed or elsewhere in its travel.';

/** A plan's figures, or why it was refused. */
type Planned = PlanSummary | { readonly refused: string };

export async function pullResult(
  job: Job,
  path: string,
  files: RetuneFiles,
  dryRun: boolean,
  quiet: boolean,
  env: Env,
): Promise<CommandResult> {
  const measured = readMeasured(path, job.machine, env);
  const machine = measuredMachine(job.machine, measured, files.id, env.today());
  const { planParts } = await import('../../plan/plan.js');
  const [old, fresh] = await withProgress(env, quiet, (update) => {
    const planned = (m: Machine): Planned => {
      try {
        return planParts({ ...job, machine: m }, update).summary;
      } catch (error) {
        if (error instanceof Refusal) return { refused: error.message };
        throw error;
      }
    };
    return [planned(job.machine), planned(machine)] as const;
  });
  if (!dryRun) {
    const heading =
      'Written by gullet retune from a pull test; the figures that were measured say so.';
    writeNew(files.machine, env.cwd, machineFileText(machine, heading));
  }
  const wrote = dryRun
    ? 'Nothing was written (--dry-run).'
    : `Wrote ${files.machine}. To cut with it, put "machine: ${files.machineInJob}" in the job and plan.`;
  const text = [
    `Pull test of ${job.machine.title}`,
    partsText(measuredParts(measured, job.machine)),
    partsText([say('The job with it'), sideBySide(old, fresh)]),
    partsText([say(CAUTION)]),
    wrote,
  ];
  const figures = (plan: Planned) => ('refused' in plan ? plan : plan.predicted);
  return {
    exit: 'refused' in fresh ? 1 : 0,
    text: text.join('\n\n'),
    json: {
      ...{ measured, old: figures(old), plannedAgain: figures(fresh) },
      wrote: { machine: dryRun ? null : files.machine },
    },
    ...('refused' in fresh && { complaint: `refused: ${fresh.refused}` }),
  };
}

function readMeasured(path: string, machine: Machine, env: Env): readonly AxisMeasured[] {
  const readings = readPullTest(readTextFile(path, env.cwd, MAX_BYTES), path);
  try {
    return pullTest(readings, machine);
  } catch (error) {
    throw asPathError(error, path, 'measure again');
  }
}

function measuredParts(measured: readonly AxisMeasured[], before: Machine): Part[] {
  const rows = measured.flatMap(({ axis, stiffnessNPerMm, thrustN }) => {
    const row = (name: string, was: number, figure: Figure | null) => {
      if (figure === null) return [];
      const interval = `${figure.value.toFixed(0)} +- ${figure.half95.toFixed(0)}`;
      return [[axis.toUpperCase(), name, Math.round(was), interval, figure.readings]];
    };
    return [
      ...row('stiffness, N/mm', before.stiffnessNPerMm[axis], stiffnessNPerMm),
      ...row('thrust, N', before.thrustN[axis][0]![1], thrustN),
    ];
  });
  const doubts = measured.flatMap((m) => m.doubts.map((doubt) => showText(doubt, 200)));
  return [
    say('Measured, with 95 % intervals'),
    { kind: 'table', heading: ['axis', 'figure', 'was', 'measured', 'readings'], rows },
    ...(doubts.length > 0 ? [{ kind: 'list', items: doubts } as const] : []),
  ];
}

function sideBySide(old: Planned, fresh: Planned): Part {
  const row = (name: string, of: (s: PlanSummary) => string): string[] => [
    name,
    ...[old, fresh].map((plan) => ('refused' in plan ? 'refused' : of(plan))),
  ];
  return {
    kind: 'table',
    heading: ['', 'as planned', 'with it'],
    rows: [
      row('total time', ({ predicted }) => formatMinutes(predicted.totalMin)),
      row('peak force', ({ predicted }) => `${predicted.peakForceN.x.toFixed(0)} N`),
      row('drives X, Y', ({ predicted: { driveDemandN: asked, driveThrustN: has } }) => {
        const of = (axis: 'x' | 'y') => `${asked[axis].toFixed(0)} of ${has[axis].toFixed(0)}`;
        return `${of('x')}, ${of('y')} N`;
      }),
      row('reaches its end', ({ predicted }) => percent(predicted.finishProbability)),
      row('taper', ({ predicted }) => `${predicted.taperMm.toFixed(3)} mm`),
    ],
  };
}

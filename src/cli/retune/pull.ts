/** `retune --pull-test`: what the readings give. */
import { showText } from '../../text/show.js';
import {
  type AxisMeasured,
  type Figure,
  pullTest,
  readPullTest,
} from '../../machines/learn/pull-test.js';
import type { Machine } from '../../model/machine.js';
import { asPathError } from '../command.js';
import type { Env } from '../env.js';
import { readTextFile } from '../io/read-text.js';
import { type Section, say } from './parts.js';

const MAX_BYTES = 64 * 1024;

/** @throws JobError for readings that are none; PathError where they give no figure */
export function readMeasured(path: string, machine: Machine, env: Env): readonly AxisMeasured[] {
  const readings = readPullTest(readTextFile(path, env.cwd, MAX_BYTES), path);
  try {
    return pullTest(readings, machine);
  } catch (error) {
    throw asPathError(error, path, 'measure again');
  }
}

/** @param before  the machine as its profile has it */
export function measuredSection(measured: readonly AxisMeasured[], before: Machine): Section {
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
  return {
    heading: 'What the pull measured',
    parts: [
      say('Measured by the pull, with 95 % intervals'),
      { kind: 'table', heading: ['axis', 'figure', 'profile', 'measured', 'readings'], rows },
      ...(doubts.length > 0 ? [{ kind: 'list', items: doubts } as const] : []),
    ],
  };
}

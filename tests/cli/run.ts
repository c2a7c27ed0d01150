import type { Env, Kernel } from '../../src/cli/env.js';
import { main } from '../../src/cli/main.js';
import type { Job, PlanSummary } from '../../src/model/job.js';
import { ensureBuilt } from '../built.js';

// The pages of a preview are read as they were built.
ensureBuilt();

export interface Outcome {
  readonly exit: number;
  readonly out: string;
  readonly err: string;
}

/** A summary with round figures; the commands only print it. */
export function summaryOf(job: Job): PlanSummary {
  return {
    sprocket: {
      pitchMm: job.chain.pitchMm,
      rollerDiameterMm: job.chain.rollerDiameterMm,
      teeth: job.sprocket.teeth,
      pitchDiameterMm: 49.07,
      rootDiameterMm: 41.3,
      tipDiameterMm: 54,
      thicknessMm: 5.9,
      outline: [{ kind: 'line', a: [0, 0], b: [1, 0] }],
      insetMm: 0.1,
    },
    blank: { diameterMm: 56, thicknessMm: 13.9, settingMm: 0.03 },
    cutter: { diameterMm: job.cutter.diameterMm, flutes: job.cutter.flutes },
    limits: {
      ...{ maxEngagementDeg: 60, maxStepdownMm: 0.5, peakForceN: 100, chipMm: 0.02 },
      driveDemandN: { x: 80, y: 81 },
      ...{ chatterProbability: 0.2, edgeLives: 0.9, finishProbability: 0.98 },
      overPinsMm: { min: 56.589, max: 56.839 },
      caliperRootMm: { min: 41.05, max: 41.3 },
      toothWidthMm: { min: 5.6, max: 5.9 },
      radialRunoutMm: { min: 0, max: 0.11 },
      axialRunoutMm: { min: 0, max: 0.12 },
      boreMm: { min: 14, max: 14.027 },
    },
    predicted: {
      peakEngagementDeg: 59,
      peakForceN: { x: 40, y: 41 },
      peakToothN: 41,
      driveDemandN: { x: 30, y: 31 },
      driveThrustN: { x: 80, y: 81 },
      ...{ stabilityMargin: 2, chatterProbability: 0.05 },
      ...{ finishProbability: 0.985, finishProbabilityBand: [0.95, 0.99] },
      restsOn: { thrust: 'profile', log: null },
      worth: { pullTestMin: 0, tapMin: 3 },
      finishParts: { drive: 0.998, cutter: 0.999, edge: 0.997, other: 0.991 },
      ...{
        edgeMinutes: 25,
        edgeLives: 0.5,
        edgeLivesEach: 0.5,
        edges: 1,
        edgeServedLives: 0,
        edgeInLives: 0,
      },
      roughCutMin: 20,
      roughBoundMin: 15,
      finishMin: 5,
      linkMin: 0.5,
      totalMin: 65,
      taperMm: 0.02,
      gougeMm: 0,
      leftoverMm: 0.004,
      overPinsMm: 56.714,
      caliperRootMm: 41.17,
      toothWidthMm: 5.75,
      radialRunoutMm: 0.08,
      axialRunoutMm: null,
      boreMm: 14.01,
    },
    warnings: [{ code: 'few-teeth', text: 'Few teeth wear fast.', value: 9, limit: 11 }],
  };
}

/** Plans in no time: the commands are tested here, not the planning. */
export const QUICK_KERNEL: Kernel = {
  planJob(job, onProgress) {
    onProgress?.({ stage: 'roughing', done: 1, of: 2 });
    return { summary: summaryOf(job), files: { 'program.ngc': 'G21\n', 'plan.json': '{}\n' } };
  },
  checkProgram: () => ({ findings: [], measured: { lines: 59 }, worst: 'none' }),
};

/** Runs a command line in this process and collects what it prints. */
export async function run(
  cwd: string,
  argv: readonly string[],
  kernel: Partial<Kernel> = {},
  terminal = false,
  columns?: number,
): Promise<Outcome> {
  const printed = { out: '', err: '' };
  const env = { ...envIn(cwd, printed, kernel), errIsTerminal: terminal };
  const wide = columns === undefined ? {} : { outIsTerminal: true, columns };
  return { exit: await main(argv, { ...env, ...wide }), ...printed };
}

/** A world for a command: its folder, a clock that runs fast, and what it prints. */
export function envIn(
  cwd: string,
  printed = { out: '', err: '' },
  kernel: Partial<Kernel> = {},
): Env {
  let clock = 0;
  return {
    out: (text) => (printed.out += text),
    err: (text) => (printed.err += text),
    errIsTerminal: false,
    outIsTerminal: false,
    columns: 100,
    cwd,
    now: () => (clock += 1000),
    today: () => '2026-05-03',
    version: '1.2.3',
    loadKernel: async () => ({ ...QUICK_KERNEL, ...kernel }),
  };
}

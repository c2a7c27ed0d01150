/**
 * The pipeline: job -> outline -> toolpath -> program -> replay -> files. A plan that fails its
 * own replay is refused, whatever the planner thought of it.
 */
import { planCam } from '../cam/plan.js';
import { type ReplayReport, replay } from '../cam/replay.js';
import { acceptReplay } from './accept.js';
import { refuseFaults, replayWithin } from './read-back.js';
import { sumLines } from '../post/envelope.js';
import { planFiles } from '../post/files.js';
import type { SheetOptions } from '../post/sheet/options.js';
import { readProgram } from '../post/reader.js';
import { writeProgram } from '../post/writer.js';
import { sprocketProfile } from '../profile/sprocket.js';
import { ProfileError } from '../profile/errors.js';
import type { SprocketProfile } from '../profile/sprocket.js';
import { planWarnings } from './plan-warnings.js';
import { checkPart } from './check-part.js';
import { planRoutedBore } from './plan-bore.js';
import type { PlannedBore, PlannedJob, Progress } from './planned.js';
import { replaySetup } from './replay-setup.js';
import { stableJson } from './stable-json.js';
import { type Job, PlanRefused, type PlanSummary } from './types.js';

export { checkProgram } from './check-program.js';

export interface PlanResult {
  readonly summary: PlanSummary;
  readonly files: Readonly<Record<string, string | Uint8Array>>;
  readonly planned: PlannedJob;
}

type OnProgress = (p: Progress) => void;

/**
 * Plans a job and makes its files.
 * @throws PlanRefused where the part cannot be made this way, or where the program fails its replay
 */
export function planJob(
  job: Job,
  onProgress: OnProgress = () => {},
  sheet: SheetOptions = {},
): PlanResult {
  const planned = planParts(job, onProgress);
  const files: Record<string, string | Uint8Array> = {
    'program.ngc': planned.program.text,
    'plan.json': planJson(planned),
    ...(planned.bore ? { 'bore-program.ngc': planned.bore.program.text } : {}),
    ...planFiles(planned, sheet),
  };
  return { summary: planned.summary, files, planned };
}

/** Plan, program and replay, without the files. */
export function planParts(job: Job, onProgress: OnProgress = () => {}): PlannedJob {
  const stages = 5;
  onProgress({ stage: 'tooth form', done: 0, of: stages });
  const profile = jobProfile(job);
  onProgress({ stage: 'toolpath', done: 1, of: stages });
  checkPart(job, profile);
  const cam = planCam(job, profile);
  onProgress({ stage: 'program', done: 2, of: stages });
  const jobDigest = digestOf(job);
  const program = writeProgram(cam.toolpath, job.controller, {
    title: job.title,
    jobDigest,
    homed: false,
    notes: programNotes(job, cam.blank.diameterMm, profile),
  });
  onProgress({ stage: 'reading back', done: 3, of: stages });
  const read = readProgram(program.text, { controller: job.controller });
  refuseFaults(read, 'program');
  const report = replayWithin(() =>
    replay(read.ops, replaySetup(job, profile, cam.blank, cam.field), {
      onProgress: (done, of) =>
        onProgress({ stage: 'replay', done: 4 + done / Math.max(1, of), of: stages }),
    }),
  );
  acceptReplay(report, cam.process);
  const bore = planRoutedBore(
    job,
    profile,
    cam.blank.diameterMm / 2 + cam.blank.centringErrorMm,
    jobDigest,
  );
  const summary = summarize(job, profile, cam, report, bore);
  return { job, jobDigest, profile, cam, program, ops: read.ops, replay: report, summary, bore };
}

/** Outline of a job. @throws PlanRefused naming the rule that the figures break */
export function jobProfile(job: Job): SprocketProfile {
  const { chain, sprocket } = job;
  try {
    return sprocketProfile({
      pitchMm: chain.pitchMm,
      rollerDiameterMm: chain.rollerDiameterMm,
      innerWidthMm: chain.innerWidthMm,
      teeth: sprocket.teeth,
      toothForm: sprocket.toothForm,
      tipRoundingMm: sprocket.tipRoundingMm,
      flankReliefMm: sprocket.flankReliefMm,
      tipDiameterMm: sprocket.tipDiameterMm,
      thicknessMm: sprocket.thicknessMm,
    });
  } catch (error) {
    if (!(error instanceof ProfileError)) throw error;
    throw new PlanRefused(error.code, error.message, error.value, error.limit);
  }
}

/** Digest of everything in a job that decides the program; not of how it came to be filled in. */
export function digestOf(job: Job): string {
  return sumLines([JSON.stringify({ ...job, defaults: undefined })]);
}

function programNotes(job: Job, blankMm: number, profile: SprocketProfile): string[] {
  const { cutter } = job;
  return [
    `machine ${job.machine.id}`,
    `cutter ${cutter.diameterMm} mm ${cutter.flutes} flutes ${cutter.material}, stick-out ${cutter.stickOutMm} mm`,
    `material ${job.material.id}`,
    `blank ${blankMm.toFixed(2)} mm round, teeth ${profile.thicknessMm.toFixed(2)} mm thick`,
    'zero: X Y axis of the sprocket, Z top face of the blank',
    'read the warning sheet before starting',
  ];
}

function summarize(
  job: Job,
  profile: SprocketProfile,
  cam: PlannedJob['cam'],
  report: ReplayReport,
  bore: PlannedBore | null,
): PlanSummary {
  const deg = (rad: number): number => (rad * 180) / Math.PI;
  return {
    sprocket: {
      pitchMm: job.chain.pitchMm,
      rollerDiameterMm: job.chain.rollerDiameterMm,
      teeth: job.sprocket.teeth,
      pitchDiameterMm: profile.pitchDiameterMm,
      rootDiameterMm: profile.rootDiameterMm,
      tipDiameterMm: profile.tipDiameterMm,
      thicknessMm: profile.thicknessMm,
      outline: profile.outline,
    },
    blank: { diameterMm: cam.blank.diameterMm, thicknessMm: cam.blank.thicknessMm },
    cutter: { diameterMm: job.cutter.diameterMm, flutes: job.cutter.flutes },
    limits: {
      maxEngagementDeg: cam.process.maxEngagementDeg,
      allowedForceN: cam.process.allowedForceN,
      maxStepdownMm: cam.process.maxStepdownMm,
    },
    predicted: {
      peakEngagementDeg: deg(report.peakEngagementRad.value),
      peakForceN: { x: report.peakForceN.x.value, y: report.peakForceN.y.value },
      roughCutMin: cam.times.roughCutMin,
      roughBoundMin: cam.roughBoundMin,
      finishMin: cam.times.finishMin,
      linkMin: cam.times.roughLinkMin + cam.times.finishLinkMin,
      totalMin: cam.times.totalMin,
      taperMm: cam.finish.taperMm,
      gougeMm: report.gougeMm.value,
      leftoverMm: report.leftoverMm,
    },
    warnings: planWarnings(job, profile, cam, bore),
  };
}

/** plan.json: the summary, with how the cut is set up besides. */
function planJson({ summary, cam, jobDigest, job, bore }: PlannedJob): string {
  const { process, finish } = cam;
  const extra = {
    title: job.title,
    jobDigest,
    process: {
      spindleRpm: process.spindleRpm,
      stepdownMm: process.stepdownMm,
      roughLevels: process.levelsMm.length,
      roughDirection: process.direction,
      allowanceMm: process.allowanceMm,
      chipCapMm: process.chipCapMm,
      chipFloorMm: process.chipFloorMm,
      finishLevels: finish.levelsMm.length,
      finishPasses: finish.passes.length,
      formErrorMm: finish.errorMm,
      toleranceMm: job.limits.toleranceMm,
    },
    datum: cam.datum,
    ...(bore
      ? {
          bore: {
            diameterMm: job.bore.diameterMm,
            depthMm: bore.plan.depthMm,
            smallestInsideRadiusMm: job.bore.diameterMm / 2,
            formErrorMm: bore.plan.finish.errorMm,
            taperMm: bore.plan.finish.taperMm,
            totalMin: bore.plan.totalMin,
            peakEngagementDeg: (bore.replay.peakEngagementRad.value * 180) / Math.PI,
            gougeMm: bore.replay.gougeMm.value,
            leftoverMm: bore.replay.leftoverMm,
          },
        }
      : {}),
  };
  return `${stableJson({ ...summary, ...extra }, 2)}\n`;
}

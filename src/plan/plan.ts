/**
 * The pipeline: job -> outline -> toolpath -> program -> replay -> files. A plan that fails its
 * own replay is refused, whatever the planner thought of it.
 */
import { Refusal } from '../model/refusal.js';
import { planCam } from '../cam/sequence.js';
import { type ReplayReport, replaySteps } from '../cam/stock/replay.js';
import { toEnd } from '../cam/to-end.js';
import { acceptReplay } from './accept.js';
import { refuseFaults, replayStepsWithin } from './read-back.js';
import { sumLines } from '../post/rs274/envelope.js';
import { planFiles } from './files.js';
import type { SheetOptions } from '../post/sheet/format.js';
import { readProgram } from '../post/rs274/reader.js';
import { writeProgram } from '../post/rs274/writer.js';
import { sprocketProfile, type SprocketProfile } from '../profile/wheel/sprocket.js';
import { planWarnings } from './warnings.js';
import { checkPart } from './check-part.js';
import { planRoutedBore } from './plan-bore.js';
import type { PlannedBore, PlannedJob, Progress } from '../post/plan.js';
import { replaySetup } from './replay-setup.js';
import { stableJson } from '../text/stable-json.js';
import type { Job, PlanSummary } from '../model/job.js';

export { checkProgram } from './check/check.js';

export interface PlanResult {
  readonly summary: PlanSummary;
  readonly files: Readonly<Record<string, string | Uint8Array>>;
  readonly planned: PlannedJob;
}

type OnProgress = (p: Progress) => void;

/**
 * Plans a job and makes its files.
 * @throws Refusal where the part cannot be made this way, or where the program fails its replay
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
  return toEnd(planSteps(job, { onProgress }));
}

export interface PlanStepsOptions {
  readonly onProgress?: OnProgress;
  /** Asks for a first look: distance between places at which its replay takes the load. mm */
  readonly lookStepMm?: number;
}

/**
 * {@link planParts} in short steps, for a caller who has to look up in between, or to leave off.
 * Yields null after a step. Where a first look is asked for, it yields that once, too: the plan with
 * the figures of a coarser replay, which is for looking at only. Nothing may be accepted, exported
 * or written on the strength of it; what is returned at the end has passed the full replay. A plan
 * that fails the coarser one is given no first look; the full one then says why.
 * @throws as planParts
 */
export function* planSteps(
  job: Job,
  { onProgress = () => {}, lookStepMm }: PlanStepsOptions = {},
): Generator<PlannedJob | null, PlannedJob, void> {
  const stages = 5;
  onProgress({ stage: 'tooth form', done: 0, of: stages });
  const profile = jobProfile(job);
  onProgress({ stage: 'toolpath', done: 1, of: stages });
  checkPart(job, profile);
  const cam = planCam(job, profile);
  yield null;
  onProgress({ stage: 'program', done: 2, of: stages });
  const jobDigest = digestOf(job);
  const program = writeProgram(cam.toolpath, job.controller, {
    title: job.title,
    jobDigest,
    homed: false,
    notes: programNotes(job, cam.blank.diameterMm, profile),
  });
  yield null;
  onProgress({ stage: 'reading back', done: 3, of: stages });
  const read = readProgram(program.text, { controller: job.controller });
  refuseFaults(read, 'program');
  const { ops } = read;
  yield null;
  const draft = { job, jobDigest, profile, cam, program, ops };
  const look = lookStepMm === undefined ? null : yield* firstLook(draft, lookStepMm);
  if (look) yield look;
  const report = yield* paused(
    replayStepsWithin(
      replaySteps(ops, replaySetup(job, profile, cam.blank, cam.field), {
        onProgress: (done, of) =>
          onProgress({ stage: 'replay', done: 4 + done / Math.max(1, of), of: stages }),
      }),
    ),
  );
  acceptReplay(report, cam.process);
  // The bore of a first look has had its full replay already.
  return withReport(draft, report, look ? look.bore : boreOf(draft));
}

/** A plan whose program has been read back and is still to be replayed. */
type Draft = Omit<PlannedJob, 'replay' | 'summary' | 'bore'>;

/** @returns null where the plan does not pass even so, whatever the reason */
function* firstLook(draft: Draft, stepMm: number): Generator<null, PlannedJob | null, void> {
  const { job, profile, cam, ops } = draft;
  const setup = replaySetup(job, profile, cam.blank, cam.field);
  try {
    const report = yield* paused(replayStepsWithin(replaySteps(ops, setup, { stepMm })));
    acceptReplay(report, cam.process);
    return withReport(draft, report, boreOf(draft));
  } catch (error) {
    if (error instanceof Refusal) return null;
    throw error;
  }
}

function* paused<T>(steps: Generator<void, T, void>): Generator<null, T, void> {
  for (;;) {
    const step = steps.next();
    if (step.done === true) return step.value;
    yield null;
  }
}

function boreOf({ job, jobDigest, profile, cam }: Draft): PlannedBore | null {
  const { diameterMm, centringErrorMm } = cam.blank;
  return planRoutedBore(job, profile, diameterMm / 2 + centringErrorMm, jobDigest);
}

function withReport(draft: Draft, replay: ReplayReport, bore: PlannedBore | null): PlannedJob {
  const { job, profile, cam } = draft;
  return { ...draft, replay, summary: summarize(job, profile, cam, replay, bore), bore };
}

/** Outline of a job. @throws Refusal naming the rule that the figures break */
export function jobProfile(job: Job): SprocketProfile {
  const { chain, sprocket } = job;
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

/** What plan.json says of a plan. */
import { linkPitchMm } from '../profile/wheel/cut.js';
import { degFromRad } from '../maths/angle.js';
import { sizesOf } from '../cam/aim.js';
import { CHATTER_ACCEPTED } from '../cam/choose.js';
import type { Job, PlanSummary, PlanWarning } from '../model/job.js';
import type { Replay } from '../cam/stock/replay.js';
import type { PlannedBore, Plan } from '../post/plan.js';
import { INSPECTED, type Inspected } from '../profile/inspect/limits.js';
import type { ExpectedSize } from '../profile/inspect/predict.js';
import { stableJson } from '../text/stable-json.js';
import type { PlanOdds } from './odds.js';
import { oddsWarnings, planWarnings } from './warnings.js';

export function summarize(
  job: Job,
  aim: Plan['aim'],
  cam: Plan['cam'],
  report: Replay,
  odds: PlanOdds,
  bore: PlannedBore | null,
  taken: readonly PlanWarning[],
): PlanSummary {
  const { drawn: profile, cut, insetMm } = aim;
  const { sizes, settingMm } = sizesOf(job, aim, cam.finish.errorMm);
  const each = <T>(of: (size: ExpectedSize) => T) =>
    Object.fromEntries(INSPECTED.map((what) => [`${what}Mm`, of(sizes[what])])) as Record<
      `${Inspected}Mm`,
      T
    >;
  return {
    sprocket: {
      pitchMm: linkPitchMm(job.chain),
      rollerDiameterMm: job.chain.rollerDiameterMm,
      teeth: job.sprocket.teeth,
      pitchDiameterMm: profile.pitchDiameterMm,
      rootDiameterMm: profile.rootDiameterMm,
      tipDiameterMm: profile.tipDiameterMm,
      thicknessMm: profile.thicknessMm,
      outline: cut.outline,
      insetMm,
    },
    blank: {
      diameterMm: cam.blank.diameterMm,
      // At most: what the replay cuts. Turned, it is predicted.toothWidthMm.
      thicknessMm: cam.blank.thicknessMm,
      settingMm,
    },
    cutter: { diameterMm: job.cutter.diameterMm, flutes: job.cutter.flutes },
    limits: {
      maxEngagementDeg: cam.process.maxEngagementDeg,
      maxStepdownMm: cam.process.maxStepdownMm,
      peakForceN: cam.process.cutterForceN,
      driveDemandN: odds.driveThrustN,
      chipMm: cam.process.chipCapMm,
      chatterProbability: CHATTER_ACCEPTED,
      edgeLives: odds.edgeLivesMost,
      finishProbability: 1 - job.riskShare,
      ...each(({ limits: { minMm: min, maxMm: max } }) => ({ min, max })),
    },
    predicted: {
      ...(bore && { boreFinishProbability: bore.finishProbability }),
      ...loadsOf(report, odds),
      roughCutMin: cam.times.roughCutMin,
      roughBoundMin: cam.roughBoundMin,
      finishMin: cam.times.finishMin,
      linkMin: cam.times.roughLinkMin + cam.times.finishLinkMin,
      totalMin: cam.times.totalMin,
      taperMm: cam.finish.taperMm,
      gougeMm: report.gougeMm.value,
      leftoverMm: report.leftoverMm,
      ...each(({ expectedMm }) => expectedMm),
    },
    warnings: [
      ...taken,
      ...oddsWarnings(job, odds),
      ...planWarnings(job, profile, cam, bore, sizes, settingMm),
    ],
  };
}

/** What bears the load, as the replay found it, and the odds that it makes. */
function loadsOf(report: Replay, odds: PlanOdds) {
  const { drive, cutter, edge, other, all } = odds.odds;
  return {
    peakEngagementDeg: degFromRad(report.peakEngagementRad.value),
    peakForceN: { x: report.peakForceN.x.value, y: report.peakForceN.y.value },
    peakToothN: report.peakResultantN.value,
    driveDemandN: odds.driveDemandN,
    driveThrustN: odds.driveThrustN,
    stabilityMargin: odds.stabilityMargin,
    chatterProbability: odds.chatterProbability,
    finishProbability: all,
    finishProbabilityBand: odds.band,
    finishParts: { drive, cutter, edge, other },
    restsOn: odds.restsOn,
    worth: odds.worth,
    edgeMinutes: odds.edgeMinutes,
    edgeLives: odds.edgeLives,
    edgeLivesEach: odds.edgeLivesEach,
    edgeServedLives: odds.edgeServedLives,
    edgeInLives: odds.edgeInLives,
    edges: odds.edges,
  };
}

/** plan.json: the summary, with how the cut is set up besides. */
export function planJson({ summary, cam, jobDigest, job, bore, restart }: Plan): string {
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
            totalMin: bore.plan.times.totalMin,
            peakEngagementDeg: degFromRad(bore.replay.peakEngagementRad.value),
            gougeMm: bore.replay.gougeMm.value,
            leftoverMm: bore.replay.leftoverMm,
          },
        }
      : {}),
    ...(restart ? { restart } : {}),
  };
  return `${stableJson({ ...summary, ...extra }, 2)}\n`;
}

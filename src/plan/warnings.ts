/** Warnings of a plan, from what each stage found. */
import { CHATTER_ACCEPTED } from '../cam/choose.js';
import { unusedDatum } from '../cam/datum.js';
import { LIFTED_BY } from '../cam/explain.js';
import type { CamPlan } from '../cam/sequence.js';
import { SCREW_HEAD_MM, nutHeightMm } from '../cam/holding-choice.js';
import { OVERRUN_MM } from '../cam/process.js';
import { chipThresholds } from '../machines/load/chip.js';
import type { ExpectedSizes } from '../profile/inspect/predict.js';
import type { Wheel } from '../profile/wheel/sprocket.js';
import type { PlannedBore } from '../post/plan.js';
import type { Job, PlanWarning } from '../model/job.js';
import { LOADED_AXES, type Machine } from '../model/machine.js';
import type { PlanOdds } from './odds.js';
import { largeBlankWarning } from './large-blank.js';
import { inPercent, um } from '../text/show.js';

/** Where the cut is less sure, or rings more often, than was asked for. */
export function oddsWarnings(
  { riskShare }: Pick<Job, 'riskShare'>,
  { odds, chatterProbability }: Pick<PlanOdds, 'odds' | 'chatterProbability'>,
): PlanWarning[] {
  const found: PlanWarning[] = [];
  const outOf100 = (share: number): string => (100 * share).toFixed(1);
  if (odds.all < 1 - riskShare) {
    found.push({
      code: 'odds',
      text: `it reaches its end with a chance of ${inPercent(odds.all)}, and ${inPercent(1 - riskShare)} is what the job asks for; gullet plan --explain says what holds it back`,
      value: odds.all,
      limit: 1 - riskShare,
    });
  }
  if (chatterProbability > CHATTER_ACCEPTED + SAME_CHATTER) {
    found.push({
      code: 'chatter',
      text: `it chatters on ${outOf100(chatterProbability)} of 100 machines like this, and no way of cutting keeps to ${outOf100(CHATTER_ACCEPTED)}: ${LIFTED_BY.stability}`,
      value: chatterProbability,
      limit: CHATTER_ACCEPTED,
    });
  }
  return found;
}

/** Chatter at the engagement that was measured differs by this from that at the one chosen. */
const SAME_CHATTER = 0.02;

type Add = (code: string, text: string, value?: number | null, limit?: number | null) => void;

export function planWarnings(
  job: Job,
  profile: Wheel,
  cam: CamPlan,
  bore: PlannedBore | null,
  sizes: ExpectedSizes,
  settingMm: number,
): PlanWarning[] {
  const warnings: PlanWarning[] = [...profile.notes];
  const add: Add = (code, text, value = null, limit = null) => {
    warnings.push({ code, text, value, limit });
  };
  aboutJob(job, add);
  aboutLog(job.machine, add);
  aboutCut(job, cam, add);
  aboutBlank(job, profile, cam, sizes, settingMm, add);
  aboutScrews(job, profile, add);
  aboutForm(job, cam, bore, add);
  const unused = unusedDatum(job);
  if (unused) warnings.push(unused);
  const large = largeBlankWarning(job, profile, cam);
  if (large) warnings.push(large);
  aboutRun(cam, add);
  return warnings;
}

/** Of a thrust at standstill, as a share: what rounding in a log may make of it. */
const SAME_THRUST = 0.01;

/** A machine file that was changed after its log began: the log goes on from what it began with. */
function aboutLog({ learnt }: Machine, add: Add): void {
  for (const axis of LOADED_AXES) {
    const [nowN, thenN] = [learnt?.statedN[axis] ?? 1, learnt?.beganN[axis] ?? 1];
    if (Math.abs(nowN / thenN - 1) <= SAME_THRUST) continue;
    add(
      'log-began',
      `the machine file states ${nowN.toFixed(0)} N of thrust on ${axis.toUpperCase()}, and its log began with ${thenN.toFixed(0)} N, which counts: if the machine was changed put ${learnt?.file} aside and begin a new one, if it was measured add a pull test`,
      nowN,
      thenN,
    );
  }
}

function aboutJob(job: Job, add: Add): void {
  const told = /\b(\d+)[ -](?:teeth|tooth)\b/i.exec(job.title)?.[1];
  if (told !== undefined && Number(told) !== job.sprocket.teeth) {
    add(
      'title-count',
      `the title says ${told} teeth, and ${job.sprocket.teeth} are cut: put the title right`,
      job.sprocket.teeth,
      Number(told),
    );
  }
  for (const doubt of job.chain.doubts) add('chain-doubt', doubt);
  if (job.material.confidence !== 'sourced') {
    add(
      'material-doubt',
      `the cutting force figures of ${job.material.title} rest on memory, not on a table; try the first level with a hand on the stop`,
    );
  }
}

function aboutCut(job: Job, cam: CamPlan, add: Add): void {
  const { spindle } = cam.process;
  if (spindle.note !== null && job.limits.spindleRpm === null) {
    add(spindle.noteCode ?? 'spindle', spindle.note, spindle.rpm);
  }
  const { warnMm } = chipThresholds(job.cutter, job.material);
  const chip = cam.process.chipCapMm;
  if (chip < warnMm) {
    add(
      'thin-chip',
      `the thickest chip, ${um(chip)}, is so thin that the edge rubs for much of its way`,
      chip,
      warnMm,
    );
  }
  const overhang = job.cutter.stickOutMm / job.cutter.diameterMm;
  if (overhang > 4) {
    add(
      'long-stick-out',
      `the cutter sticks out ${overhang.toFixed(1)} times its diameter; above about 4 it tends to chatter and leaves taper`,
      overhang,
      4,
    );
  }
}

/** The screws of a plate, where the collet nut comes lower than a head that is not sunk. */
function aboutScrews({ blank, cutter }: Job, { thicknessMm }: Wheel, add: Add): void {
  const nutMm = nutHeightMm(cutter.stickOutMm, thicknessMm);
  if (blank.heldBy !== 'plate' || nutMm >= SCREW_HEAD_MM) return;
  add(
    'nut-over-screws',
    `the collet nut comes down to ${nutMm.toFixed(1)} mm over the face, lower than the head of an M5 screw that is not sunk (${SCREW_HEAD_MM} mm): sink the heads, or let the cutter stick out ${(cutter.stickOutMm + SCREW_HEAD_MM - nutMm).toFixed(1)} mm`,
    nutMm,
    SCREW_HEAD_MM,
  );
}

function aboutBlank(
  job: Job,
  profile: Wheel,
  cam: CamPlan,
  sizes: ExpectedSizes,
  settingMm: number,
  add: Add,
): void {
  const { expectedMm: runsOutMm, limits } = sizes.radialRunout;
  const [runoutMm, runoutLimitMm] = [2 * cam.blank.centringErrorMm, limits.maxMm];
  if (runsOutMm! > runoutLimitMm) {
    add(
      'runout',
      `the teeth are expected to run out ${runsOutMm!.toFixed(2)} mm to the bore even when it is set within ${settingMm.toFixed(2)} mm; ${runoutLimitMm.toFixed(2)} mm is allowed: take up the backlash, or cut bore and teeth in one setting`,
      runsOutMm,
      runoutLimitMm,
    );
  } else if (job.bore.madeBy === 'lathe' && runoutMm > runoutLimitMm) {
    add(
      'centring-runout',
      `a blank ${cam.blank.centringErrorMm} mm off centre gives teeth that run out ${runoutMm.toFixed(2)} mm to the bore; ${runoutLimitMm.toFixed(2)} mm is allowed: the blank is made for the larger error, but set it within ${settingMm.toFixed(2)} mm`,
      runoutMm,
      runoutLimitMm,
    );
  }
  const webMm = cam.blank.thicknessMm - profile.thicknessMm;
  if (webMm > OVERRUN_MM) {
    add(
      'blank-thick',
      `the blank is ${webMm.toFixed(2)} mm thicker than the teeth: a web of that thickness stays between them, so turn it to ${profile.thicknessMm.toFixed(2)} mm where the teeth are`,
      cam.blank.thicknessMm,
      profile.thicknessMm,
    );
  }
}

function aboutForm(job: Job, { finish }: CamPlan, bore: PlannedBore | null, add: Add): void {
  if (!finish.withinTolerance) {
    const remedies = finish.remedies
      .map((r) => `${r.text} would leave ${r.errorMm.toFixed(3)} mm`)
      .join('; ');
    add(
      'form-error',
      `finishing is predicted to leave ${finish.errorMm.toFixed(3)} mm on the flanks, more than the ${job.limits.toleranceMm} mm asked for` +
        (remedies === '' ? '' : `: ${remedies}`),
      finish.errorMm,
      job.limits.toleranceMm,
    );
  }
  if (bore) {
    const { errorMm, taperMm } = bore.plan.finish;
    add(
      'routed-bore',
      `the routed bore is predicted ${(2 * errorMm).toFixed(3)} mm small in diameter with ${taperMm.toFixed(3)} mm of taper on the radius: measure it, and ream it for a good fit`,
      2 * errorMm,
    );
    const { finishProbability } = bore;
    if (finishProbability < 1 - job.riskShare) {
      add(
        'bore-odds',
        `the program of the bore reaches its end with a chance of ${inPercent(finishProbability)}, and ${inPercent(1 - job.riskShare)} is what the job asks for: drill a larger pilot hole, or bore it on the lathe`,
        finishProbability,
        1 - job.riskShare,
      );
    }
  }
}

function aboutRun(cam: CamPlan, add: Add): void {
  const { datum } = cam;
  if (datum && datum.worstAtRiskMin > datum.everyMin + 0.05) {
    add(
      'check-every',
      `one level takes ${datum.worstAtRiskMin.toFixed(1)} min, longer than the ${datum.everyMin.toFixed(0)} min between datum checks that the job asks for; it is checked before and after`,
      datum.worstAtRiskMin,
      datum.everyMin,
    );
  }
  if (cam.times.totalMin > 240) {
    add(
      'long-run',
      `the program runs about ${(cam.times.totalMin / 60).toFixed(1)} hours; stay with the machine all the time`,
      cam.times.totalMin,
      240,
    );
  }
}

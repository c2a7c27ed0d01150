import { Refusal } from '../model/refusal.js';
import { planBore } from '../cam/bore.js';
import { largestClearCutterRadiusMm, routedCornerFoul } from '../profile/wheel/bore.js';
import type { Wheel } from '../profile/wheel/sprocket.js';
import type { PlannedBore } from '../post/plan.js';
import { SHEET_WORD, ZERO_WORD, planWords } from './head-words.js';
import { MOST_AGAIN, edgeScaleToTry, planOdds } from './odds.js';
import { prove } from './prove.js';
import { boreStart } from './start.js';
import { type Job } from '../model/job.js';

/**
 * Plans the bore where the router is to make it; null where the lathe does.
 * @throws Refusal where a round cutter leaves metal that the shaft would foul, where the bore
 *         is not round, and what planning and replay refuse
 */
export function planRoutedBore(
  job: Job,
  profile: Wheel,
  blankRadiusMm: number,
  jobDigest: string,
): PlannedBore | null {
  if (job.bore.madeBy !== 'router') return null;
  checkCorners(job);
  for (let again = MOST_AGAIN, scale = 1; ; again--) {
    const bore = boreWith(job, profile, blankRadiusMm, jobDigest, scale);
    const next = edgeScaleToTry(job, bore.plan.process, bore.odds);
    if (again === 0 || next === null) return { ...bore, finishProbability: bore.odds.odds.all };
    scale = next;
  }
}

/** One round of {@link planRoutedBore}. */
function boreWith(
  job: Job,
  profile: Wheel,
  blankRadiusMm: number,
  jobDigest: string,
  edgeScale: number,
) {
  const plan = planBore(job, profile.thicknessMm, blankRadiusMm, edgeScale);
  const proof = prove(
    plan.toolpath,
    boreStart(job, plan.depthMm, blankRadiusMm),
    plan.process,
    job.controller,
    {
      what: 'bore program',
      title: `${job.title} - bore`,
      jobDigest,
      before: planWords(job, plan.process),
      after: ['run before the teeth, in the same setting', ZERO_WORD, SHEET_WORD],
    },
  );
  return { plan, ...proof, odds: planOdds(job, plan, proof.replay, proof.program.ops) };
}

/** A round cutter leaves its own radius in the corners of a flat or a keyway. */
function checkCorners(job: Job): void {
  const { bore, cutter } = job;
  if (bore.shape === 'round') return;
  const corner = routedCornerFoul(bore, cutter.diameterMm / 2, bore.shaftCornerMm);
  const what = bore.shape === 'd-flat' ? 'flat' : 'keyway';
  const largest = 2 * largestClearCutterRadiusMm(bore, bore.shaftCornerMm);
  const instead =
    'drill and ream it round and braze an insert in, or cut it round and broach or file it';
  if (corner.foulMm > 0) {
    const reach = Number.isFinite(corner.foulMm)
      ? `reaches ${corner.foulMm.toFixed(2)} mm into the ${bore.shape === 'keyed' ? 'key' : 'shaft'}`
      : 'does not go in at all';
    throw new Refusal(
      'bore-corner-fouls',
      `a ${cutter.diameterMm} mm cutter leaves inside corners of ${(cutter.diameterMm / 2).toFixed(2)} mm radius at the ${what}, which ${reach} (its corners are ${bore.shaftCornerMm} mm); ` +
        (largest > 0.2 ? `a cutter of ${largest.toFixed(1)} mm or less would clear; or ` : '') +
        instead,
      corner.foulMm,
      0,
    );
  }
  throw new Refusal(
    'bore-not-round',
    `the router cuts round bores only; the corners of this ${what} would clear (${(cutter.diameterMm / 2).toFixed(2)} mm radius), but ${instead}`,
  );
}

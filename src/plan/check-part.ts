/** Checks of a part that need no toolpath: does it hang together, can it be held and reached? */
import { Refusal } from '../model/refusal.js';
import {
  boltHoleMm,
  nutHeightMm,
  nutMeets,
  spacerMaxMm,
  stickOutOverMm,
} from '../cam/holding-choice.js';
import { boreReachMm } from '../profile/wheel/bore.js';
import type { Wheel } from '../profile/wheel/sprocket.js';
import { type Job } from '../model/job.js';

/** @throws Refusal 'bore-breaks-out', 'nut-meets-bolt', 'travel' */
export function checkPart(job: Job, profile: Wheel): void {
  checkWall(job, profile);
  checkNut(job, profile);
  checkTravel(job, profile);
}

/** The cutter's centre has to go round the tips at least; where exactly, the replay will see. */
function checkTravel(job: Job, profile: Wheel): void {
  const { travelMm, id } = job.machine;
  const span = profile.tipDiameterMm + job.cutter.diameterMm;
  for (const axis of ['x', 'y'] as const) {
    if (span <= travelMm[axis]) continue;
    throw new Refusal(
      'travel',
      `going round a wheel of ${profile.tipDiameterMm.toFixed(1)} mm takes ${span.toFixed(1)} mm of travel in ${axis.toUpperCase()}; ${id} has ${travelMm[axis]} mm`,
      span,
      travelMm[axis],
    );
  }
}

/** A bore with its keyway must stay inside the hub, or without a hub inside the root circle. */
function checkWall(job: Job, profile: Wheel): void {
  const reachMm = boreReachMm(job.bore);
  const aroundMm = (job.hub?.diameterMm ?? profile.rootDiameterMm) / 2;
  if (reachMm < aroundMm) return;
  const what = job.bore.shape === 'keyed' ? 'keyway' : 'bore';
  throw new Refusal(
    'bore-breaks-out',
    `the ${what} reaches ${reachMm.toFixed(2)} mm from the axis, and the ${job.hub ? 'hub' : 'root of the teeth'} is at ${aroundMm.toFixed(2)} mm: no wall is left`,
    reachMm,
    aroundMm,
  );
}

/** With the cutter at its deepest in a gap, the collet nut may reach over the bolt in the middle. */
function checkNut(job: Job, profile: Wheel): void {
  const { cutter, blank } = job;
  if (blank.heldBy !== 'through-bolt') return;
  const spacerMm = spacerMaxMm(profile.rootDiameterMm, blank.centringErrorMm);
  const met = nutMeets({ ...profile, cutter, holeMm: boltHoleMm(job), spacerMm });
  if (!met) return;
  const nutMm = nutHeightMm(cutter.stickOutMm, profile.thicknessMm);
  const over =
    met.what === 'bolt'
      ? 'bolt in the middle, whose head and washer stand'
      : 'washer of the bolt in the middle, which stands';
  throw new Refusal(
    'nut-meets-bolt',
    `at the root of the teeth the collet nut comes down to ${nutMm.toFixed(1)} mm over the blank and reaches in over the ${over} ${met.heightMm} mm high; hold the blank by a spigot or a plate from below, or let the cutter stick out ${stickOutOverMm(met.heightMm, profile.thicknessMm).toFixed(1)} mm`,
    nutMm,
    met.heightMm,
  );
}

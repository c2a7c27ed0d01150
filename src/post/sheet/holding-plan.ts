import { tan } from '../../maths/elementary.js';
import { radFromDeg } from '../../maths/angle.js';
import type { Job } from '../../model/job.js';
import type { Plan } from '../plan.js';
import {
  type Friction,
  HOLDING_SAFETY,
  boltForPreload,
  chuckForceN,
  frictionOnSteel,
  clampingAskedN,
  clampingNeedN,
  tapeMayHold,
} from '../../machines/bear/holding.js';
import { driveThrustN, middleDriveOf } from '../../machines/bear/drive.js';
import { boltHoleMm, washerDiameterMm } from '../../cam/holding-choice.js';
import type { Reach } from './reach.js';

export type HoldingPlan = ReturnType<typeof holdingPlan>;

/** Coefficient of smooth jaws on a turned spigot (Roehm RN-1391: smooth jaws, ground work). */
const JAW_FRICTION: Friction = { mu: 0.07, source: 'Roehm RN-1391: smooth jaws on smooth work' };

/** A split ring is closed by one screw; it presses with about twice the screw's tension. */
const RING_GAIN = 2;

/** A jam is held for so large a share of the machines that this one may be. Our own judgement. */
const JAM_THRUST_SHARE = 0.95;

/** Screws through a plate. Common practice, no source. */
const PLATE_SCREWS = 4;

/**
 * Upward pull of a right-hand helix as a share of the force in the plane: tan(helix) / 2, which
 * is 0.29 at 30 degrees and 0.5 at 45 (usual defaults 0.3 and 0.5; from memory).
 */
function helixPullShare(helixDeg: number): number {
  return tan(radFromDeg(Math.max(0, helixDeg))) / 2;
}

/** What the holding has to do in this cut. */
export function holdingPlan({ job, cam, replay }: Plan, reach: Reach) {
  const { machine, material, blank, hub } = job;
  const cutForceN = replay.peakResultantN.value;
  const axialPullN = cutForceN * helixPullShare(job.cutter.helixDeg);
  const cutRadiusMm = cam.blank.diameterMm / 2 + cam.blank.centringErrorMm;
  const [gripped, bolted] = [blank.heldBy === 'spigot', blank.heldBy === 'through-bolt'];
  const spigotMm = spigotDiameterMm(hub, job.bore.diameterMm, reach);
  const holeMm = boltHoleMm(job);
  const ringMm = bolted ? washerDiameterMm(holeMm, reach.spacerMaxMm) : reach.spacerMaxMm;
  const friction = gripped ? JAW_FRICTION : frictionOnSteel(material.group);
  const needN = gripped
    ? chuckForceN(cutForceN, cutRadiusMm, spigotMm / 2, friction.mu, HOLDING_SAFETY) +
      (HOLDING_SAFETY * axialPullN) / friction.mu
    : clampingNeedN({
        cutForceN,
        axialPullN,
        cutRadiusMm,
        ringInnerRadiusMm: holeMm / 2,
        ringOuterRadiusMm: ringMm / 2,
        friction,
        located: bolted,
        safety: HOLDING_SAFETY,
      });
  const screws = blank.heldBy === 'plate' ? PLATE_SCREWS : 1;
  const stallThrustN = Math.max(
    ...(['x', 'y'] as const).map((axis) =>
      driveThrustN(middleDriveOf(machine, axis), JAM_THRUST_SHARE),
    ),
  );
  // The need goes with the push: a jam takes it at the thrust of the stalled axis, without a factor.
  const jamForceN = (needN * stallThrustN) / (HOLDING_SAFETY * cutForceN);
  const clampForceN = clampingAskedN(needN, jamForceN);
  return {
    /** Peak resultant in the cutting plane, from the replay. N */
    cutForceN,
    /** Pull of the helix along the spindle, upwards. N */
    axialPullN,
    /** Where the force is taken to act: the rim of the blank. mm */
    cutRadiusMm,
    cutTorqueNm: (cutForceN * cutRadiusMm) / 1000,
    safety: HOLDING_SAFETY,
    /** Thrust of the stronger axis as it stalls, which 95 of 100 machines stay under: what a jammed
     *  cutter pushes with. N */
    stallThrustN,
    /** Clamping that holds against that. N */
    jamForceN,
    tapeMayHold: tapeMayHold(material.group),
    friction,
    /** Force of the clamping: along the axis for bolt and plate, round the spigot otherwise. N */
    clampForceN,
    /** Screws that share the force. */
    screws,
    /** Screw that gives its share at half of its yield or less; null when none up to M16 does. */
    screw: boltForPreload(clampForceN / (gripped ? RING_GAIN : screws)),
    /** Ring on which bolt or plate bears, or the spigot. mm */
    bearing: gripped
      ? { innerMm: spigotMm, outerMm: spigotMm }
      : { innerMm: holeMm, outerMm: ringMm },
  };
}

const SPIGOT_LENGTH_MM = 10;

/** What stands below the teeth: hub, spigot that is turned off afterwards, or nothing. */
export function belowTeeth({ hub, blank }: Pick<Job, 'hub' | 'blank'>, { bearing }: HoldingPlan) {
  if (hub) return { what: 'hub', ...hub } as const;
  if (blank.heldBy !== 'spigot') return null;
  const size = { diameterMm: bearing.outerMm, lengthMm: SPIGOT_LENGTH_MM };
  return { what: 'spigot', ...size } as const;
}

/** The hub is the spigot; a wheel without one gets a spigot that is turned off afterwards. mm */
function spigotDiameterMm(
  hub: { readonly diameterMm: number } | null,
  boreMm: number,
  reach: Reach,
): number {
  if (hub) return hub.diameterMm;
  return Math.max(Math.floor(0.7 * reach.spacerMaxMm), Math.min(boreMm + 6, reach.spacerMaxMm - 2));
}

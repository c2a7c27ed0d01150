import type { ReplaySetup } from '../cam/stock/replay.js';
import type { BlankSize } from '../cam/sequence.js';
import { boreLoop } from '../profile/wheel/bore.js';
import { type DistanceField, makeDistanceField } from '../profile/geometry/distance-field.js';
import { loopFlatten } from '../profile/geometry/loop.js';
import type { SprocketProfile } from '../profile/wheel/sprocket.js';
import type { Job } from '../model/job.js';

/** Chord error of the outline points at which leftover is measured. mm: far below the 0.01 mm to
 *  which leftover is judged. */
const OUTLINE_CHORD_MM = 5e-4;

/** What a replay has to know of a job. */
export function replaySetup(
  job: Job,
  profile: SprocketProfile,
  blank: BlankSize,
  field: DistanceField,
): ReplaySetup {
  return {
    ...machineAndCutter(job),
    blankRadiusMm: blank.diameterMm / 2 + blank.centringErrorMm,
    thicknessMm: profile.thicknessMm,
    holes: [],
    field,
    outlinePoints: loopFlatten(profile.outline, OUTLINE_CHORD_MM),
  };
}

/** The same for the bore, cut from its pilot hole. */
export function boreReplaySetup(job: Job, depthMm: number, blankRadiusMm: number): ReplaySetup {
  const loop = boreLoop(job.bore);
  return {
    ...machineAndCutter(job),
    blankRadiusMm,
    thicknessMm: depthMm,
    holes: [{ x: 0, y: 0, radiusMm: (job.bore.pilotHoleMm ?? 0) / 2 }],
    field: makeDistanceField(loop),
    outlinePoints: loopFlatten(loop, OUTLINE_CHORD_MM),
  };
}

function machineAndCutter(job: Job): Pick<ReplaySetup, 'machine' | 'conditions'> {
  return {
    machine: job.machine,
    conditions: {
      material: job.material,
      cutter: job.cutter,
      runoutMm: job.machine.spindle.runoutMm,
      wearFactor: job.limits.wearFactor,
    },
  };
}

/** What a program is for, the teeth or the bore, and what the replay starts from. */
import { type BlankSize, blankSize } from '../../cam/sequence.js';
import type { ReplaySetup } from '../../cam/stock/replay.js';
import { isMotion } from '../../cam/stock/replay/motion.js';
import type { CanonicalOp } from '../../model/op.js';
import { boreLoop } from '../../profile/wheel/bore.js';
import { makeDistanceField } from '../../profile/geometry/distance-field.js';
import type { SprocketProfile } from '../../profile/wheel/sprocket.js';
import { blankStart, boreStart } from '../start.js';
import type { Job } from '../../model/job.js';

export interface CheckSetup {
  readonly target: 'teeth' | 'bore';
  readonly blank: BlankSize;
  readonly replay: ReplaySetup;
  /** Depth of what is cut below the face. mm */
  readonly depthMm: number;
  /** The program is for the bore: below the face it stays this near to the axis. mm */
  readonly withinMm: number | null;
}

/** @throws Refusal for a job whose blank or outline cannot be */
export function setupFor(
  job: Job,
  profile: SprocketProfile,
  ops: readonly CanonicalOp[],
): CheckSetup {
  const blank = blankSize(job, profile);
  const teeth = blankStart(job, profile, blank, makeDistanceField(profile.outline)).setup;
  if (job.bore.madeBy !== 'router' || job.bore.shape !== 'round' || job.bore.pilotHoleMm === null) {
    const depthMm = profile.thicknessMm;
    return { target: 'teeth', blank, replay: teeth, depthMm, withinMm: null };
  }
  // Nearer to the bore than to the teeth all the way: then the bore is what it cuts.
  const reachMm = lowReachMm(ops);
  const betweenMm = (job.bore.diameterMm + profile.rootDiameterMm) / 4 - job.cutter.diameterMm / 2;
  if (reachMm !== null && reachMm < betweenMm) {
    const depthMm = profile.thicknessMm + (job.hub?.lengthMm ?? 0);
    const replay = boreStart(job, depthMm, teeth.blankRadiusMm).setup;
    return { target: 'bore', blank, replay, depthMm, withinMm: reachMm };
  }
  // Teeth, or teeth and bore in one program: the bore is air, and so is its pilot hole.
  const replay = {
    ...teeth,
    holes: [{ x: 0, y: 0, radiusMm: job.bore.pilotHoleMm / 2 }],
    field: makeDistanceField(profile.outline, boreLoop(job.bore)),
  };
  return { target: 'teeth', blank, replay, depthMm: profile.thicknessMm, withinMm: null };
}

/** Greatest distance from the axis that the cutter's centre has below the face; null if it never
 *  goes there. mm */
function lowReachMm(ops: readonly CanonicalOp[]): number | null {
  let reach: number | null = null;
  for (const op of ops) {
    if (!isMotion(op) || Math.min(op.from[2], op.to[2]) >= 0) continue;
    const ends = Math.max(Math.hypot(op.from[0], op.from[1]), Math.hypot(op.to[0], op.to[1]));
    const bulge =
      op.op === 'arc' && op.plane === 'xy'
        ? Math.hypot(...op.center) +
          Math.hypot(op.from[0] - op.center[0], op.from[1] - op.center[1])
        : 0;
    reach = Math.max(reach ?? 0, ends, bulge);
  }
  return reach;
}

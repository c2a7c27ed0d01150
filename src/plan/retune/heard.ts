/** The cut in which somebody heard chatter, or none: the heaviest of a stretch of the program. */
import type { Sound } from '../../machines/learn/evidence.js';
import { degFromRad, radFromDeg } from '../../maths/angle.js';
import { rounded } from '../../maths/elementary.js';
import type { OpLoads } from '../../cam/stock/replay.js';
import { toothRateHz } from '../../machines/bear/spindle.js';
import { type CanonicalOp, type FeedMove, isFeedMove } from '../../model/op.js';
import { feedPerToothMm } from '../../machines/load/chip.js';
import type { Job } from '../../model/job.js';
import type { HeardCut } from '../../model/machine.js';

/** Least rim in material that counts as a cut. rad */
const LEAST_RAD = radFromDeg(1);

/** A program's operations and how each cuts. */
interface Cuts extends Pick<OpLoads, 'engagementRad' | 'axialMm'> {
  readonly ops: readonly CanonicalOp[];
}

/**
 * @param range  of the operations, both included
 * @returns      undefined where they cut nothing; without the pitch where that is the teeth's own
 */
export function heardCut(
  { cutter, material, limits }: Job,
  { ops, engagementRad, axialMm }: Cuts,
  range: { readonly first: number; readonly last: number },
  { sound, pitchHz }: Sound,
): HeardCut | undefined {
  let heaviest = -1;
  let most = 0;
  for (let i = range.first; i <= range.last; i++) {
    const phiRad = engagementRad[i]!;
    if (!(phiRad > LEAST_RAD && phiRad * axialMm[i]! > most) || !cutting(ops[i]!)) continue;
    [heaviest, most] = [i, phiRad * axialMm[i]!];
  }
  const op = ops[heaviest];
  if (op === undefined || !cutting(op)) return undefined;
  const { diameterMm, flutes, stickOutMm, fluteLengthMm, shankDiameterMm, neckDiameterMm } = cutter;
  const own = pitchHz !== undefined && teethHz(pitchHz, op.spindleRpm, flutes) !== null;
  return {
    sound,
    ...(pitchHz !== undefined && !own && { pitchHz }),
    spindleRpm: op.spindleRpm,
    engagementDeg: rounded(degFromRad(Math.min(Math.PI, engagementRad[heaviest]!)), 1),
    axialDepthMm: rounded(axialMm[heaviest]!, 4),
    feedPerToothMm: rounded(feedPerToothMm(op.feedMmPerMin, flutes, op.spindleRpm), 5),
    ...{ wearFactor: limits.wearFactor, kc11NPerMm2: material.kc11NPerMm2, mc: material.mc },
    cutter: {
      ...{ diameterMm, flutes, material: cutter.material, stickOutMm, fluteLengthMm },
      shankDiameterMm,
      ...(neckDiameterMm !== undefined && { neckDiameterMm }),
    },
  };
}

/** Feed with the spindle running. */
function cutting(op: CanonicalOp): op is FeedMove {
  return isFeedMove(op) && op.spindleRpm > 0;
}

/** A line of the spectrum this close to the teeth's own is theirs. Relative. Common practice, no
 *  source. */
const TEETH_WITHIN = 0.02;
/** Multiples of the rate of teeth that are heard. */
const OVERTONES = 4;

/** The rate of teeth, or of one of its first overtones, that a pitch is no more than; null: none. Hz */
export function teethHz(pitchHz: number, spindleRpm: number, flutes: number): number | null {
  const rate = toothRateHz(spindleRpm, flutes);
  const nearest = rate * Math.min(OVERTONES, Math.max(1, Math.round(pitchHz / rate)));
  return Math.abs(pitchHz / nearest - 1) <= TEETH_WITHIN ? nearest : null;
}

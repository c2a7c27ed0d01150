/**
 * Wheels for double-pitch chains, whose rollers sit two of a usual wheel's gaps apart.
 *
 *   double cut  a gap in every place, N of them; a roller goes into every second one, and with an odd
 *               N into the others on the next turn. The pitch circle takes the long link as a chord
 *               over two gaps, d = p / sin(360 deg / N), which is not that of the base chain's wheel:
 *               two short chords are longer than one long one. Neighbouring gaps are
 *               d sin(180 deg / N) = p / (2 cos(180 deg / N)) apart.
 *   single cut  only the gaps that rollers go into, with long lands between; d = p / sin(180 deg / N).
 *               Each gap and tip is that of the wheel with 2 N gaps. A large roller has no room for
 *               that, and takes the tooth of a usual chain of its pitch.
 *
 * Geometry; that flank and tip are those of the base chain is from memory (ISO 1275, ASME B29.3).
 */
import { cos } from '../../maths/elementary.js';
import type { JobChain, WheelCut } from '../../model/job.js';

/** Pitch between neighbouring gaps of a double-cut wheel. mm */
function doubleCutPitchMm(linkPitchMm: number, teeth: number): number {
  return linkPitchMm / (2 * cos(Math.PI / teeth));
}

/** Pitch of the chain itself, whatever the wheel's gaps are apart. mm */
export function linkPitchMm({ pitchMm, doublePitch }: WithPitch): number {
  return doublePitch?.pitchMm ?? pitchMm;
}
type WithPitch = Pick<JobChain, 'pitchMm' | 'doublePitch'>;

/** A double-pitch chain on a wheel of so many gaps, cut in one way or the other. */
export function chainOnWheel<C extends WithPitch>(chain: C, teeth: number, cut: WheelCut): C {
  const own = linkPitchMm(chain);
  const pitchMm = cut === 'double' ? doubleCutPitchMm(own, teeth) : own;
  return { ...chain, pitchMm, doublePitch: { pitchMm: own, cut } };
}

/** Pitches of the chain that a turn of the wheel takes; a half where an odd wheel is double cut. */
export function pitchesPerTurn(teeth: number, { doublePitch }: WithPitch): number {
  return doublePitch?.cut === 'double' ? teeth / 2 : teeth;
}

/** The wheel with a gap in every place that has the gaps and tips of the one asked for. */
export function everyGap<S extends WithPitch & { teeth: number; rollerDiameterMm: number }>(
  spec: S,
): S {
  const { doublePitch, teeth, rollerDiameterMm } = spec;
  if (!doublePitch) return spec;
  const whole = { ...spec, doublePitch: null };
  if (doublePitch.cut === 'double') return whole;
  const pitchMm = doubleCutPitchMm(doublePitch.pitchMm, 2 * teeth);
  return rollerDiameterMm < pitchMm ? { ...whole, pitchMm, teeth: 2 * teeth } : whole;
}

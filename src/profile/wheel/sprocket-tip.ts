import { Refusal } from '../../model/refusal.js';
import type { ProfileNote, SprocketSpec } from './sprocket-spec.js';
import { bisect } from '../../maths/solve.js';
import { type Range, pitchDiameterMm } from '../standard/limits.js';
import type { ToothGapForm } from '../tooth/form.js';
import { TOOTH_RULES } from '../tooth/forms.js';
import { type TippedHalf, tipHalf } from '../tooth/tip.js';

/** Least tip left between the roundings, as a share of the pitch, where the tip diameter is ours
 *  to choose: half a millimetre on 12.7 mm pitch. A sharper tip burrs over and chips. Common
 *  practice, no source. */
const MIN_TIP_LAND_PER_PITCH = 0.04;
/** What may be left of that to stay inside the standard's tip limits, where the maximum gap form
 *  makes slim teeth on large wheels. Judgement, no source. */
const LEAST_TIP_LAND_PER_PITCH = 0.01;

/** Tip diameter settled on, and half the gap cut off there. */
interface Tip {
  readonly diameterMm: number;
  readonly half: TippedHalf;
}

function tipAt(spec: SprocketSpec, form: ToothGapForm, diameterMm: number, roundingMm: number) {
  return tipHalf(form.half(diameterMm / 2), spec.teeth, diameterMm / 2, roundingMm);
}

/** Default tip: the wanted diameter, or the largest below it that keeps enough land. */
export function chooseTip(
  spec: SprocketSpec,
  form: ToothGapForm,
  limits: Range,
  notes: ProfileNote[],
): Tip {
  const enough = MIN_TIP_LAND_PER_PITCH * spec.pitchMm;
  const least = LEAST_TIP_LAND_PER_PITCH * spec.pitchMm;
  const { tipDiameterMm } = TOOTH_RULES[spec.toothForm];
  const wanted = tipDiameterMm(spec.pitchMm, spec.teeth, limits);
  const straight = landedTip(spec, form, wanted, enough);
  if (straight) return straight;

  // A tooth that ends inside the pitch circle does not drive.
  const pitchCircle = pitchDiameterMm(spec.pitchMm, spec.teeth);
  let tip = largestTip(spec, form, pitchCircle, wanted, enough);
  if (!tip || tip.diameterMm < limits.minMm) {
    tip =
      landedTip(spec, form, limits.minMm, least) ??
      tip ??
      largestTip(spec, form, pitchCircle, wanted, least);
  }
  if (!tip) throw refuseTip(spec, form, pitchCircle);
  const pointed = Number.isFinite(form.pointedRadiusMm)
    ? `the flanks of a tooth meet at ${(2 * form.pointedRadiusMm).toFixed(2)} mm, and `
    : '';
  notes.push({
    code: 'tip-reduced',
    text: `tip diameter reduced from ${wanted.toFixed(2)} to ${tip.diameterMm.toFixed(2)} mm: ${pointed}${tip.half.landMm.toFixed(2)} mm of tip is to be left`,
    value: tip.diameterMm,
    limit: wanted,
  });
  if (tip.diameterMm < limits.minMm) notes.push(outsideLimits(tip.diameterMm, limits));
  if (tip.half.landMm < enough - 1e-6) notes.push(thinTip(tip.half.landMm, enough));
  return tip;
}

/** Tip of the given diameter, or null where less than `landMm` of it is left. */
function landedTip(
  spec: SprocketSpec,
  form: ToothGapForm,
  diameterMm: number,
  landMm: number,
): Tip | null {
  if (diameterMm >= 2 * form.pointedRadiusMm) return null;
  const half = tipAt(spec, form, diameterMm, spec.tipRoundingMm);
  return typeof half !== 'string' && half.landMm >= landMm ? { diameterMm, half } : null;
}

/** Largest tip from `lowMm` to `highMm` that keeps the land, by bisection: the land shrinks as the
 *  tip grows. null where even the lowest does not. */
function largestTip(
  spec: SprocketSpec,
  form: ToothGapForm,
  lowMm: number,
  highMm: number,
  landMm: number,
): Tip | null {
  const lands = (mm: number): boolean => landedTip(spec, form, mm, landMm) !== null;
  if (!lands(lowMm)) return null;
  return landedTip(spec, form, bisect(lands, lowMm, highMm, 60, 1e-9)[0], landMm);
}

function refuseTip(spec: SprocketSpec, form: ToothGapForm, low: number): Refusal {
  if (spec.tipRoundingMm > 0 && typeof tipAt(spec, form, low, 0) !== 'string') {
    const text = `tip rounding ${spec.tipRoundingMm} mm leaves no tip; use a smaller one`;
    return new Refusal('tip-rounding-too-big', text, spec.tipRoundingMm);
  }
  const text = `${spec.teeth} teeth for a ${spec.rollerDiameterMm} mm roller at ${spec.pitchMm} mm pitch: the tooth comes to a point inside the pitch circle`;
  return new Refusal('no-tooth', text, 2 * form.pointedRadiusMm, low);
}

/** Tip of the diameter asked for. */
export function givenTip(
  spec: SprocketSpec,
  form: ToothGapForm,
  limits: Range,
  notes: ProfileNote[],
  diameterMm: number,
): Tip {
  const pointedMm = 2 * form.pointedRadiusMm;
  if (diameterMm >= pointedMm) {
    const text = `tip diameter ${diameterMm} mm: the flanks of a tooth meet at ${pointedMm.toFixed(3)} mm; less than that`;
    throw new Refusal('tip-beyond-point', text, diameterMm, pointedMm);
  }
  const pitchCircle = pitchDiameterMm(spec.pitchMm, spec.teeth);
  const half = tipAt(spec, form, diameterMm, spec.tipRoundingMm);
  if (half === 'rounding-too-big' || half === 'no-land') {
    const text = `tip rounding ${spec.tipRoundingMm} mm leaves no tip at a tip diameter of ${diameterMm} mm; use a smaller rounding or tip diameter`;
    throw new Refusal('tip-rounding-too-big', text, spec.tipRoundingMm);
  }
  if (half === 'seat-cut' || half === 'misses-tip-circle' || diameterMm < pitchCircle) {
    const text = `tip diameter ${diameterMm} mm does not reach the pitch circle; at least ${pitchCircle.toFixed(3)} mm`;
    throw new Refusal('tip-too-small', text, diameterMm, pitchCircle);
  }
  if (diameterMm < limits.minMm || diameterMm > limits.maxMm) {
    notes.push(outsideLimits(diameterMm, limits));
  }
  const least = MIN_TIP_LAND_PER_PITCH * spec.pitchMm;
  if (half.landMm < least) notes.push(thinTip(half.landMm, least));
  return { diameterMm, half };
}

function thinTip(landMm: number, leastMm: number): ProfileNote {
  return {
    code: 'thin-tip',
    text: `only ${landMm.toFixed(2)} mm of tip is left; a tip under ${leastMm.toFixed(2)} mm burrs over and chips`,
    value: landMm,
    limit: leastMm,
  };
}

function outsideLimits(diameterMm: number, limits: Range): ProfileNote {
  const low = diameterMm < limits.minMm;
  return {
    code: 'tip-outside-limits',
    text: `tip diameter ${diameterMm.toFixed(2)} mm is ${low ? 'below' : 'above'} the standard's ${limits.minMm.toFixed(2)} to ${limits.maxMm.toFixed(2)} mm`,
    value: diameterMm,
    limit: low ? limits.minMm : limits.maxMm,
  };
}

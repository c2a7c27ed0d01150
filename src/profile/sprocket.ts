import type { Edge, Loop, Pt } from './edges.js';
import { mapEdge, mirrorEdge, reverseEdge } from './edge.js';
import { ProfileError } from './errors.js';
import { rollerSwingFoulMm } from './roller-swing.js';
import {
  type Range,
  type SideRelief,
  asmeSideRelief,
  asmeToothWidthMm,
  asmeTurnedDiameterMm,
  isoSideRelief,
  isoTipLimits,
  isoToothWidthMm,
  pitchDiameterMm,
  rootDiameterMm,
} from './standard-limits.js';
import { asmeToothGap } from './tooth-asme-b291.js';
import { TOOTH_FORM_NAMES, type ToothFormName, type ToothGapForm } from './tooth-form.js';
import { iso606ToothGap } from './tooth-iso606.js';
import { linkSweepToothGap } from './tooth-link-sweep.js';
import { type TippedHalf, tipHalf } from './tooth-tip.js';

/** What is wanted of a sprocket; all lengths mm. null asks for the standard's figure. */
export interface SprocketSpec {
  readonly pitchMm: number;
  readonly rollerDiameterMm: number;
  readonly innerWidthMm: number;
  readonly teeth: number;
  readonly toothForm: ToothFormName;
  readonly tipRoundingMm: number;
  /** link-sweep only; see tooth-link-sweep. */
  readonly flankReliefMm: number;
  readonly tipDiameterMm: number | null;
  readonly thicknessMm: number | null;
}

/** One thing the person should know, with the figure behind it. */
export interface ProfileNote {
  readonly code:
    | 'few-teeth'
    | 'roller-fouls-flank'
    | 'tip-reduced'
    | 'tip-outside-limits'
    | 'thin-tip'
    | 'thick-teeth';
  readonly text: string;
  readonly value: number | null;
  readonly limit: number | null;
}

/** Outline of a sprocket's teeth and the figures that go with it. */
export interface SprocketProfile {
  readonly pitchDiameterMm: number;
  readonly rootDiameterMm: number;
  readonly tipDiameterMm: number;
  /** Standard's limits of the tip diameter, and where the flanks of a tooth would meet (null
   *  where they never do). */
  readonly tipLimitsMm: {
    readonly min: number;
    readonly max: number;
    readonly pointed: number | null;
  };
  /** Arc of the tip circle left between the flanks or roundings of a tooth. */
  readonly tipLandMm: number;
  /** Smallest concave radius of the gap. */
  readonly seatRadiusMm: number;
  readonly thicknessMm: number;
  readonly sideRelief: SideRelief;
  /** Counter-clockwise; `gap` turned about the axis `teeth` times, joints equal to the bit. */
  readonly outline: Loop;
  /** The gap centred on +X, from the middle of one tip to the middle of the next. */
  readonly gap: readonly Edge[];
  readonly notes: readonly ProfileNote[];
}

export const MIN_TEETH = 6;
export const MAX_TEETH = 150;
/** ISO 606:2015 5.10 (from memory) covers 9 to 150 teeth. */
const FEW_TEETH = 9;
/** link-sweep touches the roller all the way, so rounding alone must not raise the note. mm. */
const SWING_SLACK_MM = 1e-6;
/** Least tip left between the roundings, as a share of the pitch, where the tip diameter is ours
 *  to choose: half a millimetre on 12.7 mm pitch. A sharper tip burrs over and chips. Common
 *  practice, no source. */
export const MIN_TIP_LAND_PER_PITCH = 0.04;
/** What may be left of that to stay inside the standard's tip limits, where the maximum gap form
 *  makes slim teeth on large wheels. Judgement, no source. */
const LEAST_TIP_LAND_PER_PITCH = 0.01;

/**
 * Outline of a sprocket in the part frame: axis at the origin, a tooth gap centred on +X.
 *
 * The tip diameter, where not given, is the middle of the ISO 606 limits (for asme-b29.1 the
 * turned diameter P (0.6 + cot(180/N)) held inside them); where that leaves less tip than
 * MIN_TIP_LAND_PER_PITCH it is reduced until it does, but not below the standard's minimum while
 * LEAST_TIP_LAND_PER_PITCH is left there, with the note 'tip-reduced'.
 *
 * @throws ProfileError naming the rule broken
 */
export function sprocketProfile(spec: SprocketSpec): SprocketProfile {
  checkSpec(spec);
  const { pitchMm, rollerDiameterMm, teeth } = spec;
  const form = gapForm(spec);
  checkSeats(spec, form);

  const notes: ProfileNote[] = [];
  if (teeth < FEW_TEETH) {
    notes.push({
      code: 'few-teeth',
      text: `${teeth} teeth is below the standard's range of ${FEW_TEETH} to ${MAX_TEETH}: the chain runs rough, wears fast and may ride up`,
      value: teeth,
      limit: FEW_TEETH,
    });
  }
  const limits = isoTipLimits(pitchMm, rollerDiameterMm, teeth);
  const tip =
    spec.tipDiameterMm === null
      ? chooseTip(spec, form, limits, notes)
      : givenTip(spec, form, limits, notes, spec.tipDiameterMm);
  const foulMm = rollerSwingFoulMm(tip.half.edges, pitchMm, rollerDiameterMm, teeth);
  if (foulMm > SWING_SLACK_MM) {
    notes.push({
      code: 'roller-fouls-flank',
      text: `the flank of ${spec.toothForm} stands ${foulMm.toFixed(3)} mm in the way of a roller leaving a wheel of ${teeth} teeth; use a more open form`,
      value: foulMm,
      limit: 0,
    });
  }
  const thicknessMm = chooseThickness(spec, notes);

  const gap = wholeGap(tip.half.edges);
  return {
    pitchDiameterMm: pitchDiameterMm(pitchMm, teeth),
    rootDiameterMm: rootDiameterMm(pitchMm, rollerDiameterMm, teeth),
    tipDiameterMm: tip.diameterMm,
    tipLimitsMm: {
      min: limits.minMm,
      max: limits.maxMm,
      pointed: Number.isFinite(form.pointedRadiusMm) ? 2 * form.pointedRadiusMm : null,
    },
    tipLandMm: tip.half.landMm,
    seatRadiusMm: form.seatRadiusMm,
    thicknessMm,
    sideRelief:
      spec.toothForm === 'asme-b29.1'
        ? asmeSideRelief(pitchMm)
        : isoSideRelief(pitchMm, spec.innerWidthMm),
    outline: repeatGap(gap, teeth),
    gap,
    notes,
  };
}

function gapForm(spec: SprocketSpec): ToothGapForm {
  switch (spec.toothForm) {
    case 'iso606-min':
      return iso606ToothGap('min', spec);
    case 'iso606-mid':
      return iso606ToothGap('mid', spec);
    case 'iso606-max':
      return iso606ToothGap('max', spec);
    case 'asme-b29.1':
      return asmeToothGap(spec);
    case 'link-sweep':
      return linkSweepToothGap(spec);
  }
}

function checkSpec(spec: SprocketSpec): void {
  if (!TOOTH_FORM_NAMES.includes(spec.toothForm)) {
    throw new RangeError(
      `tooth form ${String(spec.toothForm)}; not one of ${TOOTH_FORM_NAMES.join(', ')}`,
    );
  }
  const { teeth, pitchMm, rollerDiameterMm } = spec;
  if (!Number.isInteger(teeth) || teeth < MIN_TEETH || teeth > MAX_TEETH) {
    throw new ProfileError(
      'teeth-range',
      `${teeth} teeth; not a whole number from ${MIN_TEETH} to ${MAX_TEETH}`,
      teeth,
      teeth < MIN_TEETH ? MIN_TEETH : MAX_TEETH,
    );
  }
  const positive: [string, number | null][] = [
    ['pitch', pitchMm],
    ['roller diameter', rollerDiameterMm],
    ['inner width', spec.innerWidthMm],
    ['tip diameter', spec.tipDiameterMm],
    ['thickness', spec.thicknessMm],
  ];
  for (const [name, value] of positive) {
    if (value !== null && !(Number.isFinite(value) && value > 0)) {
      throw new ProfileError(
        'spec-not-positive',
        `${name} ${value} mm; not greater than 0`,
        value,
        0,
      );
    }
  }
  const notNegative: [string, number][] = [
    ['tip rounding', spec.tipRoundingMm],
    ['flank relief', spec.flankReliefMm],
  ];
  for (const [name, value] of notNegative) {
    if (!(Number.isFinite(value) && value >= 0)) {
      throw new ProfileError('spec-not-positive', `${name} ${value} mm; not 0 or more`, value, 0);
    }
  }
  if (rollerDiameterMm >= pitchMm) {
    throw new ProfileError(
      'roller-too-big',
      `roller diameter ${rollerDiameterMm} mm is not less than the pitch ${pitchMm} mm: neighbouring rollers would overlap`,
      rollerDiameterMm,
      pitchMm,
    );
  }
  if (spec.flankReliefMm > 0 && spec.toothForm !== 'link-sweep') {
    throw new ProfileError(
      'relief-not-for-form',
      `flank relief ${spec.flankReliefMm} mm with tooth form ${spec.toothForm}: only link-sweep takes relief, the standard forms have clearance of their own`,
      spec.flankReliefMm,
      0,
    );
  }
}

/** The seats of neighbouring gaps must leave metal between them. */
function checkSeats(spec: SprocketSpec, form: ToothGapForm): void {
  const apart = 2 * form.seatCentreXMm * Math.sin(Math.PI / spec.teeth);
  if (2 * form.seatRadiusMm >= apart) {
    throw new ProfileError(
      'roller-fills-gap',
      `seats of ${(2 * form.seatRadiusMm).toFixed(3)} mm for a ${spec.rollerDiameterMm} mm roller leave no tooth between gaps ${apart.toFixed(3)} mm apart`,
      2 * form.seatRadiusMm,
      apart,
    );
  }
}

interface Tip {
  readonly diameterMm: number;
  readonly half: TippedHalf;
}

function tipAt(spec: SprocketSpec, form: ToothGapForm, diameterMm: number, roundingMm: number) {
  return tipHalf(form.half(diameterMm / 2), spec.teeth, diameterMm / 2, roundingMm);
}

/** Default tip: the wanted diameter, or the largest below it that keeps enough land. */
function chooseTip(
  spec: SprocketSpec,
  form: ToothGapForm,
  limits: Range,
  notes: ProfileNote[],
): Tip {
  const enough = MIN_TIP_LAND_PER_PITCH * spec.pitchMm;
  const least = LEAST_TIP_LAND_PER_PITCH * spec.pitchMm;
  const wanted =
    spec.toothForm === 'asme-b29.1'
      ? Math.min(
          Math.max(asmeTurnedDiameterMm(spec.pitchMm, spec.teeth), limits.minMm),
          limits.maxMm,
        )
      : (limits.minMm + limits.maxMm) / 2;
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
  let best = landedTip(spec, form, lowMm, landMm);
  let high = highMm;
  for (let i = 0; i < 60 && best && high - best.diameterMm > 1e-9; i++) {
    const mid = (best.diameterMm + high) / 2;
    const tip = landedTip(spec, form, mid, landMm);
    if (tip) best = tip;
    else high = mid;
  }
  return best;
}

function refuseTip(spec: SprocketSpec, form: ToothGapForm, low: number): ProfileError {
  if (spec.tipRoundingMm > 0 && typeof tipAt(spec, form, low, 0) !== 'string') {
    return new ProfileError(
      'tip-rounding-too-big',
      `tip rounding ${spec.tipRoundingMm} mm leaves no tip; use a smaller one`,
      spec.tipRoundingMm,
    );
  }
  return new ProfileError(
    'no-tooth',
    `${spec.teeth} teeth for a ${spec.rollerDiameterMm} mm roller at ${spec.pitchMm} mm pitch: the tooth comes to a point inside the pitch circle`,
    2 * form.pointedRadiusMm,
    low,
  );
}

/** Tip of the diameter asked for. */
function givenTip(
  spec: SprocketSpec,
  form: ToothGapForm,
  limits: Range,
  notes: ProfileNote[],
  diameterMm: number,
): Tip {
  if (diameterMm >= 2 * form.pointedRadiusMm) {
    throw new ProfileError(
      'tip-beyond-point',
      `tip diameter ${diameterMm} mm: the flanks of a tooth meet at ${(2 * form.pointedRadiusMm).toFixed(3)} mm; less than that`,
      diameterMm,
      2 * form.pointedRadiusMm,
    );
  }
  const pitchCircle = pitchDiameterMm(spec.pitchMm, spec.teeth);
  const half = tipAt(spec, form, diameterMm, spec.tipRoundingMm);
  if (half === 'rounding-too-big' || half === 'no-land') {
    throw new ProfileError(
      'tip-rounding-too-big',
      `tip rounding ${spec.tipRoundingMm} mm leaves no tip at a tip diameter of ${diameterMm} mm; use a smaller rounding or tip diameter`,
      spec.tipRoundingMm,
    );
  }
  if (half === 'seat-cut' || half === 'misses-tip-circle' || diameterMm < pitchCircle) {
    throw new ProfileError(
      'tip-too-small',
      `tip diameter ${diameterMm} mm does not reach the pitch circle; at least ${pitchCircle.toFixed(3)} mm`,
      diameterMm,
      pitchCircle,
    );
  }
  if (diameterMm < limits.minMm || diameterMm > limits.maxMm) {
    notes.push(outsideLimits(diameterMm, limits));
  }
  const least = MIN_TIP_LAND_PER_PITCH * spec.pitchMm;
  if (half.landMm < least) {
    notes.push(thinTip(half.landMm, least));
  }
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

function chooseThickness(spec: SprocketSpec, notes: ProfileNote[]): number {
  const { innerWidthMm, pitchMm } = spec;
  const standard =
    spec.toothForm === 'asme-b29.1'
      ? asmeToothWidthMm(innerWidthMm)
      : isoToothWidthMm(pitchMm, innerWidthMm);
  const thicknessMm = spec.thicknessMm ?? standard;
  if (thicknessMm >= innerWidthMm) {
    throw new ProfileError(
      'thickness-too-big',
      `thickness ${thicknessMm} mm does not go between plates ${innerWidthMm} mm apart; standard ${standard.toFixed(2)} mm`,
      thicknessMm,
      innerWidthMm,
    );
  }
  if (thicknessMm > standard + 1e-9) {
    notes.push({
      code: 'thick-teeth',
      text: `thickness ${thicknessMm} mm is over the standard's ${standard.toFixed(2)} mm for an inner width of ${innerWidthMm} mm: little side clearance`,
      value: thicknessMm,
      limit: standard,
    });
  }
  if (!(thicknessMm > 0)) {
    throw new ProfileError(
      'spec-not-positive',
      `inner width ${innerWidthMm} mm leaves no thickness for the teeth`,
      innerWidthMm,
      0,
    );
  }
  return thicknessMm;
}

/** Mirror image of the upper half in front of it; the two halves of the seat become one arc. */
function wholeGap(half: readonly Edge[]): Edge[] {
  const [seat, ...rest] = half as [Edge, ...Edge[]];
  const lower = rest.map((edge) => reverseEdge(mirrorEdge(edge))).reverse();
  return [...lower, { ...seat, a: mirrorPt(seat.b) }, ...rest];
}

function mirrorPt(p: Pt): Pt {
  return [p[0], -p[1]];
}

/**
 * The gap turned about the axis `teeth` times. Each copy starts at the stored end of the one before
 * and the last one ends at the start of the first, so the joints are equal to the bit.
 */
function repeatGap(gap: readonly Edge[], teeth: number): Loop {
  const out: Edge[] = [...gap];
  const start = (gap[0] as Edge).a;
  let from = (gap[gap.length - 1] as Edge).b;
  for (let k = 1; k < teeth; k++) {
    const angle = (2 * Math.PI * k) / teeth;
    const cos = Math.cos(angle);
    const sin = Math.sin(angle);
    const turn = (p: Pt): Pt => [cos * p[0] - sin * p[1], sin * p[0] + cos * p[1]];
    const copy = gap.map((edge) => mapEdge(edge, turn));
    copy[0] = { ...(copy[0] as Edge), a: from };
    if (k === teeth - 1) copy[copy.length - 1] = { ...(copy[copy.length - 1] as Edge), b: start };
    from = (copy[copy.length - 1] as Edge).b;
    out.push(...copy);
  }
  return out;
}

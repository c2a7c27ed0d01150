/**
 * From a part that came out wrong to what the machine did: which axis is off, which way, by how
 * much, and how many full steps or belt teeth that is.
 *
 * After a loss the control carries on as if nothing had happened, so everything is cut shifted: on
 * the outside of a part the side that the cutter moved towards is cut too far and the opposite
 * side is left by the same amount (common practice, no source).
 *
 *      shift d towards -X:      +x side: cut too far by |d|
 *      (part: ### )             -x side: left by |d|
 */
import { STEPS_PER_PERIOD, fullStepMm } from '../bear/motor.js';
import { LOADED_AXES, type LoadedAxis, type Machine } from '../../model/machine.js';

export type Side = '+x' | '-x' | '+y' | '-y';

/** What was measured on one side of the part. */
export interface SideError {
  readonly side: Side;
  /** Positive: cut too far; negative: that much left; 'untouched': the cutter never reached it. */
  readonly errorMm: number | 'untouched';
}

/** Share of a belt tooth within which an offset counts as whole teeth, besides measuring error. */
const TOOTH_SHARE = 0.12;

/** An amount as what a drive can slip by. */
export interface Slips {
  readonly fullSteps: number;
  /** Nearest whole number of slips of four full steps, and how far off it is. */
  readonly cycles: number;
  readonly cycleRestMm: number;
  /** Whether measuring is fine enough to tell whole slips from anything else. */
  readonly cyclesTell: boolean;
  /** Belt teeth, where a belt drives the axis. */
  readonly beltTeeth: number | null;
  /** Whether that is a whole number of teeth within measuring error. */
  readonly wholeTeeth: boolean;
}

export interface AxisShift extends Slips {
  readonly axis: LoadedAxis;
  /** Where the cutter ran, less where it should have. mm */
  readonly shiftMm: number;
  /** Standard uncertainty of the shift. mm */
  readonly sigmaMm: number;
  /** Whether the shift is more than measuring error, or a side says so that was not reached. */
  readonly off: boolean;
  /** Whether a side gives the amount; without, `shiftMm` is 0 and only the way is known. */
  readonly amountKnown: boolean;
  /** Which way, where a side tells; null where neither does, or where they contradict. */
  readonly way: '+' | '-' | null;
  /** Side that the cutter never reached, where it is one only. */
  readonly untouched: Side | null;
  /** Sum of the errors of both sides: zero for a pure shift; null where one side is all there is. */
  readonly sumMm: number | null;
  /** Whether both sides tell the same story; null where there is only one. */
  readonly sidesAgree: boolean | null;
}

/**
 * Shift of each axis that the measured sides speak of, by least squares.
 * @param measureMm  standard uncertainty of one measured error. mm
 * @param inside     the sides are those of a bore, where the signs turn round
 */
export function shiftsFromSides(
  sides: readonly SideError[],
  machine: Machine,
  measureMm: number,
  inside = false,
): readonly AxisShift[] {
  const errorOn = (side: Side) => sides.find((s) => s.side === side)?.errorMm;
  return LOADED_AXES.flatMap((axis) => {
    const [plus, minus] = [errorOn(`+${axis}`), errorOn(`-${axis}`)];
    if (plus === undefined && minus === undefined) return [];
    const shift = axisShift(axis, plus, minus, measureMm, inside ? -1 : 1);
    return [{ ...shift, ...slipsOf(shift.shiftMm, shift.sigmaMm, axis, machine) }];
  });
}

function axisShift(
  axis: LoadedAxis,
  plus: SideError['errorMm'] | undefined,
  minus: SideError['errorMm'] | undefined,
  measureMm: number,
  sign: number,
): Omit<AxisShift, keyof Slips> {
  // Error on the side with outward normal n is -n d: two equations for d, or one.
  const given = [
    ...(typeof plus === 'number' ? [-plus * sign] : []),
    ...(typeof minus === 'number' ? [minus * sign] : []),
  ];
  const amountKnown = given.length > 0;
  const shiftMm = given.reduce((a, b) => a + b, 0) / Math.max(1, given.length);
  const sigmaMm = measureMm / Math.sqrt(Math.max(1, given.length));
  const measuredWay = Math.abs(shiftMm) <= 2 * sigmaMm ? null : shiftMm > 0 ? '+' : '-';
  const sumMm = typeof plus === 'number' && typeof minus === 'number' ? plus + minus : null;
  const neither = plus === 'untouched' && minus === 'untouched';
  const leftSign = neither ? null : plus === 'untouched' ? '+' : minus === 'untouched' ? '-' : null;
  // Outside, the side that is not reached is the one that the cutter ran off towards; in a bore it
  // is the opposite one.
  const leftWay = leftSign === null ? null : (leftSign === '+') === sign > 0 ? '+' : '-';
  const contradict = leftWay !== null && amountKnown && leftWay !== measuredWay;
  const told = neither ? false : leftWay !== null && amountKnown ? !contradict : null;
  const sidesAgree = sumMm === null ? told : Math.abs(sumMm) <= 2 * Math.SQRT2 * measureMm;
  return {
    ...{ axis, shiftMm, sigmaMm, amountKnown, sumMm, sidesAgree },
    off: measuredWay !== null || leftWay !== null,
    way: contradict ? measuredWay : (measuredWay ?? leftWay),
    untouched: leftSign === null ? null : `${leftSign}${axis}`,
  };
}

/** @param sigmaMm  standard uncertainty of the amount. mm */
export function slipsOf(mm: number, sigmaMm: number, axis: LoadedAxis, machine: Machine): Slips {
  const amountMm = Math.abs(mm);
  const fullSteps = amountMm / fullStepMm(machine, axis);
  const cycleMm = STEPS_PER_PERIOD * fullStepMm(machine, axis);
  const cycles = Math.round(amountMm / cycleMm);
  const toothMm = machine.beltToothMm[axis];
  const beltTeeth = toothMm === null ? null : amountMm / toothMm;
  const whole = Math.round(beltTeeth ?? 0);
  return {
    fullSteps,
    cycles,
    cycleRestMm: amountMm - cycles * cycleMm,
    cyclesTell: cycleMm > 4 * sigmaMm,
    beltTeeth,
    wholeTeeth:
      toothMm !== null &&
      whole >= 1 &&
      Math.abs(amountMm - whole * toothMm) <= 2 * sigmaMm + TOOTH_SHARE * toothMm,
  };
}

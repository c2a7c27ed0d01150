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
import type { LoadedAxis } from './posterior.js';
import type { Machine } from '../../model/machine.js';

export const SIDES = ['+x', '-x', '+y', '-y'] as const;
export type Side = (typeof SIDES)[number];

/** What was measured on one side of the part. */
export interface SideError {
  readonly side: Side;
  /** Positive: cut too far; negative: that much left; 'untouched': the cutter never reached it. */
  readonly errorMm: number | 'untouched';
}

/** Multiples of the full step that a two-phase motor can slip by: it locks in again on the next
 *  equal state of its phases, four full steps on. D. Labriola, Why Open-Loop Steppers Lose Steps,
 *  2005: four full steps per electrical rotation. */
export const STEPS_PER_CYCLE = 4;

/** Share of a belt tooth within which an offset counts as whole teeth, besides measuring error. */
const TOOTH_SHARE = 0.12;

export interface AxisShift {
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

/**
 * Shift of each axis that the measured sides speak of, by least squares.
 * @param measureMm  standard uncertainty of one measured error. mm
 * @param inside     the sides are those of a bore, where the signs turn round
 * @throws RangeError for a side given twice, or no side at all
 */
export function shiftsFromSides(
  sides: readonly SideError[],
  machine: Machine,
  measureMm: number,
  inside = false,
): readonly AxisShift[] {
  if (sides.length === 0) throw new RangeError('no side was measured');
  for (const { side } of sides) {
    if (sides.filter((s) => s.side === side).length > 1) {
      throw new RangeError(`side ${side} is given twice`);
    }
  }
  return (['x', 'y'] as const)
    .filter((axis) => sides.some(({ side }) => side[1] === axis))
    .map((axis) => axisShift(axis, sides, machine, measureMm, inside ? -1 : 1));
}

function untouchedSides(
  plus: SideError['errorMm'] | undefined,
  minus: SideError['errorMm'] | undefined,
  axis: LoadedAxis,
): Side[] {
  const sides: Side[] = [];
  if (plus === 'untouched') sides.push(`+${axis}`);
  if (minus === 'untouched') sides.push(`-${axis}`);
  return sides;
}

function axisShift(
  axis: LoadedAxis,
  sides: readonly SideError[],
  machine: Machine,
  measureMm: number,
  sign: number,
): AxisShift {
  const at = (side: Side) => sides.find((s) => s.side === side)?.errorMm;
  const plus = at(`+${axis}`);
  const minus = at(`-${axis}`);
  // Error on the side with outward normal n is -n d: two equations for d, or one.
  const given: number[] = [];
  if (typeof plus === 'number') given.push(-plus * sign);
  if (typeof minus === 'number') given.push(minus * sign);
  const shiftMm = given.length === 0 ? 0 : given.reduce((a, b) => a + b, 0) / given.length;
  const sigmaMm = measureMm / Math.sqrt(Math.max(1, given.length));
  const both = typeof plus === 'number' && typeof minus === 'number';
  const sumMm = both ? plus + minus : null;
  const measurablyOff = Math.abs(shiftMm) > 2 * sigmaMm;
  const left = untouchedSides(plus, minus, axis);
  const untouched = left.length === 1 ? left[0]! : null;
  // Outside, the side that is not reached is the one that the cutter ran off towards; in a bore it
  // is the opposite one.
  const leftWay = untouched === null ? null : untouched.startsWith('+') === sign > 0 ? '+' : '-';
  const measuredWay = measurablyOff ? (shiftMm > 0 ? '+' : '-') : null;
  const contradict =
    left.length === 2 || (leftWay !== null && given.length > 0 && leftWay !== measuredWay);
  const one = machine.fullStepMm[axis];
  const cycle = STEPS_PER_CYCLE * one;
  const cycles = Math.round(Math.abs(shiftMm) / cycle);
  const tooth = machine.beltToothMm[axis];
  const teeth = tooth === null ? null : Math.abs(shiftMm) / tooth;
  return {
    axis,
    shiftMm,
    sigmaMm,
    off: measurablyOff || untouched !== null,
    amountKnown: given.length > 0,
    way: contradict ? measuredWay : (measuredWay ?? leftWay),
    untouched,
    sumMm,
    sidesAgree:
      sumMm !== null
        ? Math.abs(sumMm) <= 2 * Math.SQRT2 * measureMm
        : left.length === 2
          ? false
          : untouched !== null && given.length > 0
            ? !contradict
            : null,
    fullSteps: Math.abs(shiftMm) / one,
    cycles,
    cycleRestMm: Math.abs(shiftMm) - cycles * cycle,
    cyclesTell: cycle > 4 * sigmaMm,
    beltTeeth: teeth,
    wholeTeeth:
      teeth !== null &&
      tooth !== null &&
      Math.round(teeth) >= 1 &&
      Math.abs(teeth - Math.round(teeth)) * tooth <= 2 * sigmaMm + TOOTH_SHARE * tooth,
  };
}

/** What the measured sides of a wrong part say, axis by axis. */
import { type AxisShift, type Slips, slipsOf } from '../../machines/learn/offsets.js';
import type { Machine } from '../../model/machine.js';
import { type LengthUnit, formatLength, plural } from '../say/format.js';
import { type Part, type Section, say } from './parts.js';

export function shiftsSection(shifts: readonly AxisShift[], units: LengthUnit): Section {
  const parts: Part[] = [say('From the part as measured:')];
  for (const shift of shifts) {
    const measurable = shift.amountKnown && Math.abs(shift.shiftMm) > 2 * shift.sigmaMm;
    parts.push(say(`${shift.axis.toUpperCase()}: ${headOf(shift, measurable, units)}`));
    const sides = sidesOf(shift, units);
    const items = [
      ...(sides === null ? [] : [sides]),
      ...(shift.off && measurable ? slipLines(shift, shift.sigmaMm, units) : []),
    ];
    if (items.length > 0) parts.push({ kind: 'list', items });
  }
  return { heading: 'From the part as measured', parts };
}

/** The same from an amount that an indicator or a rule gave, of an axis that is known. */
export function amountSection(
  axis: 'x' | 'y',
  amountMm: number,
  machine: Machine,
  measureMm: number,
  units: LengthUnit,
): Section | null {
  if (amountMm <= 2 * measureMm) return null;
  const slips = slipsOf(amountMm, measureMm, axis, machine);
  const text = `${axis.toUpperCase()}: off by ${interval(amountMm, measureMm, units)}, ${slips.fullSteps.toFixed(1)} full steps.`;
  const items = slipLines(slips, measureMm, units);
  return { heading: 'From the amount', parts: [say(text), { kind: 'list', items }] };
}

/** A length with its 95 % interval. */
function interval(mm: number, sigmaMm: number, units: LengthUnit): string {
  return `${formatLength(mm, units)} +- ${formatLength(2 * sigmaMm, units)}`;
}

function headOf(s: AxisShift, measurable: boolean, units: LengthUnit): string {
  const way = s.way === null ? '' : ` towards ${s.way}${s.axis.toUpperCase()}`;
  if (s.off && measurable) {
    const by = interval(Math.abs(s.shiftMm), s.sigmaMm, units);
    return `ran off${way} by ${by} (95 %), ${s.fullSteps.toFixed(1)} full steps.`;
  }
  if (s.off) return `ran off${way}, by as much as stands there or more; the amount is not known.`;
  return s.sidesAgree === false && !s.amountKnown
    ? 'neither side was reached, which no shift does.'
    : `not off by more than measuring tells (${interval(s.shiftMm, s.sigmaMm, units)}).`;
}

/** What the two sides say of each other; null: nothing. */
function sidesOf(s: AxisShift, units: LengthUnit): string | null {
  if (s.untouched !== null && s.amountKnown) {
    return s.sidesAgree === true
      ? `One side is cut too far and side ${s.untouched} was not reached: a shift, its amount from the one side.`
      : `The sides contradict each other: ${s.untouched} was not reached, and the opposite side is not cut too far. Measure again; work that turned or lifted looks like that too.`;
  }
  if (s.sumMm !== null && s.sidesAgree === false) {
    return `The two sides do not add up to nothing (${formatLength(s.sumMm, units)}): besides a shift the part is over or under size, or the loss came part of the way through.`;
  }
  if (!s.off) return null;
  return s.sumMm !== null
    ? 'One side is cut too far and the opposite side left by the same amount: a shift.'
    : 'Only one side was measured: measure the opposite side to be sure of it.';
}

function slipLines(s: Slips, sigmaMm: number, units: LengthUnit): string[] {
  const lines: string[] = [];
  if (s.beltTeeth !== null) {
    const teeth = s.beltTeeth.toFixed(2);
    const whole = Math.round(s.beltTeeth);
    lines.push(
      s.wholeTeeth
        ? `That is ${whole} belt ${whole === 1 ? 'tooth' : 'teeth'} (${teeth}): the belt may have jumped; check its tension before blaming the motor.`
        : `${teeth} belt teeth: not a whole number, so the belt has not just jumped.`,
    );
  }
  const restMm = Math.abs(s.cycleRestMm);
  const rest = formatLength(restMm, units, 3);
  if (!s.cyclesTell) {
    lines.push('Measuring is not fine enough to tell slips of four full steps from anything else.');
  } else if (restMm <= 2 * sigmaMm) {
    lines.push(
      `${plural(s.cycles, 'slip')} of four full steps within ${rest}: as a motor loses them.`,
    );
  } else {
    lines.push(
      `Not a whole number of slips of four full steps (nearest ${s.cycles}, ${rest} off): look for work, cutter or coupling that slipped.`,
    );
  }
  return lines;
}

/** What the measured sides of a wrong part say, axis by axis. */
import { type AxisShift, shiftsFromSides } from '../../machines/learn/offsets.js';
import type { Machine } from '../../model/machine.js';
import { type LengthUnit, formatLength, plural } from '../say/format.js';
import { type Part, type Section, say } from './parts.js';

export function shiftsSection(shifts: readonly AxisShift[], units: LengthUnit): Section {
  const parts: Part[] = [say('From the part as measured:')];
  for (const shift of shifts) {
    parts.push(say(headOf(shift, units)));
    const items = [...sidesOf(shift, units), ...stepsOf(shift, units)];
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
  const [shift] = shiftsFromSides([{ side: `+${axis}`, errorMm: amountMm }], machine, measureMm);
  const items = shift ? stepsOf(shift, units) : [];
  if (!shift || items.length === 0) return null;
  const text = `${axis.toUpperCase()}: off by ${formatLength(amountMm, units)} +- ${formatLength(2 * measureMm, units)}, ${shift.fullSteps.toFixed(1)} full steps.`;
  return { heading: 'From the amount', parts: [say(text), { kind: 'list', items }] };
}

function headOf(s: AxisShift, units: LengthUnit): string {
  const mm = (value: number) => formatLength(value, units);
  const axis = s.axis.toUpperCase();
  if (!s.off) {
    return s.sidesAgree === false && !s.amountKnown
      ? `${axis}: neither side was reached, which no shift does.`
      : `${axis}: not off by more than measuring tells (${mm(s.shiftMm)} +- ${mm(2 * s.sigmaMm)}).`;
  }
  const way = s.way === null ? '' : ` towards ${s.way}${axis}`;
  if (!s.amountKnown || Math.abs(s.shiftMm) <= 2 * s.sigmaMm) {
    return `${axis}: ran off${way}, by as much as stands there or more; by how much cannot be said.`;
  }
  return `${axis}: ran off${way} by ${mm(Math.abs(s.shiftMm))} +- ${mm(2 * s.sigmaMm)} (95 %), ${s.fullSteps.toFixed(1)} full steps.`;
}

function sidesOf(s: AxisShift, units: LengthUnit): string[] {
  if (s.untouched !== null && s.amountKnown) {
    return s.sidesAgree === true
      ? [
          `One side is cut too far and side ${s.untouched} was not reached: a shift. The amount rests on the one side.`,
        ]
      : [
          `The sides contradict each other: ${s.untouched} was not reached, and the opposite side is not cut too far. Measure again; work that turned or lifted in its holding looks like that too.`,
        ];
  }
  if (s.sumMm !== null) {
    if (s.sidesAgree === true) {
      return s.off
        ? ['One side is cut too far and the opposite side left by the same amount: a shift.']
        : [];
    }
    return [
      `The two sides do not add up to nothing (${formatLength(s.sumMm, units)}): besides a shift the part is over or under size, or the loss came part of the way through.`,
    ];
  }
  return s.off ? ['Only one side was measured: measure the opposite side to be sure of it.'] : [];
}

function stepsOf(s: AxisShift, units: LengthUnit): string[] {
  if (!s.off || !s.amountKnown || Math.abs(s.shiftMm) <= 2 * s.sigmaMm) return [];
  const lines: string[] = [];
  const mm = (value: number) => formatLength(value, units, 3);
  if (s.beltTeeth !== null) {
    lines.push(
      s.wholeTeeth
        ? `That is ${Math.round(s.beltTeeth)} belt ${Math.round(s.beltTeeth) === 1 ? 'tooth' : 'teeth'} (${s.beltTeeth.toFixed(2)}): the belt may have jumped; check its tension before blaming the motor.`
        : `${s.beltTeeth.toFixed(2)} belt teeth: not a whole number, so the belt has not just jumped.`,
    );
  }
  const rest = Math.abs(s.cycleRestMm);
  if (!s.cyclesTell) {
    lines.push('Measuring is not fine enough to tell slips of four full steps from anything else.');
  } else if (rest <= 2 * s.sigmaMm) {
    lines.push(
      `${plural(s.cycles, 'slip')} of four full steps within ${mm(rest)}: as a motor loses them.`,
    );
  } else {
    lines.push(
      `Not a whole number of slips of four full steps (nearest ${s.cycles}, ${mm(rest)} off): look for work, cutter or coupling that slipped.`,
    );
  }
  return lines;
}

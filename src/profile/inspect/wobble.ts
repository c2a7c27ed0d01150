/**
 * An old drive that wobbles: which part is out, by how much, how sure that is, and what a new part
 * cures. Readings on shaft, hub and roots are taken on the turning shaft from one mark, so their shifts
 * add up as arrows:
 *
 *   roots = shaft (bent, or running out in its bearings) + bore on shaft + teeth on the bore
 *   hub   = shaft + bore on shaft            (a hub is turned in one setting with its bore)
 *
 * Geometry; which sign has which cause: HKK troubleshooting hints, sdzxwl.com "tight chains", and the
 * table of the gathered notes, 6.5.
 */
import { atan } from '../../maths/elementary.js';
import { type Figure, type FigureSection, figure, known, should } from '../../model/figure.js';
import { mm, percent } from '../../text/show.js';
import { gapAt } from './gaps.js';
import {
  type Round,
  type Shift,
  directionRad,
  roundOf,
  sizeMm,
  sureness,
  without,
} from './round.js';
import { capital } from '../../text/show.js';

export interface WobbleReadings {
  /** Each evenly spaced round one turn from the same mark, in the same sense; growing outwards, those
   *  on the face towards the reader. null not taken. mm */
  readonly shaft: Readings;
  readonly hub: Readings;
  readonly roots: Readings;
  readonly face: Readings;
  /** Distance from the axis at which the face was read. mm */
  readonly faceRadiusMm: number;
  /** Bore less shaft diameter; null where not both were measured. mm */
  readonly clearanceMm: number | null;
  readonly teeth: number;
  readonly usualSdMm: number;
  /** Greatest total readings of a good wheel. mm */
  readonly radialLimitMm: number;
  readonly axialLimitMm: number;
  readonly limitSource: string;
}
type Readings = readonly (number | null)[] | null;

type Part = 'shaft' | 'fit' | 'wheel' | 'fit or wheel' | 'shaft, fit or wheel' | 'shaft or fit';

const PART_WORDS: Readonly<Record<Part, string>> = {
  shaft: 'shaft, bent or out in its bearings',
  fit: 'bore on the shaft',
  wheel: 'teeth on their bore',
  'fit or wheel': 'bore on the shaft, or teeth on the bore',
  'shaft or fit': 'shaft, or bore on the shaft',
  'shaft, fit or wheel': 'all together',
};

/** Share of the limit from which a part is called out. Judgement. */
const OUT_OF_LIMIT = 0.5;
/** And how sure it has to be. */
const SURE = 0.95;

interface PartShift {
  readonly part: Part;
  readonly shift: Shift;
}

/** Arrows of the parts, as far as the readings tell them apart. */
export function partShifts(
  shaft: Round | null,
  hub: Round | null,
  roots: Round | null,
): readonly PartShift[] {
  const out: PartShift[] = [];
  if (shaft) out.push({ part: 'shaft', shift: shaft.shift });
  if (hub) {
    const shift = shaft ? without(hub.shift, shaft.shift) : hub.shift;
    out.push({ part: shaft ? 'fit' : 'shaft or fit', shift });
  }
  if (roots) {
    const before = hub ?? shaft;
    const part = hub ? 'wheel' : shaft ? 'fit or wheel' : 'shaft, fit or wheel';
    out.push({ part, shift: before ? without(roots.shift, before.shift) : roots.shift });
  }
  return out;
}

export function wobbleSection(input: WobbleReadings): FigureSection {
  const read = (readings: Readings) => readings && roundOf(readings, input.usualSdMm);
  const [shaft, hub, roots, face] = [input.shaft, input.hub, input.roots, input.face].map(read) as [
    Round | null,
    Round | null,
    Round | null,
    Round | null,
  ];
  const parts = partShifts(shaft, hub, roots);
  const figures = known([
    ...parts.flatMap(({ part, shift }) => partFigures(part, shift, input)),
    ...(face ? faceFigures(face, input) : []),
  ]);
  const remarks = [
    ...parts.map((p) => partRemark(p, input)),
    ...fitRemark(parts, input),
    ...(face ? [faceRemark(face, roots, input)] : []),
    ...cureRemarks(parts, input),
  ];
  return { id: 'wobble', title: 'Which part is out', figures, remarks };
}

function partFigures(part: Part, shift: Shift, input: WobbleReadings): (Figure | null)[] {
  const key = part.replace(/[ ,]+(\w)/g, (_, letter: string) => letter.toUpperCase());
  return [
    figure(`${key}RunoutMm`, PART_WORDS[part], 'length', 2 * sizeMm(shift), {
      digits: 3,
      limit: should('at most', input.radialLimitMm, input.limitSource),
      formula: 'twice the shift; total reading of this part alone',
    }),
    figure(`${key}RunoutSdMm`, '  likely error', 'length', 2 * shift.sdMm, {
      digits: 3,
      formula: 'twice scatter x sqrt(2 / n), readings of both places together',
    }),
    figure(`${key}DirectionRad`, '  high side, from the mark', 'angle', directionRad(shift), {
      formula: 'atan2(b, a) of the first harmonic',
    }),
  ];
}

function faceFigures(face: Round, { faceRadiusMm, axialLimitMm, limitSource }: WobbleReadings) {
  return [
    figure('faceRunoutMm', 'face of the teeth', 'length', 2 * sizeMm(face.shift), {
      digits: 3,
      limit: should('at most', axialLimitMm, limitSource),
      formula: 'twice the first harmonic',
    }),
    figure('tiltRad', '  its tilt', 'angle', atan(sizeMm(face.shift) / faceRadiusMm), {
      digits: 3,
      formula: 'atan(e / r)',
    }),
  ];
}

function isOut(shift: Shift, limitMm: number): boolean {
  return sureness(shift) > SURE && 2 * sizeMm(shift) > OUT_OF_LIMIT * limitMm;
}

function partRemark({ part, shift }: PartShift, { radialLimitMm, teeth }: WobbleReadings): string {
  const words = PART_WORDS[part];
  const size = `${mm(2 * sizeMm(shift))} of runout`;
  const name = capital(words);
  if (!isOut(shift, radialLimitMm)) return `${name}: true, or too little to tell (${size}).`;
  const gap = gapAt(directionRad(shift), teeth);
  return `${name}: out by ${size}, high near gap ${gap}; ${percent(sureness(shift))} sure that it is more than errors of reading.`;
}

/** A screw or key pushes a loose wheel over by half the clearance, and no farther. */
function fitRemark(parts: readonly PartShift[], { clearanceMm }: WobbleReadings): string[] {
  const fit = parts.find((p) => p.part === 'fit' || p.part === 'fit or wheel');
  if (clearanceMm === null || !fit) return [];
  const most = Math.max(0, clearanceMm) / 2;
  const beyond = sizeMm(fit.shift) - 2 * fit.shift.sdMm - most;
  const what = `A clearance of ${mm(clearanceMm)} lets the wheel lie ${mm(most)} off the shaft`;
  if (fit.part === 'fit')
    return [
      beyond > 0 ? `${what}, less than it is off: bore and hub are not in line.` : `${what}.`,
    ];
  return [
    beyond > 0
      ? `${what}, less than the roots are off: the rest is the wheel's own.`
      : `${what}, which is enough for all of it: read the hub to tell.`,
  ];
}

function faceRemark(face: Round, roots: Round | null, input: WobbleReadings): string {
  const { axialLimitMm, radialLimitMm } = input;
  if (face.oval && isOut(face.oval, axialLimitMm) && sizeMm(face.oval) > sizeMm(face.shift)) {
    return 'The face is wavy, twice round: the plate is buckled.';
  }
  if (!isOut(face.shift, axialLimitMm)) return 'The face runs true, or too little off to tell.';
  const gaps = roots && isOut(roots.shift, radialLimitMm);
  return gaps
    ? 'The face moves and so do the gaps: a bent shaft does both; read the shaft on both sides of the wheel.'
    : 'The face moves and the gaps do not: the plate is bent or the bore is crooked, and a new wheel cures it.';
}

/** What is left of the runout when a part is replaced. */
function cureRemarks(parts: readonly PartShift[], input: WobbleReadings): string[] {
  const all = sum(parts);
  const now = 2 * sizeMm(all);
  if (parts.length === 0 || !parts.some((p) => /wheel/.test(p.part))) return [];
  const shaft = parts.find((p) => p.part === 'shaft');
  if (!isOut(all, input.radialLimitMm)) {
    return ['The roots run true: a new wheel cures no wobble; look at the chain.'];
  }
  if (!shaft) {
    return ['Read the shaft beside the wheel: what it runs out, a new wheel does not cure.'];
  }
  const left = 2 * sizeMm(shaft.shift);
  const cures = left <= input.radialLimitMm;
  return [
    `A new wheel bored to fit the shaft takes the runout from ${mm(now)} to about ${mm(left)}, what the shaft has: ` +
      (cures
        ? `inside the ${mm(input.radialLimitMm)} of a good wheel.`
        : 'still too much. Straighten or replace the shaft or its bearings first.'),
  ];
}

function sum(parts: readonly PartShift[]): Shift {
  return parts.reduce<Shift>(
    (s, { shift }) => ({
      a: s.a + shift.a,
      b: s.b + shift.b,
      sdMm: Math.max(s.sdMm, shift.sdMm),
    }),
    { a: 0, b: 0, sdMm: 0 },
  );
}

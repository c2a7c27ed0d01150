/**
 * The blank and how true the teeth will run.
 *
 * Eccentricity budget from the shaft to the teeth: each part is an offset of one centre from the
 * next, in mm; the parts point anywhere, so they add as sqrt(sum of squares) when nothing goes
 * wrong twice, and in a straight line at worst. An indicator reads twice the offset.
 */
import { ELEMENTARY, type FigureRow, type FigureSection } from '../../model/figure.js';
import { figuresOf, must, row, should } from '../../model/figure.js';
import { radialRunoutLimitMm } from '../standard/limits.js';
import { swingFigures } from './slack.js';

export interface EccentricPart {
  readonly id: 'shaft-fit' | 'centring' | 'machine' | 'hub-clamping';
  readonly label: string;
  readonly offsetMm: number;
  readonly why: string;
}

export interface ConcentricityBudget {
  readonly parts: readonly EccentricPart[];
  /** Root of the sum of squares, and straight sum. mm, offsets */
  readonly likelyMm: number;
  readonly worstMm: number;
  /** What an indicator would read, twice that. */
  readonly likelyRunoutMm: number;
  readonly worstRunoutMm: number;
}

function concentricityBudget(parts: readonly EccentricPart[]): ConcentricityBudget {
  const likelyMm = Math.hypot(...parts.map((p) => p.offsetMm));
  const worstMm = parts.reduce((sum, p) => sum + Math.abs(p.offsetMm), 0);
  return { parts, likelyMm, worstMm, likelyRunoutMm: 2 * likelyMm, worstRunoutMm: 2 * worstMm };
}

export interface BudgetInput {
  readonly boreDiameterMm: number;
  /** Width of the bore's tolerance field, mm. */
  readonly boreToleranceMm: number;
  readonly madeBy: 'lathe' | 'router';
  /** How far the bore may be from the router's zero when the blank is set up. mm */
  readonly centringErrorMm: number;
  /** Backlash of the machine and form error of the finished flanks, mm. */
  readonly backlashMm: number;
  readonly formErrorMm: number;
}

/** Bore and teeth are cut in one clamping or in two; what is between shaft and bore comes on top. */
export function usualBudget(input: BudgetInput): ConcentricityBudget {
  const oneClamping = input.madeBy === 'router';
  return concentricityBudget([
    {
      id: 'shaft-fit',
      label: 'shaft in the bore',
      // Set screw or key push the bore over by half the clearance.
      offsetMm: input.boreToleranceMm / 2,
      why: 'half the clearance of an H8 bore on a shaft of nominal size',
    },
    {
      id: 'centring',
      label: 'bore against the zero of the router',
      offsetMm: oneClamping ? 0 : input.centringErrorMm,
      why: oneClamping
        ? 'bore and teeth are cut in one clamping'
        : 'blank.centring-error of the job; an indicator on the bore brings it down',
    },
    {
      id: 'machine',
      label: 'backlash and form error',
      offsetMm: (input.backlashMm + input.formErrorMm) / 2,
      why: 'half of backlash and form error, when all of it falls on one side',
    },
  ]);
}

/** Rounding of a size that is turned. mm */
const STEP_MM = 0.1;

/** Diameter to turn: tip plus twice centring error and skin, rounded up to a tenth. mm */
function blankDiameterMm(tipMm: number, centringErrorMm: number, skinMm: number): number {
  return Math.ceil((tipMm + 2 * (centringErrorMm + skinMm)) / STEP_MM - 1e-9) * STEP_MM;
}

export interface BlankInput {
  readonly tipDiameterMm: number;
  readonly rootDiameterMm: number;
  readonly centringErrorMm: number;
  /** Taken off all round besides, on the radius. mm */
  readonly skinMm: number;
  /** Diameter the job gives; null takes the one worked out here. */
  readonly diameterMm: number | null;
  readonly budget: BudgetInput;
  /** Span of the slack strand, mm; null where the job has no drive. */
  readonly spanMm: number | null;
}

interface Running {
  readonly budget: ConcentricityBudget;
  readonly limitMm: number;
}

const DIAMETER: readonly FigureRow<BlankInput>[] = [
  row('blankDiameterMm', 'blank diameter', 'length', {
    value: ({ diameterMm, tipDiameterMm, centringErrorMm, skinMm }) =>
      diameterMm ?? blankDiameterMm(tipDiameterMm, centringErrorMm, skinMm),
    limit: ({ tipDiameterMm, centringErrorMm }) =>
      must(
        'at least',
        tipDiameterMm + 2 * centringErrorMm,
        'the tip circle must lie inside the blank wherever it sits',
      ),
    formula: 'tip + 2 (centring error + skin), up to 0.1 mm',
    source: ELEMENTARY,
  }),
];

const PART: readonly FigureRow<EccentricPart>[] = [
  row(
    ({ id }) => `${id.replace(/-(.)/g, (_, c: string) => c.toUpperCase())}Mm`,
    ({ label }) => `off centre: ${label}`,
    'length',
    {
      value: ({ offsetMm }) => offsetMm,
      digits: 3,
      formula: ({ why }) => why,
      source: 'judgement, no source',
    },
  ),
];

const RUNOUT: readonly FigureRow<Running>[] = [
  row('likelyRunoutMm', 'runout of the teeth, likely', 'length', {
    value: ({ budget }) => budget.likelyRunoutMm,
    digits: 3,
    limit: runoutLimit,
    formula: '2 sqrt(sum of squares)',
    source: 'independent errors add in quadrature, any text on measurement',
  }),
  row('worstRunoutMm', 'runout of the teeth, worst', 'length', {
    value: ({ budget }) => budget.worstRunoutMm,
    digits: 3,
    limit: runoutLimit,
    formula: '2 x sum',
    source: ELEMENTARY,
  }),
];

function runoutLimit({ limitMm }: Running) {
  return should('at most', limitMm, 'ISO 606:2015 5.7, from memory: 0.0008 df + 0.08 mm');
}

export function blankSection(input: BlankInput): FigureSection {
  const budget = usualBudget(input.budget);
  const running = { budget, limitMm: radialRunoutLimitMm(input.rootDiameterMm) };
  const figures = [
    ...figuresOf(DIAMETER, input),
    ...budget.parts.flatMap((part) => figuresOf(PART, part)),
    ...figuresOf(RUNOUT, running),
    ...(input.spanMm === null ? [] : swingFigures(budget.worstRunoutMm, input.spanMm)),
  ];
  const remarks = runoutRemarks(running);
  return { id: 'blank', title: 'Blank and running true', figures, remarks };
}

/** Centring that would bring the likely runout inside the standard's limit. */
function runoutRemarks({ budget, limitMm }: Running): string[] {
  if (budget.likelyRunoutMm <= limitMm) return [];
  const others = budget.parts.filter((p) => p.id !== 'centring').map((p) => p.offsetMm);
  const allowedMm = Math.sqrt(Math.max(0, (limitMm / 2) ** 2 - Math.hypot(...others) ** 2));
  return [
    allowedMm > 0.005
      ? `Set the bore to the zero of the router within ${allowedMm.toFixed(2)} mm with an indicator, and the teeth run inside the standard's ${limitMm.toFixed(2)} mm; the blank may still be larger by the centring error planned for.`
      : `Even well centred, the teeth will hardly run inside the standard's ${limitMm.toFixed(2)} mm: ream the bore, take up backlash, or cut bore and teeth in one clamping.`,
  ];
}

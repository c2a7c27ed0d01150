/** The blank and how true the teeth will run, as figures. */
import { type BudgetInput, usualBudget } from './concentricity.js';
import { ELEMENTARY, type Figure, type FigureSection, figure } from '../../model/figure.js';
import { slackSwing } from './slack.js';
import { radialRunoutLimitMm } from '../standard/limits.js';

/** Rounding of a size that is turned. mm */
const STEP_MM = 0.1;

/** Diameter to turn: tip plus twice centring error and skin, rounded up to a tenth. mm */
export function blankDiameterMm(tipMm: number, centringErrorMm: number, skinMm: number): number {
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

export function blankSection(input: BlankInput): FigureSection {
  const { tipDiameterMm, centringErrorMm, skinMm, rootDiameterMm } = input;
  const budget = usualBudget(input.budget);
  const limitMm = radialRunoutLimitMm(rootDiameterMm);
  const wanted = blankDiameterMm(tipDiameterMm, centringErrorMm, skinMm);
  const least = tipDiameterMm + 2 * centringErrorMm;
  const limit = {
    rule: 'at most' as const,
    value: limitMm,
    weight: 'should' as const,
    source: 'ISO 606:2015 5.7, from memory: 0.0008 df + 0.08 mm',
  };
  const figures: Figure[] = [
    figure({
      key: 'blankDiameterMm',
      label: 'blank diameter',
      kind: 'length',
      value: input.diameterMm ?? wanted,
      limit: {
        rule: 'at least',
        value: least,
        weight: 'must',
        source: 'the tip circle must lie inside the blank wherever it sits',
      },
      formula: 'tip + 2 (centring error + skin), up to 0.1 mm',
      source: ELEMENTARY,
    }),
    ...budget.parts.map((part) =>
      figure({
        key: `${part.id.replace(/-(.)/g, (_, c: string) => c.toUpperCase())}Mm`,
        label: `off centre: ${part.label}`,
        kind: 'length',
        value: part.offsetMm,
        digits: 3,
        formula: part.why,
        source: 'judgement, no source',
      }),
    ),
    figure({
      key: 'likelyRunoutMm',
      label: 'runout of the teeth, likely',
      kind: 'length',
      value: budget.likelyRunoutMm,
      digits: 3,
      limit,
      formula: '2 sqrt(sum of squares)',
      source: 'independent errors add in quadrature, any text on measurement',
    }),
    figure({
      key: 'worstRunoutMm',
      label: 'runout of the teeth, worst',
      kind: 'length',
      value: budget.worstRunoutMm,
      digits: 3,
      limit,
      formula: '2 x sum',
      source: ELEMENTARY,
    }),
  ];
  const remarks: string[] = [];
  if (input.spanMm !== null) {
    figures.push(...swingFigures(budget.worstRunoutMm, input.spanMm));
  }
  const rest = Math.hypot(
    ...budget.parts.filter((p) => p.id !== 'centring').map((p) => p.offsetMm),
  );
  const allowed = Math.sqrt(Math.max(0, (limitMm / 2) ** 2 - rest ** 2));
  if (budget.likelyRunoutMm > limitMm) {
    remarks.push(
      allowed > 0.005
        ? `Set the bore to the zero of the router within ${allowed.toFixed(2)} mm with an indicator, and the teeth run inside the standard's ${limitMm.toFixed(2)} mm; the blank may still be larger by the centring error planned for.`
        : `Even well centred, the teeth will hardly run inside the standard's ${limitMm.toFixed(2)} mm: ream the bore, take up backlash, or cut bore and teeth in one clamping.`,
    );
  }
  return { id: 'blank', title: 'Blank and running true', figures, remarks };
}

/** What a runout does to the chain. */
export function swingFigures(runoutMm: number, spanMm: number): Figure[] {
  const swing = slackSwing(runoutMm, spanMm);
  return [
    figure({
      key: 'slackSwingMm',
      label: 'slack changes over a turn by',
      kind: 'length',
      value: swing.swingMm,
      formula: '2 x runout: both strands follow the eccentric wheel',
      source: ELEMENTARY,
    }),
    figure({
      key: 'sagLeastMm',
      label: 'sag at the tight place',
      kind: 'length',
      value: swing.sagMm[0],
      digits: 1,
      formula: `sqrt(3 L s / 8) round a sag of 4 % of ${spanMm.toFixed(0)} mm`,
      source: 'flat parabola; 4 to 6 % sag: Bearing Service FAQ, slack and wear',
    }),
    figure({
      key: 'sagMostMm',
      label: 'sag at the slack place',
      kind: 'length',
      value: swing.sagMm[1],
      digits: 1,
      formula: `sqrt(3 L s / 8) round a sag of 4 % of ${spanMm.toFixed(0)} mm`,
      source: 'flat parabola; 4 to 6 % sag: Bearing Service FAQ, slack and wear',
    }),
  ];
}

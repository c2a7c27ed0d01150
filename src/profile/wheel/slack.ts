/**
 * How the slack of a chain changes over one turn of a wheel whose teeth run out.
 *
 * A wheel whose pitch circle is off the axis by c moves its centre round a circle of radius c, so
 * the distance between the two pitch circles swings by +- c. Both strands follow it by cos phi, with
 * phi their slope (sin phi = (R2 - R1) / a): the length that the chain has to span swings by
 * +- 2 c cos phi, that is by 4 c cos phi from its shortest to its longest, once a turn. An indicator on the
 * teeth reads 2 c in all.
 *
 * The slack hangs in the slack strand. A strand of span L with the length s to spare sags by
 * f = sqrt(3 L s / 8) (flat parabola).
 */
import { ELEMENTARY, type Figure, type FigureRow, figuresOf, row } from '../../model/figure.js';

/** Slack from least to most over a turn, mm; runout is the total reading of an indicator, mm. */
function slackSwingMm(runoutMm: number, slopeRad = 0): number {
  return 2 * runoutMm * Math.cos(slopeRad);
}

/** Sag in the middle of a strand. mm. Flat parabola, any text on cables. */
function sagMm(spanMm: number, slackMm: number): number {
  return Math.sqrt((3 * spanMm * Math.max(0, slackMm)) / 8);
}

/** Length to spare in a strand that sags by f. mm */
function slackForSagMm(spanMm: number, sag: number): number {
  return (8 * sag * sag) / (3 * spanMm);
}

/** Sag that a slack strand is set to, as a part of the span: 4 to 6 %. Bearing Service FAQ, slack and
 *  wear, bearingservice.com. */
const USUAL_SAG = 0.04;

export interface SlackSwing {
  readonly swingMm: number;
  /** Sag at the tightest and slackest place of a turn, mm, when set to USUAL_SAG in the middle. */
  readonly sagMm: readonly [number, number];
  /** Whether the chain goes tight at one place of the turn. */
  readonly goesTight: boolean;
}

/** What a runout does to a chain set to the usual sag on a span. */
export function slackSwing(runoutMm: number, spanMm: number, slopeRad = 0): SlackSwing {
  const swingMm = slackSwingMm(runoutMm, slopeRad);
  const middle = slackForSagMm(spanMm, USUAL_SAG * spanMm);
  return {
    swingMm,
    sagMm: [sagMm(spanMm, middle - swingMm / 2), sagMm(spanMm, middle + swingMm / 2)],
    goesTight: middle <= swingMm / 2,
  };
}

const SAG_SOURCE = 'flat parabola; 4 to 6 % sag: Bearing Service FAQ, slack and wear';

type Hanging = SlackSwing & { readonly spanMm: number };

const FIGURES: readonly FigureRow<Hanging>[] = [
  row('slackSwingMm', 'slack changes over a turn by', 'length', {
    value: ({ swingMm }) => swingMm,
    formula: '2 x runout: both strands follow the eccentric wheel',
    source: ELEMENTARY,
  }),
  row('sagLeastMm', 'sag at the tight place', 'length', {
    value: ({ sagMm: [least] }) => least,
    digits: 1,
    formula: sagFormula,
    source: SAG_SOURCE,
  }),
  row('sagMostMm', 'sag at the slack place', 'length', {
    value: ({ sagMm: [, most] }) => most,
    digits: 1,
    formula: sagFormula,
    source: SAG_SOURCE,
  }),
];

function sagFormula({ spanMm }: Hanging): string {
  return `sqrt(3 L s / 8) round a sag of 4 % of ${spanMm.toFixed(0)} mm`;
}

/** What a runout does to the chain. */
export function swingFigures(runoutMm: number, spanMm: number): Figure[] {
  return figuresOf(FIGURES, { ...slackSwing(runoutMm, spanMm), spanMm });
}

/**
 * The blank, how true the teeth will run, and what that does to the slack of the chain.
 *
 * Eccentricity budget from the shaft to the teeth: each part is an offset of one centre from the
 * next, in mm; the parts point anywhere, so they add as sqrt(sum of squares) when nothing goes
 * wrong twice, and in a straight line at worst. An indicator reads twice the offset.
 */
import { hypot } from '../../maths/elementary.js';
import {
  type Figure,
  type FigureSection,
  figure,
  known,
  must,
  should,
} from '../../model/figure.js';
import type { Job } from '../../model/job.js';
import { radialRunoutLimitMm } from '../standard/limits.js';
import type { Wheel } from './sprocket.js';

export interface BlankInput extends Pick<Wheel, 'tipDiameterMm' | 'rootDiameterMm'> {
  /** How far the bore may be from the router's zero when the blank is set up. mm */
  readonly centringErrorMm: number;
  /** Taken off all round besides, on the radius. mm */
  readonly skinMm: number;
  /** Diameter the job gives; null takes the one worked out here. */
  readonly diameterMm: number | null;
  /** Width of the bore's tolerance field, mm. */
  readonly boreToleranceMm: number;
  readonly madeBy: Job['bore']['madeBy'];
  /** Backlash of the machine and form error of the finished flanks, mm. */
  readonly backlashMm: number;
  readonly formErrorMm: number;
  /** Span of the slack strand, mm; null where the job has no drive. */
  readonly spanMm: number | null;
}

/** Rounding of a size that is turned. mm */
const STEP_MM = 0.1;
const INSIDE = 'the tip circle must lie inside the blank wherever it sits';
const RUNOUT_SOURCE = 'ISO 606:2015 5.7, from memory: 0.0008 df + 0.08 mm';

export function blankSection(input: BlankInput): FigureSection {
  const { tipDiameterMm, centringErrorMm, skinMm, spanMm } = input;
  const turnedMm = tipDiameterMm + 2 * (centringErrorMm + skinMm);
  const diameterMm = input.diameterMm ?? Math.ceil(turnedMm / STEP_MM - 1e-9) * STEP_MM;
  const parts = eccentricParts(input);
  const offsets = parts.map((part) => part.offsetMm);
  const likelyMm = 2 * hypot(...offsets);
  const worstMm = 2 * offsets.reduce((sum, offset) => sum + offset, 0);
  const limitMm = radialRunoutLimitMm(input.rootDiameterMm);
  const limit = should('at most', limitMm, RUNOUT_SOURCE);
  const figures = known([
    figure('blankDiameterMm', 'blank diameter', 'length', diameterMm, {
      limit: must('at least', tipDiameterMm + 2 * centringErrorMm, INSIDE),
      formula: 'tip + 2 (centring error + skin), up to 0.1 mm',
    }),
    ...parts.map(({ key, label, offsetMm, why }) =>
      figure(key, `off centre: ${label}`, 'length', offsetMm, {
        digits: 3,
        formula: why,
        source: 'judgement, no source',
      }),
    ),
    figure('likelyRunoutMm', 'runout of the teeth, likely', 'length', likelyMm, {
      digits: 3,
      limit,
      formula: '2 sqrt(sum of squares)',
      source: 'independent errors add in quadrature, any text on measurement',
    }),
    figure('worstRunoutMm', 'runout of the teeth, worst', 'length', worstMm, {
      digits: 3,
      limit,
      formula: '2 x sum',
    }),
    ...(spanMm === null ? [] : swingFigures(worstMm, spanMm)),
  ]);
  const remarks = likelyMm <= limitMm ? [] : [runoutRemark(input, limitMm)];
  return { id: 'blank', title: 'Blank and running true', figures, remarks };
}

/**
 * What the machine puts the teeth off the zero by. mm: half of its backlash, and a quarter of the
 * form error, which is how much more it may be on one side than on the other; finishing is aimed for
 * the rest. Judgement, no source.
 */
export function machineOffsetMm(by: { backlashMm: number; formErrorMm: number }): number {
  return hypot(by.backlashMm / 2, by.formErrorMm / 4);
}

/** Share of what the limit leaves that the setting is asked to keep. Judgement. */
const SETTING_SHARE = 0.8;
/** To what a bore can be set with an indicator, and steps in which that is asked for. mm */
const SETTING_STEP_MM = 0.01;

/**
 * How near to the zero of the router the bore has to be set, so that the teeth run inside a limit:
 * what the limit leaves beside the machine's own error, and never more than is planned for. mm
 */
export function settingMm(
  by: { centringErrorMm: number; backlashMm: number; formErrorMm: number },
  runoutLimitMm: number,
): number {
  const left = Math.sqrt(Math.max(0, (runoutLimitMm / 2) ** 2 - machineOffsetMm(by) ** 2));
  const asked = Math.floor((SETTING_SHARE * left) / SETTING_STEP_MM) * SETTING_STEP_MM;
  return Math.min(by.centringErrorMm, Math.max(SETTING_STEP_MM, asked));
}

/** Bore and teeth are cut in one clamping or in two; what is between shaft and bore comes on top. */
function eccentricParts(input: BlankInput) {
  const oneClamping = input.madeBy === 'router';
  return [
    {
      key: 'shaftFitMm',
      label: 'shaft in the bore',
      // Set screw or key push the bore over by half the clearance.
      offsetMm: input.boreToleranceMm / 2,
      why: 'half the clearance of an H8 bore on a shaft of nominal size',
    },
    {
      key: 'centringMm',
      label: 'bore against the zero of the router',
      offsetMm: oneClamping ? 0 : input.centringErrorMm,
      why: oneClamping
        ? 'bore and teeth are cut in one clamping'
        : 'blank.centring-error of the job; an indicator on the bore brings it down',
    },
    {
      key: 'machineMm',
      label: 'backlash and form error',
      offsetMm: machineOffsetMm(input),
      why: 'half of the backlash and a quarter of the form error, one across the other',
    },
  ];
}

/** Centring that brings the runout inside the standard's limit. */
function runoutRemark(input: BlankInput, limitMm: number): string {
  return machineOffsetMm(input) < limitMm / 2
    ? `Set the bore to the zero of the router within ${settingMm(input, limitMm).toFixed(2)} mm with an indicator, and the teeth run inside the standard's ${limitMm.toFixed(2)} mm; the blank may still be larger by the centring error planned for.`
    : `Even well centred, the teeth will hardly run inside the standard's ${limitMm.toFixed(2)} mm: ream the bore, take up backlash, or cut bore and teeth in one clamping.`;
}

/** Sag that a slack strand is set to, as a part of the span: 4 to 6 %. Bearing Service FAQ, slack and
 *  wear, bearingservice.com. */
const USUAL_SAG = 0.04;
const SAG_SOURCE = 'flat parabola; 4 to 6 % sag: Bearing Service FAQ, slack and wear';

/**
 * How the slack of a chain changes over one turn of a wheel whose teeth run out.
 *
 * A wheel whose pitch circle is off the axis by c moves its centre round a circle of radius c, and
 * both strands follow it: the length that the chain has to span swings by +- 2 c, that is by 4 c from
 * its shortest to its longest, once a turn (less by the cosine of the strands' slope, which is left
 * out). An indicator on the teeth reads 2 c in all.
 *
 * The slack hangs in the slack strand. A strand of span L with the length s to spare sags by
 * f = sqrt(3 L s / 8) (flat parabola, any text on cables).
 * @param runoutMm  total reading of an indicator
 */
export function swingFigures(runoutMm: number, spanMm: number): Figure[] {
  const swingMm = 2 * runoutMm;
  const sagMm = USUAL_SAG * spanMm;
  const middleMm = (8 * sagMm * sagMm) / (3 * spanMm);
  const sagAt = (slackMm: number): number => Math.sqrt((3 * spanMm * Math.max(0, slackMm)) / 8);
  const sag = {
    digits: 1,
    formula: `sqrt(3 L s / 8) round a sag of 4 % of ${spanMm.toFixed(0)} mm`,
    source: SAG_SOURCE,
  };
  return known([
    figure('slackSwingMm', 'slack changes over a turn by', 'length', swingMm, {
      formula: '2 x runout: both strands follow the eccentric wheel',
    }),
    figure('sagLeastMm', 'sag at the tight place', 'length', sagAt(middleMm - swingMm / 2), sag),
    figure('sagMostMm', 'sag at the slack place', 'length', sagAt(middleMm + swingMm / 2), sag),
  ]);
}

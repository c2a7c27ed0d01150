/** What a drive should keep to: wear, teeth, wrap, centre distance. */
import { ELEMENTARY, type FigureRow, type FigureSection } from '../../model/figure.js';
import { figuresOf, must, row, should } from '../../model/figure.js';
import { TURN_RAD, radFromDeg } from '../../maths/angle.js';
import { LAST_ELONGATION, PLANNING_ELONGATION, WEAR_SOURCE } from '../chain/wear.js';
import { pitchDiameterMm } from '../standard/limits.js';
import { CATALOGUES, type DriveInput } from './input.js';
import { smallWrapRad, wearLimit } from './length.js';

const FIGURES: readonly FigureRow<DriveInput>[] = [
  row('elongation', 'elongation of the chain', 'share', {
    value: (d) => d.chain.elongation,
    digits: 2,
    limit: (d) => should('at most', wearLimit(d), WEAR_SOURCE),
    formula: 'as given; limit 3 %, 200 / z2 % over 66 teeth, 1.5 % on fixed centres',
    source: WEAR_SOURCE,
  }),
  row('teeth', 'teeth of the small wheel', 'count', {
    value: smaller,
    digits: 0,
    limit: should('at least', 9, 'ISO 606:2015 5.10, from memory'),
    formula: 'as given; 9 least of the standard, 12 slow, 17 medium, 25 high speed',
    source: 'ISO 606:2015 5.10, from memory; Diamond Chain FAQ, smallest sprocket',
  }),
  row('otherTeeth', 'teeth of the large wheel', 'count', {
    value: larger,
    digits: 0,
    limit: should('at most', 120, 'Tsubaki RS roller chain selection text'),
    formula: 'as given',
    source: 'Tsubaki RS roller chain selection text',
  }),
  row('centrePitches', 'centre distance, pitches', 'count', {
    value: centrePitches,
    digits: 1,
    limit: (d) =>
      must(
        'at least',
        apartMm(d) / d.chain.pitchMm,
        'elementary geometry: the pitch circles must not overlap',
      ),
    formula: 'a / p; 30 to 50 is usual',
    source: 'Mechanical Design Handbook blog, chain geometry',
  }),
  row('smallWrapRad', 'wrap on the small wheel', 'angle', {
    value: wrapRad,
    digits: 0,
    limit: should('at least', radFromDeg(120), CATALOGUES),
    formula: '180 deg - 2 asin((D2 - D1) / (2 a))',
    source: CATALOGUES,
  }),
  row('teethInMesh', 'teeth in mesh there', 'count', {
    value: (d) => {
      const wrap = wrapRad(d);
      return wrap === null ? null : (smaller(d) * wrap) / TURN_RAD;
    },
    digits: 1,
    formula: 'z wrap / 360 deg',
    source: ELEMENTARY,
  }),
];

function smaller({ teeth, otherTeeth }: DriveInput): number {
  return Math.min(teeth, otherTeeth);
}

function larger({ teeth, otherTeeth }: DriveInput): number {
  return Math.max(teeth, otherTeeth);
}

function centrePitches({ centreDistanceMm, chain }: DriveInput): number {
  return centreDistanceMm / chain.pitchMm;
}

function wrapRad(input: DriveInput): number | null {
  return smallWrapRad(input.teeth, input.otherTeeth, centrePitches(input));
}

export function driveLimits(input: DriveInput): FigureSection {
  const figures = figuresOf(FIGURES, input);
  return { id: 'limits', title: 'Limits', figures, remarks: limitRemarks(input) };
}

function limitRemarks(input: DriveInput): string[] {
  const wear = wearLimit(input);
  const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;
  const plan = Math.min(wear, PLANNING_ELONGATION);
  return [
    `Plan to change the chain at ${percent(plan)} elongation` +
      (wear > plan ? `, never run it past ${percent(wear)}` : '') +
      (wear < LAST_ELONGATION && !input.fixedCentres
        ? ` (${larger(input)} teeth allow no more).`
        : '.'),
    ...(smaller(input) < 17
      ? [
          'Makers ask for 12 teeth at slow, 17 at medium and 25 at high speed; fewer run rougher and wear faster.',
        ]
      : []),
    ...(input.centreDistanceMm <= apartMm(input)
      ? ['The wheels overlap at this centre distance.']
      : []),
  ];
}

/** Distance of the centres at which the pitch circles touch. mm */
function apartMm({ chain, teeth, otherTeeth }: DriveInput): number {
  return (pitchDiameterMm(chain.pitchMm, teeth) + pitchDiameterMm(chain.pitchMm, otherTeeth)) / 2;
}

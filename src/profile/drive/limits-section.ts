/** What a drive should keep to: wear, teeth, wrap, centre distance. */
import {
  LAST_ELONGATION,
  PLANNING_ELONGATION,
  WEAR_SOURCE,
  elongationLimit,
} from '../chain/wear.js';
import type { DriveInput } from './drive.js';
import { smallWrapRad } from './length.js';
import { ELEMENTARY, type Figure, type FigureSection, figure } from '../../model/figure.js';
import { pitchDiameterMm } from '../standard/limits.js';

const CATALOGUES = 'Mott, Machine Elements in Mechanical Design, chain drives';

export function driveLimits(input: DriveInput): FigureSection {
  const { teeth, otherTeeth, centreDistanceMm, chain, fixedCentres } = input;
  const larger = Math.max(teeth, otherTeeth);
  const wear = fixedCentres ? PLANNING_ELONGATION : elongationLimit(larger);
  const centre = centreDistanceMm / chain.pitchMm;
  const wrap = smallWrapRad(teeth, otherTeeth, centre);
  const rad = Math.PI / 180;
  const figures: Figure[] = [
    figure({
      key: 'elongation',
      label: 'elongation of the chain',
      kind: 'share',
      value: chain.elongation,
      digits: 2,
      limit: { rule: 'at most', value: wear, weight: 'should', source: WEAR_SOURCE },
      formula: 'as given; limit 3 %, 200 / z2 % over 66 teeth, 1.5 % on fixed centres',
      source: WEAR_SOURCE,
    }),
    figure({
      key: 'teeth',
      label: 'teeth of the small wheel',
      kind: 'count',
      value: Math.min(teeth, otherTeeth),
      digits: 0,
      limit: {
        rule: 'at least',
        value: 9,
        weight: 'should',
        source: 'ISO 606:2015 5.10, from memory',
      },
      formula: 'as given; 9 least of the standard, 12 slow, 17 medium, 25 high speed',
      source: 'ISO 606:2015 5.10, from memory; Diamond Chain FAQ, smallest sprocket',
    }),
    figure({
      key: 'otherTeeth',
      label: 'teeth of the large wheel',
      kind: 'count',
      value: larger,
      digits: 0,
      limit: {
        rule: 'at most',
        value: 120,
        weight: 'should',
        source: 'Tsubaki RS roller chain selection text',
      },
      formula: 'as given',
      source: 'Tsubaki RS roller chain selection text',
    }),
    figure({
      key: 'centrePitches',
      label: 'centre distance, pitches',
      kind: 'count',
      value: centre,
      digits: 1,
      limit: {
        rule: 'at least',
        value: apartMm(input) / chain.pitchMm,
        weight: 'must',
        source: 'elementary geometry: the pitch circles must not overlap',
      },
      formula: 'a / p; 30 to 50 is usual',
      source: 'Mechanical Design Handbook blog, chain geometry',
    }),
  ];
  if (wrap !== null) {
    const small = Math.min(teeth, otherTeeth);
    figures.push(
      figure({
        key: 'smallWrapRad',
        label: 'wrap on the small wheel',
        kind: 'angle',
        value: wrap,
        digits: 0,
        limit: { rule: 'at least', value: 120 * rad, weight: 'should', source: CATALOGUES },
        formula: '180 deg - 2 asin((D2 - D1) / (2 a))',
        source: CATALOGUES,
      }),
      figure({
        key: 'teethInMesh',
        label: 'teeth in mesh there',
        kind: 'count',
        value: (small * wrap) / (2 * Math.PI),
        digits: 1,
        formula: 'z wrap / 360 deg',
        source: ELEMENTARY,
      }),
    );
  }
  return { id: 'limits', title: 'Limits', figures, remarks: limitRemarks(input, wear, larger) };
}

function limitRemarks(input: DriveInput, wear: number, larger: number): string[] {
  const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;
  const small = Math.min(input.teeth, input.otherTeeth);
  const plan = Math.min(wear, PLANNING_ELONGATION);
  return [
    `Plan to change the chain at ${percent(plan)} elongation` +
      (wear > plan ? `, never run it past ${percent(wear)}` : '') +
      (wear < LAST_ELONGATION && !input.fixedCentres ? ` (${larger} teeth allow no more).` : '.'),
    ...(small < 17
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

/**
 * What a sprocket does to a drive, as figures with their limits and sources. A file a section;
 * speed.ts holds what all of them start from, and the last one, what a drive should keep to, is here.
 */
import { TURN_RAD, radFromDeg } from '../../maths/angle.js';
import { type FigureSection, figure, known, must, should } from '../../model/figure.js';
import { LAST_ELONGATION, PLANNING_ELONGATION, WEAR_SOURCE } from '../chain/wear.js';
import { pitchDiameterMm } from '../standard/limits.js';
import { driveLength, smallWrapRad, wearLimit } from './length.js';
import { driveLoad } from './load.js';
import { driveRating } from './rating.js';
import { CATALOGUES, type DriveInput, driveSpeed } from './speed.js';
import { inPercent } from '../../text/show.js';

/** Sections of the drive: speeds, chain length, loads, ratings, limits. */
export function driveSections(input: DriveInput): readonly FigureSection[] {
  return [driveSpeed, driveLength, driveLoad, driveRating, driveLimits].map((part) => part(input));
}

const TEETH = 'ISO 606:2015 5.10, from memory';
const TSUBAKI = 'Tsubaki RS roller chain selection text';
const NO_OVERLAP = 'elementary geometry: the pitch circles must not overlap';

function driveLimits(input: DriveInput): FigureSection {
  const { teeth, otherTeeth, centreDistanceMm, fixedCentres } = input;
  const { pitchMm, elongation } = input.chain;
  const [small, large] = [Math.min(teeth, otherTeeth), Math.max(teeth, otherTeeth)];
  const centre = centreDistanceMm / pitchMm;
  const touchMm = (pitchDiameterMm(pitchMm, teeth) + pitchDiameterMm(pitchMm, otherTeeth)) / 2;
  const wear = wearLimit(input);
  const wrap = smallWrapRad(teeth, otherTeeth, centre);
  const inMesh = wrap === null ? null : (small * wrap) / TURN_RAD;
  const figures = known([
    figure('elongation', 'elongation of the chain', 'share', elongation, {
      digits: 2,
      limit: should('at most', wear, WEAR_SOURCE),
      formula: 'as given; limit 3 %, 200 / z2 % over 66 teeth, 1.5 % on fixed centres',
      source: WEAR_SOURCE,
    }),
    figure('teeth', 'teeth of the small wheel', 'count', small, {
      digits: Number.isInteger(small) ? 0 : 1,
      limit: should('at least', input.chain.doublePitch ? 5 : 9, TEETH),
      formula: 'as given; 9 least of the standard, 12 slow, 17 medium, 25 high speed',
      source: `${TEETH}; Diamond Chain FAQ, smallest sprocket`,
    }),
    figure('otherTeeth', 'teeth of the large wheel', 'count', large, {
      limit: should('at most', 120, TSUBAKI),
      formula: 'as given',
      source: TSUBAKI,
    }),
    figure('centrePitches', 'centre distance, pitches', 'count', centre, {
      digits: 1,
      limit: must('at least', touchMm / pitchMm, NO_OVERLAP),
      formula: 'a / p; 30 to 50 is usual',
      source: 'Mechanical Design Handbook blog, chain geometry',
    }),
    figure('smallWrapRad', 'wrap on the small wheel', 'angle', wrap, {
      digits: 0,
      limit: should('at least', radFromDeg(120), CATALOGUES),
      formula: '180 deg - 2 asin((D2 - D1) / (2 a))',
      source: CATALOGUES,
    }),
    figure('teethInMesh', 'teeth in mesh there', 'count', inMesh, {
      digits: 1,
      formula: 'z wrap / 360 deg',
    }),
  ]);
  const remarks = [changeRemark(wear, wear < LAST_ELONGATION && !fixedCentres ? large : null)];
  if (small < 17) {
    remarks.push(
      'Makers ask for 12 teeth at slow, 17 at medium and 25 at high speed; fewer run rougher and wear faster.',
    );
  }
  if (centreDistanceMm <= touchMm) remarks.push('The wheels overlap at this centre distance.');
  return { id: 'limits', title: 'Limits', figures, remarks };
}

/** When to change the chain; `large` is the tooth count that allows no more wear, or null. */
function changeRemark(wear: number, large: number | null): string {
  const plan = Math.min(wear, PLANNING_ELONGATION);
  const last = wear > plan ? `, never run it past ${inPercent(wear)}` : '';
  const why = large === null ? '.' : ` (${large} teeth allow no more).`;
  return `Plan to change the chain at ${inPercent(plan)} elongation${last}${why}`;
}

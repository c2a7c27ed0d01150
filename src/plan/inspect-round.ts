/** Readings taken round a turn, of a finished wheel or of an old drive, by key. */
import type { FigureSection } from '../model/figure.js';
import type { Job } from '../model/job.js';
import { gapSection } from '../profile/inspect/gaps.js';
import type { Finding } from '../profile/inspect/inspect.js';
import {
  type Inspected,
  type InspectedPart,
  type LimitStandard,
  limitsFor,
} from '../profile/inspect/limits.js';
import { coreRadiusMm, salvageSection } from '../profile/inspect/salvage.js';
import { slackRoundSection } from '../profile/inspect/slack.js';
import { wobbleSection } from '../profile/inspect/wobble.js';
import { pitchesPerTurn } from '../profile/wheel/cut.js';
import { type Given, type GivenReading, countOf, readingOf, seriesOf } from '../text/reading.js';
import { mm } from '../text/show.js';

/** Readings by key. */
export type GivenValues = ReadonlyMap<string, Given>;

export const ROUND_READINGS = {
  'gap-readings':
    'list: indicator on the bottom of each gap, counter-clockwise from the mark, growing outwards; - for one not read',
  'neighbour-pins': 'list: over pins in gaps 1 and 2, 2 and 3, and so on round',
  'face-readings': 'list: indicator on the side of the teeth, evenly round from the mark',
  'face-radius': 'how far from the axis that was read [the root radius]',
  'shaft-readings': 'list: indicator on the shaft beside the wheel, evenly round from the mark',
  'hub-readings': 'list: the same on the hub',
  shaft: 'diameter of the shaft, to compare with the bore',
  'slack-readings': 'list: movement of the slack strand as the drive is turned on by hand',
  'slack-every': 'links passed from one of those to the next',
  links: 'links of the chain',
  gouge: 'depth of a gouge in a gap',
} as const;

/** Usual error of an indicator, a caliper and a depth gauge, mm. Judgement. */
const INDICATOR_SD_MM = 0.01;
const CALIPER_SD_MM = 0.02;

/** Runouts that readings round a turn stand for, where they are not given by themselves; of a part
 *  on its own bore, not of an old drive on its shaft. */
export function runoutsRound(
  given: GivenValues,
  teeth: number,
): Partial<Record<Inspected, GivenReading>> {
  if (isOldDrive(given)) return {};
  const total = (key: string, count: number | null): GivenReading | null => {
    const value = given.get(key);
    const read = value ? seriesOf(value, count).filter((r) => r !== null) : [];
    if (read.length < 2) return null;
    const valueMm = Math.max(...read) - Math.min(...read);
    return { valueMm, sdMm: Math.SQRT2 * INDICATOR_SD_MM, text: mm(valueMm) };
  };
  const [radialRunout, axialRunout] = [total('gap-readings', teeth), total('face-readings', null)];
  return { ...(radialRunout && { radialRunout }), ...(axialRunout && { axialRunout }) };
}

export function isOldDrive(given: GivenValues): boolean {
  return ['shaft-readings', 'hub-readings', 'slack-readings'].some((key) => given.has(key));
}

/** What those readings say, a section each. */
export function roundSections(
  job: Job,
  part: InspectedPart,
  standard: LimitStandard,
  given: GivenValues,
  findings: readonly Finding[],
): FigureSection[] {
  const gougeMm = lengthMm(given, 'gouge');
  return [
    isOldDrive(given) ? wobbleOf(part, standard, given) : gapsOf(part, standard, given, findings),
    slackOf(job, given),
    gougeMm === null
      ? null
      : salvageSection({ ...job.chain, ...job.sprocket }, gougeMm, coreRadiusMm(job)),
  ].filter((section) => section !== null);
}

function lengthMm(given: GivenValues, key: string): number | null {
  const value = given.get(key);
  return value ? readingOf(value, CALIPER_SD_MM).valueMm : null;
}

function series(given: GivenValues, key: string, count: number | null = null) {
  const value = given.get(key);
  return value ? seriesOf(value, count) : null;
}

function gapsOf(
  part: InspectedPart,
  standard: LimitStandard,
  given: GivenValues,
  findings: readonly Finding[],
): FigureSection | null {
  const readings = series(given, 'gap-readings', part.teeth);
  if (readings === null) return null;
  const size = findings.find((f) => f.what === 'overPins' || f.what === 'caliperRoot');
  return gapSection({
    readings,
    usualSdMm: INDICATOR_SD_MM,
    limit: limitsFor('radialRunout', part, standard),
    spareMm: size ? Math.max(0, size.measuredMm - size.limits.minMm) : null,
    overNeighboursMm: series(given, 'neighbour-pins', part.teeth),
    chordMm: part.pitchMm + part.pinDiameterMm,
  });
}

function wobbleOf(
  part: InspectedPart,
  standard: LimitStandard,
  given: GivenValues,
): FigureSection | null {
  const [shaft, hub, face] = ['shaft-readings', 'hub-readings', 'face-readings'].map((key) =>
    series(given, key),
  ) as [Series, Series, Series];
  const roots = series(given, 'gap-readings', part.teeth);
  if (![shaft, hub, roots, face].some((r) => r !== null)) return null;
  const [boreMm, shaftMm] = [lengthMm(given, 'bore'), lengthMm(given, 'shaft')];
  const radial = limitsFor('radialRunout', part, standard);
  return wobbleSection({
    shaft,
    hub,
    roots,
    face,
    faceRadiusMm: lengthMm(given, 'face-radius') ?? part.rootDiameterMm / 2,
    clearanceMm: boreMm !== null && shaftMm !== null ? boreMm - shaftMm : null,
    teeth: part.teeth,
    usualSdMm: INDICATOR_SD_MM,
    radialLimitMm: radial.maxMm,
    axialLimitMm: limitsFor('axialRunout', part, standard).maxMm,
    limitSource: radial.source,
  });
}
type Series = ReturnType<typeof series>;

function slackOf(job: Job, given: GivenValues): FigureSection | null {
  const value = given.get('slack-readings');
  if (!value) return null;
  const every = given.get('slack-every');
  if (!every) {
    return value.fail('has no spacing', 'give slack-every, the links passed between two of them');
  }
  const links = given.get('links');
  const section = slackRoundSection({
    readings: seriesOf(value, null),
    every: countOf(every, 1, 100),
    teeth: pitchesPerTurn(job.sprocket.teeth, job.chain),
    otherTeeth: job.drive && pitchesPerTurn(job.drive.otherTeeth, job.chain),
    links: links ? countOf(links, 10, 2000) : (job.drive?.links ?? null),
  });
  return section ?? value.fail('is too short', 'read over a turn of the wheel or more');
}

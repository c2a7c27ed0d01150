/** Readings of a finished part, or of an old drive, held against what the job asks for. */
import type { FigureSection } from '../model/figure.js';
import type { Job } from '../model/job.js';
import { type Inspection, USUAL_SD_MM, inspectPart } from '../profile/inspect/inspect.js';
import { INSPECTED, type Inspected, inspectedPart, standardOf } from '../profile/inspect/limits.js';
import { swingFigures } from '../profile/wheel/blank.js';
import { wheelOf } from '../profile/wheel/sprocket.js';
import { type Given, readingOf } from '../text/reading.js';
import {
  type GivenValues,
  ROUND_READINGS,
  isOldDrive,
  roundSections,
  runoutsRound,
} from './inspect-round.js';

/** Key under which each is given. */
const KEY_OF: Readonly<Record<Inspected, string>> = {
  overPins: 'over-pins',
  caliperRoot: 'caliper-root',
  radialRunout: 'radial-runout',
  axialRunout: 'axial-runout',
  toothWidth: 'tooth-width',
  bore: 'bore',
};
/** All that can be given, by key. */
export const INSPECT_READINGS = {
  'over-pins': 'over two pins in opposite gaps (the nearest to opposite, odd counts)',
  pin: 'diameter of those pins [the roller diameter]',
  'caliper-root': 'caliper across the bottoms of the same gaps',
  'radial-runout': 'total reading on the bottoms of the gaps, on the bore',
  'axial-runout': 'total reading on the side of the teeth, on the bore',
  'tooth-width': 'thickness of the teeth',
  bore: 'diameter of the bore',
  ...ROUND_READINGS,
} as const;
/** A measuring pin is known to about this. mm */
const PIN_SD_MM = 0.005;

/**
 * What the readings say of the part of a job.
 * @param given     at least one, by key
 * @param standard  whose limits; the tooth form's own where none is given
 */
export function inspectJob(job: Job, given: GivenValues, standard = standardOf(job)) {
  const single = Object.fromEntries(
    INSPECTED.flatMap((what) => {
      // A worn bore tells how a wheel sits on its shaft; it is not held against the new one's limits.
      if (what === 'bore' && isOldDrive(given)) return [];
      const value = given.get(KEY_OF[what]);
      const zero = what === 'radialRunout' || what === 'axialRunout';
      return value ? [[what, readingOf(value, USUAL_SD_MM[what], zero)]] : [];
    }),
  );
  const readings = { ...runoutsRound(given, job.sprocket.teeth), ...single };
  const part = inspectedPart(job, wheelOf(job), pinDiameterMm(job, given.get('pin')));
  const result = inspectPart(part, readings, standard);
  const slack = slackSection(result, job);
  const round = roundSections(job, part, standard, given, result.findings);
  return { part, result, sections: [...(slack ? [slack] : []), ...round] };
}

/** Pins of another size touch elsewhere than rollers do: the formula is for dR = d1, +0.01 / 0. */
const PIN_ROOM_MM = 0.1;

function pinDiameterMm(job: Job, pin: Given | undefined): number {
  const rollerMm = job.chain.rollerDiameterMm;
  if (!pin) return rollerMm;
  const { valueMm } = readingOf(pin, PIN_SD_MM);
  if (Math.abs(valueMm - rollerMm) <= PIN_ROOM_MM) return valueMm;
  return pin.fail(
    `is not the roller diameter, ${rollerMm} mm`,
    'take pins of the roller diameter, or measure with a caliper: --caliper-root',
  );
}

function slackSection({ findings }: Inspection, job: Job): FigureSection | null {
  const runout = findings.find((f) => f.what === 'radialRunout');
  if (!runout || !job.drive) return null;
  const figures = swingFigures(runout.measuredMm, job.drive.centreDistanceMm);
  return { id: 'slack', title: 'What the runout does to the chain', figures, remarks: [] };
}

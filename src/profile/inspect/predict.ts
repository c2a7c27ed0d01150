/** What a finished part is expected to measure, beside the limits that it is inspected by. */
import { hypot } from '../../maths/elementary.js';
import { machineOffsetMm, settingMm } from '../wheel/blank.js';
import { acrossShare } from '../standard/limits.js';
import { type Inspected, type InspectedPart, limitsFor } from './limits.js';
import type { LimitStandard, Limits } from './limits.js';

/** How a part is made, as far as its sizes hang on it. mm */
export interface Making {
  /** The outline that is cut lies so far inside the drawn one. */
  readonly insetMm: number;
  /** What finishing is predicted to leave on it. */
  readonly formErrorMm: number;
  readonly backlashMm: number;
  /** Bore to zero of the router, as planned for; 0 where one setting makes bore and teeth. */
  readonly centringErrorMm: number;
  /** Thickness that the blank has already; null where it is turned to size. */
  readonly thicknessMm: number | null;
  /** Whether the bore comes from the lathe, bored or reamed to size. */
  readonly turnedBore: boolean;
}

/** One size: what is expected of it, null where it is not reckoned, and its limits. */
export interface ExpectedSize {
  readonly expectedMm: number | null;
  readonly limits: Limits;
}

export type ExpectedSizes = Readonly<Record<Inspected, ExpectedSize>>;

/**
 * Over pins and across the roots as the aim says (see cam/aim), width and bore at the middle of
 * their limits, runout by the centring that the sheet asks for and what the machine adds.
 */
export function expectedSizes(
  part: InspectedPart,
  by: LimitStandard,
  making: Making,
): ExpectedSizes {
  const insideMm = 2 * acrossShare(part.teeth) * (making.insetMm - making.formErrorMm);
  const size = (what: Inspected, of: (limits: Limits) => number | null): ExpectedSize => {
    const limits = limitsFor(what, part, by);
    return { expectedMm: of(limits), limits };
  };
  const middle = ({ minMm, maxMm }: Limits): number => (minMm + maxMm) / 2;
  const runout = ({ maxMm }: Limits): number =>
    2 * hypot(settingMm(making, maxMm), machineOffsetMm(making));
  return {
    overPins: size('overPins', ({ nominalMm }) => nominalMm - insideMm),
    caliperRoot: size('caliperRoot', ({ nominalMm }) => nominalMm - insideMm),
    radialRunout: size('radialRunout', runout),
    axialRunout: size('axialRunout', () => null),
    toothWidth: size('toothWidth', (limits) => making.thicknessMm ?? middle(limits)),
    bore: size('bore', (limits) => (making.turnedBore ? middle(limits) : null)),
  };
}

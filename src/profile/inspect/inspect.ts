/**
 * A finished sprocket against its standard: inside or not, by how much, and whether a file can put it
 * right. A file only takes away, so what is too small stays too small.
 */
import {
  INSPECTED,
  type Inspected,
  type InspectedPart,
  type LimitStandard,
  type Limits,
  limitsFor,
} from './limits.js';
import { type Rescue, rescueOf } from './rescue.js';

/** One reading, with its standard deviation; null takes the usual one of the instrument. */
export interface PartReading {
  readonly valueMm: number;
  readonly sdMm: number | null;
}

export type PartReadings = Readonly<Partial<Record<Inspected, PartReading>>>;

/** Standard deviation of a reading, mm: micrometer over pins, caliper, indicator. Judgement. */
export const USUAL_SD_MM: Readonly<Record<Inspected, number>> = {
  overPins: 0.015,
  caliperRoot: 0.03,
  radialRunout: 0.01,
  axialRunout: 0.01,
  toothWidth: 0.02,
  bore: 0.01,
};

export type Verdict = 'inside' | 'doubtful' | 'outside';

export interface Finding {
  readonly what: Inspected;
  readonly measuredMm: number;
  readonly sdMm: number;
  readonly limits: Limits;
  readonly verdict: Verdict;
  /** Outside, but by less than the reading can tell. */
  readonly unsure: boolean;
  /** Beyond the nearer limit, mm: positive over the upper, negative under the lower; 0 inside. */
  readonly beyondMm: number;
  /** Room to the nearer limit where inside, mm. */
  readonly roomMm: number;
  readonly rescue: Rescue;
}

export interface Inspection {
  readonly standard: LimitStandard;
  readonly findings: readonly Finding[];
  /** good: nothing is outside; file: what is outside can be taken away; scrap: something cannot;
   *  measure: that hangs on a reading that is too coarse to tell. */
  readonly outcome: 'good' | 'file' | 'scrap' | 'measure';
}

/** Readings within this many standard deviations of a limit are doubtful. */
const DOUBT_SD = 2;

/** @throws RangeError for a reading that cannot be: not finite, negative, or 0 where it is a size */
export function inspectPart(
  part: InspectedPart,
  readings: PartReadings,
  standard: LimitStandard,
): Inspection {
  const drafts = INSPECTED.flatMap((what) => {
    const reading = readings[what];
    return reading ? [draft(what, reading, limitsFor(what, part, standard))] : [];
  });
  const findings = drafts.map((d) => ({ ...d, rescue: rescueOf(d, drafts, part) }));
  return { standard, findings, outcome: outcomeOf(findings) };
}

function outcomeOf(findings: readonly Finding[]): Inspection['outcome'] {
  const outside = findings.filter((f) => f.verdict === 'outside');
  if (outside.length === 0) return 'good';
  const lost = outside.filter((f) => f.rescue.by === 'nothing');
  if (lost.some((f) => !f.unsure)) return 'scrap';
  return lost.length > 0 || outside.every((f) => f.unsure) ? 'measure' : 'file';
}

export type DraftFinding = Omit<Finding, 'rescue'>;

function draft(what: Inspected, reading: PartReading, limits: Limits): DraftFinding {
  const { valueMm } = reading;
  const runout = what === 'radialRunout' || what === 'axialRunout';
  if (!(Number.isFinite(valueMm) && (runout ? valueMm >= 0 : valueMm > 0))) {
    throw new RangeError(`${what}: ${valueMm} mm is not a reading`);
  }
  const sdMm = reading.sdMm ?? USUAL_SD_MM[what];
  const over = valueMm - limits.maxMm;
  const under = limits.minMm - valueMm;
  const slack = 1e-9;
  const beyondMm = over > slack ? over : !runout && under > slack ? -under : 0;
  // A runout has no lower limit.
  const roomMm = beyondMm !== 0 ? 0 : runout ? -over : Math.min(-over, -under);
  const near = Math.abs(beyondMm !== 0 ? beyondMm : roomMm) < DOUBT_SD * sdMm;
  const verdict = beyondMm !== 0 ? 'outside' : near ? 'doubtful' : 'inside';
  const unsure = verdict === 'outside' && near;
  return { what, measuredMm: valueMm, sdMm, limits, verdict, unsure, beyondMm, roomMm };
}

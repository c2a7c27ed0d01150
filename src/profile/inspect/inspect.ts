/**
 * A finished sprocket against its standard: inside or not, by how much, and whether a file can put it
 * right. A file only takes away, so what is too small stays too small.
 *
 * Of the folder: limits of a finished part; gaps, round and salvage look closer at a bad one, wobble and
 * slack at the old drive; predict is what a plan's part will measure.
 */
import {
  INSPECTED,
  type Inspected,
  type InspectedPart,
  type LimitStandard,
  type Limits,
  limitsFor,
} from './limits.js';
import type { Reading } from '../chain/model.js';
import { acrossShare } from '../standard/limits.js';

interface Rescue {
  /** none: nothing to do; file, ream, face: take metal away; nothing: it cannot be put back. */
  readonly by: 'none' | 'file' | 'ream' | 'face' | 'nothing';
  readonly text: string;
}

/** Standard deviation of a reading, mm: micrometer over pins, caliper, indicator. Judgement. */
export const USUAL_SD_MM: Readonly<Record<Inspected, number>> = {
  overPins: 0.015,
  caliperRoot: 0.03,
  radialRunout: 0.01,
  axialRunout: 0.01,
  toothWidth: 0.02,
  bore: 0.01,
};

export interface Finding {
  readonly what: Inspected;
  readonly measuredMm: number;
  readonly sdMm: number;
  readonly limits: Limits;
  readonly verdict: 'inside' | 'doubtful' | 'outside';
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
  readings: Readonly<Partial<Record<Inspected, Reading>>>,
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

type DraftFinding = Omit<Finding, 'rescue'>;

function draft(what: Inspected, reading: Reading, limits: Limits): DraftFinding {
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

const nothing = (text: string): Rescue => ({ by: 'nothing', text });

/**
 * What can be done about a figure outside its limits by taking metal away.
 * @param finding  the figure
 * @param all      every figure of the part: filing one changes another
 */
function rescueOf(
  finding: DraftFinding,
  all: readonly DraftFinding[],
  part: InspectedPart,
): Rescue {
  if (finding.verdict !== 'outside') return { by: 'none', text: '' };
  const over = finding.beyondMm > 0;
  const by = Math.abs(finding.beyondMm);
  switch (finding.what) {
    case 'overPins':
    case 'caliperRoot': {
      if (!over) return nothing(TOO_DEEP);
      const deep = mm(by / acrossShare(part.teeth) / 2);
      const text = `file ${deep} out of every seat, with a round file of the roller's size, or cut the outline again ${deep} deeper`;
      return { by: 'file', text };
    }
    case 'radialRunout':
      return runoutRescue(by, all, part);
    case 'axialRunout':
      return axialRescue(by, all);
    case 'toothWidth':
      if (!over) return nothing(TOO_THIN);
      return { by: 'face', text: `face or file ${mm(by)} off the sides of the teeth` };
    case 'bore':
      if (over) return nothing(BORE_TOO_LARGE);
      return { by: 'ream', text: `ream or hone ${mm(by)} out of the bore` };
  }
}

const TOO_DEEP =
  'the seats are too deep, which no file can mend: the rollers hang on the flanks and the chain sits like a worn one; keep it only for a worn chain on a slow drive';
const TOO_THIN =
  'the teeth are too thin, which no file can mend; a chain with side play still runs if the wheels are in line';
const BORE_TOO_LARGE =
  'the bore is too large: bore it out round and braze in an insert, or bush it';

/**
 * The high gaps can be filed down until the reading is at its limit; that takes the excess off the
 * radius on one side, so off the diameter measured there.
 */
function runoutRescue(excessMm: number, all: readonly DraftFinding[], part: InspectedPart): Rescue {
  const size = all.find((f) => f.what === 'overPins') ?? all.find((f) => f.what === 'caliperRoot');
  const how = `file up to ${mm(excessMm)} out of the seats on the high side, less to both sides, and the same off the flanks that face it`;
  if (!size) {
    const text = `${how}, if the root diameter can spare it: measure over pins first`;
    return { by: 'file', text };
  }
  const spare = size.measuredMm - size.limits.minMm;
  const takes = excessMm * acrossShare(part.teeth);
  return spare >= takes
    ? { by: 'file', text: `${how}; the root diameter has ${mm(spare)} to spare` }
    : nothing(
        `filing the high side takes ${mm(takes)} off the root diameter, which has only ${mm(Math.max(0, spare))} to spare; only a bore put right (round bore and brazed insert) can save it`,
      );
}

function axialRescue(excessMm: number, all: readonly DraftFinding[]): Rescue {
  const width = all.find((f) => f.what === 'toothWidth');
  const how = `look for dirt or a bent plate first; then face ${mm(excessMm)} off the high places of both sides on an arbor`;
  if (!width) return { by: 'face', text: `${how}, if the tooth width can spare it` };
  // Facing both sides true takes the excess twice.
  const takes = 2 * excessMm;
  const spare = width.measuredMm - width.limits.minMm;
  return spare >= takes
    ? { by: 'face', text: `${how}; the teeth have ${mm(spare)} to spare` }
    : nothing(
        `facing both sides true takes ${mm(takes)} off the teeth, which have only ${mm(Math.max(0, spare))} to spare`,
      );
}

function mm(value: number): string {
  return `${value.toFixed(value < 0.095 ? 3 : 2)} mm`;
}

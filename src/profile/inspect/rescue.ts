/** What can be done about a figure that is outside its limits by taking metal away. */
import type { DraftFinding } from './inspect.js';
import type { InspectedPart } from './limits.js';

export interface Rescue {
  /** none: nothing to do; file, ream, face: take metal away; nothing: it cannot be put back. */
  readonly by: 'none' | 'file' | 'ream' | 'face' | 'nothing';
  readonly text: string;
}

const NONE: Rescue = { by: 'none', text: '' };

/**
 * @param finding  the figure
 * @param all      every figure of the part: filing one changes another
 */
export function rescueOf(
  finding: DraftFinding,
  all: readonly DraftFinding[],
  part: InspectedPart,
): Rescue {
  if (finding.verdict !== 'outside') return NONE;
  const over = finding.beyondMm > 0;
  const by = Math.abs(finding.beyondMm);
  switch (finding.what) {
    case 'overPins':
    case 'caliperRoot':
      return over
        ? {
            by: 'file',
            text: `file ${mm(by / across(part) / 2)} out of every seat, with a round file of the roller's size, or cut the outline again ${mm(by / across(part) / 2)} deeper`,
          }
        : {
            by: 'nothing',
            text: 'the seats are too deep, which no file can mend: the rollers hang on the flanks and the chain sits like a worn one; keep it only for a worn chain on a slow drive',
          };
    case 'radialRunout':
      return runoutRescue(by, all, part);
    case 'axialRunout':
      return axialRescue(by, all);
    case 'toothWidth':
      return over
        ? { by: 'face', text: `face or file ${mm(by)} off the sides of the teeth` }
        : {
            by: 'nothing',
            text: 'the teeth are too thin, which no file can mend; a chain with side play still runs if the wheels are in line',
          };
    case 'bore':
      return over
        ? {
            by: 'nothing',
            text: 'the bore is too large: bore it out round and braze in an insert, or bush it',
          }
        : { by: 'ream', text: `ream or hone ${mm(by)} out of the bore` };
  }
}

/** Size across opposite gaps per diameter: cos(90 deg / z) for an odd count. */
function across({ teeth }: InspectedPart): number {
  return teeth % 2 === 0 ? 1 : Math.cos(Math.PI / (2 * teeth));
}

/**
 * The high gaps can be filed down until the reading is at its limit; that takes the excess off the
 * radius on one side, so off the diameter measured there.
 */
function runoutRescue(excessMm: number, all: readonly DraftFinding[], part: InspectedPart): Rescue {
  const size = all.find((f) => f.what === 'overPins') ?? all.find((f) => f.what === 'caliperRoot');
  const how = `file up to ${mm(excessMm)} out of the seats on the high side, less to both sides, and the same off the flanks that face it`;
  if (!size) {
    return {
      by: 'file',
      text: `${how}, if the root diameter can spare it: measure over pins first`,
    };
  }
  const spare = size.measuredMm - size.limits.minMm;
  const takes = excessMm * across(part);
  return spare >= takes
    ? { by: 'file', text: `${how}; the root diameter has ${mm(spare)} to spare` }
    : {
        by: 'nothing',
        text: `filing the high side takes ${mm(takes)} off the root diameter, which has only ${mm(Math.max(0, spare))} to spare; only a bore put right (round bore and brazed insert) can save it`,
      };
}

function axialRescue(excessMm: number, all: readonly DraftFinding[]): Rescue {
  const width = all.find((f) => f.what === 'toothWidth');
  const how = `look for dirt or a bent plate first; then face ${mm(excessMm)} off the high places of both sides on an arbor`;
  if (!width) return { by: 'face', text: `${how}, if the tooth width can spare it` };
  // Facing both sides true takes the excess twice.
  const spare = width.measuredMm - width.limits.minMm;
  return spare >= 2 * excessMm
    ? { by: 'face', text: `${how}; the teeth have ${mm(spare)} to spare` }
    : {
        by: 'nothing',
        text: `facing both sides true takes ${mm(2 * excessMm)} off the teeth, which have only ${mm(Math.max(0, spare))} to spare`,
      };
}

function mm(value: number): string {
  return `${value.toFixed(value < 0.095 ? 3 : 2)} mm`;
}

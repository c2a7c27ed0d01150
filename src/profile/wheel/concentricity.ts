/**
 * Eccentricity budget from the shaft to the teeth. Each part is an offset of one centre from the
 * next, in mm; the parts point anywhere, so they add as sqrt(sum of squares) when nothing goes
 * wrong twice, and in a straight line at worst. An indicator reads twice the offset.
 */

export interface EccentricPart {
  readonly id: 'shaft-fit' | 'centring' | 'machine' | 'hub-clamping';
  readonly label: string;
  readonly offsetMm: number;
  readonly why: string;
}

export interface ConcentricityBudget {
  readonly parts: readonly EccentricPart[];
  /** Root of the sum of squares, and straight sum. mm, offsets */
  readonly likelyMm: number;
  readonly worstMm: number;
  /** What an indicator would read, twice that. */
  readonly likelyRunoutMm: number;
  readonly worstRunoutMm: number;
}

export function concentricityBudget(parts: readonly EccentricPart[]): ConcentricityBudget {
  const likelyMm = Math.hypot(...parts.map((p) => p.offsetMm));
  const worstMm = parts.reduce((sum, p) => sum + Math.abs(p.offsetMm), 0);
  return { parts, likelyMm, worstMm, likelyRunoutMm: 2 * likelyMm, worstRunoutMm: 2 * worstMm };
}

export interface BudgetInput {
  readonly boreDiameterMm: number;
  /** Width of the bore's tolerance field, mm. */
  readonly boreToleranceMm: number;
  readonly madeBy: 'lathe' | 'router';
  /** How far the bore may be from the router's zero when the blank is set up. mm */
  readonly centringErrorMm: number;
  /** Backlash of the machine and form error of the finished flanks, mm. */
  readonly backlashMm: number;
  readonly formErrorMm: number;
}

/** Bore and teeth are cut in one clamping or in two; what is between shaft and bore comes on top. */
export function usualBudget(input: BudgetInput): ConcentricityBudget {
  const oneClamping = input.madeBy === 'router';
  return concentricityBudget([
    {
      id: 'shaft-fit',
      label: 'shaft in the bore',
      // Set screw or key push the bore over by half the clearance.
      offsetMm: input.boreToleranceMm / 2,
      why: 'half the clearance of an H8 bore on a shaft of nominal size',
    },
    {
      id: 'centring',
      label: 'bore against the zero of the router',
      offsetMm: oneClamping ? 0 : input.centringErrorMm,
      why: oneClamping
        ? 'bore and teeth are cut in one clamping'
        : 'blank.centring-error of the job; an indicator on the bore brings it down',
    },
    {
      id: 'machine',
      label: 'backlash and form error',
      offsetMm: (input.backlashMm + input.formErrorMm) / 2,
      why: 'half of backlash and form error, when all of it falls on one side',
    },
  ]);
}

/**
 * The figures of a machine file: where each stands, its unit and the range that is believable.
 * The ranges catch slips of unit (0.3 where 300 N/mm is meant), not bad machines.
 */

export interface FigureRule {
  /** Key, or group and key: "stiffnessNPerMm", "spindle.minRpm". */
  readonly path: string;
  /** One figure for each of x, y and z, or one for all three. */
  readonly perAxis: boolean;
  /** `curve` is a list of [feed mm/min, thrust N]; `nullable` may be null: no such part. */
  readonly kind: 'number' | 'curve' | 'nullable';
  readonly min: number;
  readonly max: number;
  readonly unit: string;
  /** What the figure is and how to write it, for messages. */
  readonly hint: string;
}

function figure(
  path: string,
  min: number,
  max: number,
  unit: string,
  hint: string,
  kind: FigureRule['kind'] = 'number',
): FigureRule {
  return { path, perAxis: false, kind, min, max, unit, hint };
}

function axes(...args: Parameters<typeof figure>): FigureRule {
  return { ...figure(...args), perAxis: true };
}

export const FIGURES: readonly FigureRule[] = [
  axes('travelMm', 10, 5000, 'mm', 'travel of the axis'),
  axes(
    'thrustN',
    1,
    50_000,
    'N',
    'thrust before steps are lost against feed, as [[0, 280], [2400, 280], [4800, 140]]',
    'curve',
  ),
  axes('stiffnessNPerMm', 10, 500_000, 'N/mm', 'stiffness at the collet (0.3 N/um is 300 N/mm)'),
  figure(
    'holderStiffnessNPerMm',
    100,
    1_000_000,
    'N/mm',
    'radial stiffness of collet and nut (8 N/um is 8000 N/mm)',
  ),
  axes('movingMassKg', 0.05, 2000, 'kg', 'mass the axis moves'),
  axes('accelerationMmPerS2', 1, 20_000, 'mm/s2', 'acceleration the control is set to'),
  axes('frictionN', 0, 5000, 'N', 'force to keep the axis moving, its weight included on z'),
  axes('backlashMm', 0, 2, 'mm', 'lost motion'),
  axes('rapidMmPerMin', 50, 100_000, 'mm/min', 'rapid feed'),
  figure('maxFeedMmPerMin', 10, 50_000, 'mm/min', 'highest feed while cutting'),
  figure('junctionDeviationMm', 0.0001, 1, 'mm', 'corner tolerance of the motion control'),
  axes('fullStepMm', 0.0001, 2, 'mm', 'travel of one full motor step (lead / 200)'),
  axes(
    'beltToothMm',
    0.5,
    50,
    'mm',
    'pitch of the belt that drives the axis; null for a screw',
    'nullable',
  ),
  figure('spindle.minRpm', 1, 200_000, 'rpm', 'lowest spindle speed'),
  figure('spindle.maxRpm', 50, 200_000, 'rpm', 'highest spindle speed'),
  figure('spindle.powerW', 10, 50_000, 'W', 'rated power (1 kW is 1000 W)'),
  figure('spindle.efficiency', 0.05, 1, '', 'share of the rated power that reaches the cutter'),
  figure('spindle.runoutMm', 0, 0.5, 'mm', 'total indicator reading at the cutter'),
  figure('spindle.spinUpS', 0, 120, 's', 'time to reach speed'),
  figure('limits.maxEngagementDeg', 5, 180, 'deg', 'greatest radial engagement'),
  figure('limits.maxStepdownMm', 0.01, 50, 'mm', 'greatest axial depth of one pass'),
  figure('limits.thrustShare', 0.05, 1, '', 'share of the remaining thrust that cutting may use'),
];

/** Keys that hold text. */
export const TEXT_KEYS = ['id', 'title', 'controller', 'basedOn'] as const;

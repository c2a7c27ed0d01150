/**
 * What a machine file holds: every figure with its unit and the range that is believable. The
 * ranges catch slips of unit (0.3 where 300 N/mm is meant), not bad machines.
 */
import {
  type Field,
  type Fields,
  type ValueOf,
  axes,
  count,
  figure,
  flag,
  group,
  list,
  name,
  need,
  orNull,
  pair,
  sourced,
} from '../text/field.js';
import { HEARD_CUT, MOST_HEARD } from './learn/heard-fields.js';

const ID = { pattern: /^[a-z0-9]+(-[a-z0-9]+)*$/, fix: 'use a-z, 0-9 and hyphens, at most 40' };

const CURVE = list(
  'pairs [feed mm/min, thrust N]',
  pair(
    'a pair [feed mm/min, thrust N]',
    figure('feed', 0, 1_000_000, 'mm/min'),
    figure('thrust before steps are lost', 1, 50_000, 'N'),
  ),
  { min: 1, max: 64, check: risingFeed },
);

/** Thrust is asked for at every feed from standstill on. */
function risingFeed(curve: readonly (readonly [number, number])[]): string | null {
  if (curve[0]?.[0] !== 0) return 'does not begin at feed 0';
  const at = curve.findIndex(([feed], i) => i > 0 && !(feed > curve[i - 1]![0]));
  if (at < 0) return null;
  return `pair ${at + 1}: feed ${curve[at]![0]} does not rise above ${curve[at - 1]![0]}`;
}

const one = (...of: Parameters<typeof figure>) => sourced(figure(...of));
const each = (...of: Parameters<typeof figure>) => axes(sourced(figure(...of)));

export const MACHINE_FIELDS = {
  id: need(name('short name', 'my-router', { max: 40, shape: ID })),
  title: need(name('title', 'Router in the shed', { max: 100 })),
  controller: need(name('controller class', 'small-stream', { max: 100 })),
  homed: flag('homed before every run, machine Z0 at the top of travel'),
  basedOn: name('shipped profile', 'screw-gantry-light', { max: 100 }),
  travelMm: each('travel of the axis', 10, 5000, 'mm'),
  // Left out or null: from the motor. One pair [0, N]: thrust at standstill, falling as the motor's.
  thrustN: { ...axes(sourced(orNull(CURVE))), required: false },
  thrustSpread: {
    ...axes(sourced(orNull(figure('factor within which two thrusts in three lie', 1, 5, '')))),
    required: false,
  },
  drive: need(
    group('drive', {
      holdingTorqueNm: each('holding torque of one motor, two phases on', 0.02, 50, 'N m'),
      motors: axes(sourced(count('motors of the axis', 1, 4))),
      rotorInertiaGCm2: each('inertia of one rotor', 1, 50_000, 'g cm2', '1e-5 kg m2 is 100'),
      currentA: each('rated current of a phase', 0.1, 20, 'A'),
      inductanceMh: each('inductance of a phase', 0.1, 100, 'mH'),
      supplyV: each('supply of the motor drive', 5, 400, 'V'),
      stepsPerTurn: axes(sourced(count('full steps of a motor turn', 20, 1000))),
      travelPerTurnMm: each(
        'travel of one motor turn',
        0.2,
        400,
        'mm',
        'lead, or pulley teeth x pitch',
      ),
      efficiency: each('share of the torque that the screw or belt passes on', 0.05, 1, ''),
      stiffnessNPerMm: each('screw with nut and bearings, or belt', 5, 1_000_000, 'N/mm'),
      damping: each('damping ratio of the rotor on its field', 0.001, 1, ''),
    }),
  ),
  headMassKg: one('mass of spindle and the plate that carries it', 0.05, 500, 'kg'),
  stiffnessNPerMm: each('stiffness at the collet', 10, 500_000, 'N/mm', '0.3 N/um is 300 N/mm'),
  holderStiffnessNPerMm: one(
    'radial stiffness of collet and nut',
    100,
    1_000_000,
    'N/mm',
    '8 N/um is 8000 N/mm',
  ),
  movingMassKg: each('mass the axis moves', 0.05, 2000, 'kg'),
  accelerationMmPerS2: each('acceleration the control is set to', 1, 20_000, 'mm/s2'),
  frictionN: each('force to keep the axis moving', 0, 5000, 'N', 'its weight included on z'),
  backlashMm: each('lost motion', 0, 2, 'mm'),
  rapidMmPerMin: each('rapid feed', 50, 100_000, 'mm/min'),
  maxFeedMmPerMin: one('feed while cutting', 10, 50_000, 'mm/min', 'the highest'),
  junctionDeviationMm: one('corner tolerance of the motion control', 0.0001, 1, 'mm'),
  beltToothMm: axes(
    sourced(
      orNull(figure('pitch of the belt that drives the axis', 0.5, 50, 'mm', 'null for a screw')),
    ),
  ),
  spindle: need(
    group('spindle', {
      minRpm: one('lowest spindle speed', 1, 200_000, 'rpm'),
      maxRpm: one('highest spindle speed', 50, 200_000, 'rpm'),
      powerW: one('rated power', 10, 50_000, 'W', '1 kW is 1000 W'),
      efficiency: one('share of the rated power that reaches the cutter', 0.05, 1, ''),
      runoutMm: one('total indicator reading at the cutter', 0, 0.5, 'mm'),
      spinUpS: one('time to reach speed', 0, 120, 's'),
    }),
  ),
  modes: need(
    group('modes', {
      mountStiffnessNPerMm: each('stiffness of the spindle mount', 50, 500_000, 'N/mm'),
      mountHz: each('natural frequency of the spindle in its mount', 10, 20_000, 'Hz'),
      mountDamping: each('damping ratio of the spindle mount', 0.001, 0.5, '', '3 % is 0.03'),
      frameHz: axes(
        sourced(
          orNull(
            figure('natural frequency of the frame', 1, 2000, 'Hz', 'null where not measured'),
          ),
        ),
      ),
      frameDamping: each('damping ratio of the frame', 0.001, 0.5, '', '3 % is 0.03'),
      cutterDamping: one('damping ratio of cutter and holder', 0.001, 0.5, '', '1.5 % is 0.015'),
      holderMassKg: one('mass that rings with cutter and collet', 0, 5, 'kg', '5 g is 0.005'),
    }),
  ),
  limits: need(
    group('limits', {
      maxEngagementDeg: one('radial engagement limit', 5, 180, 'deg'),
      maxStepdownMm: one('axial depth of one pass', 0.01, 50, 'mm', 'the greatest'),
    }),
  ),
  heard: list('cuts that were heard', HEARD_CUT, { max: MOST_HEARD }),
} as const;

export type MachineValues = ValueOf<{ kind: 'group'; keys: typeof MACHINE_FIELDS }>;

export interface FigureRule {
  /** Key, or group and key: "stiffnessNPerMm", "spindle.minRpm". */
  readonly path: string;
  /** One figure for each of x, y and z, or one for the machine. */
  readonly perAxis: boolean;
}

/** Every figure of a machine file, in order. */
export const FIGURES: readonly FigureRule[] = figuresOf(MACHINE_FIELDS, '');

function figuresOf(fields: Fields, prefix: string): FigureRule[] {
  return Object.entries(fields).flatMap(([key, field]: [string, Field]) => {
    if (field.kind === 'group') return figuresOf(field.keys, `${prefix}${key}.`);
    const perAxis = field.kind === 'axes';
    return perAxis || field.kind === 'sourced' ? [{ path: prefix + key, perAxis }] : [];
  });
}

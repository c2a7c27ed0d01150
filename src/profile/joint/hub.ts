/** What a joint of sprocket and shaft is reckoned from, and what plates and keyway leave of the hub. */
import { type Figure, figure, known, must, should } from '../../model/figure.js';
import type { Job, JobChain, JointKind } from '../../model/job.js';
import type { Wheel } from '../wheel/sprocket.js';
import type { DriveInput } from '../drive/speed.js';
import { asmeHubLimitMm, isoHubLimitMm } from '../standard/limits.js';
import { linkPitchMm, pitchesPerTurn } from '../wheel/cut.js';
import { type BoreSpec, boreReachMm } from '../wheel/bore.js';
import type { HubMaterial } from './capacity.js';

export interface JointInput {
  /** null: nothing says what carries the torque. */
  readonly kind: JointKind | null;
  /** The bore that goes over the shaft. */
  readonly bore: BoreSpec;
  /** How long shaft and bore touch: tooth thickness and hub together, or the insert's length. mm */
  readonly lengthMm: number;
  /** Tooth thickness and hub together: how long an insert is brazed. mm */
  readonly lapMm: number;
  /** Round bore for a brazed insert, where the job has one. mm */
  readonly seatMm: number | null;
  /** Set screws, where they are the joint. */
  readonly screws: number;
  /** The hub's part of it; 0 without a hub. */
  readonly hubLengthMm: number;
  readonly material: HubMaterial;
  readonly pitchMm: number;
  readonly doublePitch?: NonNullable<JobChain['doublePitch']> | null;
  readonly teeth: number;
  readonly rootDiameterMm: number;
  readonly hubDiameterMm: number | null;
  readonly plateDepthMm: number | null;
  /** null where the job has no drive: capacities without anything to compare them with. */
  readonly drive: Pick<DriveInput, 'powerKw' | 'speedRpm' | 'service' | 'stallTorqueNm'> | null;
}

/** The joint of a job. */
export function jointInputOf(
  { joint, bore, hub, material, chain, sprocket }: Job,
  wheel: Pick<Wheel, 'thicknessMm' | 'rootDiameterMm'>,
  drive: JointInput['drive'],
): JointInput {
  const insert = joint.kind === 'brazed-insert';
  const lapMm = wheel.thicknessMm + (hub?.lengthMm ?? 0);
  return {
    kind: joint.kind,
    bore: joint.shaft,
    lengthMm: joint.insertLengthMm ?? lapMm,
    lapMm,
    seatMm: insert ? bore.diameterMm : null,
    screws: joint.screws,
    hubLengthMm: hub?.lengthMm ?? 0,
    // Inserts are turned from steel, whatever the wheel is of.
    material: insert ? 'steel' : material.group,
    pitchMm: chain.pitchMm,
    doublePitch: chain.doublePitch ?? null,
    teeth: sprocket.teeth,
    rootDiameterMm: wheel.rootDiameterMm,
    hubDiameterMm: hub?.diameterMm ?? null,
    plateDepthMm: chain.plateDepthMm,
    drive,
  };
}

/** Inner plates at most 0.95 of the pitch deep, where the chain's are not known. ASME B29.1,
 *  amesweb.info. */
const PLATE_DEPTH_PER_PITCH = 0.95;
/** Least wall over a bore or keyway, in bores, and in mm. Common practice, no source. */
const WALL_PER_BORE = 0.2;
const LEAST_WALL_MM = 2;

const WALL_SOURCE = 'common practice, no source: 2 mm or a fifth of the bore';
const ISO = 'ISO 606:2015 5.3.2, from memory';

export function hubFigures(input: JointInput): Figure[] {
  const { bore, plateDepthMm, hubDiameterMm } = input;
  // The plates lie along the links, which are long ones of a double-pitch chain.
  const pitchMm = linkPitchMm(input);
  const teeth = pitchesPerTurn(input.teeth, input);
  const depthMm = plateDepthMm ?? PLATE_DEPTH_PER_PITCH * pitchMm;
  const h2 = plateDepthMm === null ? 'taken as 0.95 p' : 'of the chain';
  const asmeMm = asmeHubLimitMm(pitchMm, teeth);
  const keyed = bore.shape === 'keyed';
  const toRoot = keyed ? 'wall over the keyway to the root' : 'wall from bore to root';
  const ofHub = keyed ? 'wall of the hub over the keyway' : 'wall of the hub';
  const reachMm = boreReachMm(bore);
  const leastMm = Math.max(LEAST_WALL_MM, WALL_PER_BORE * bore.diameterMm);
  const wall = {
    limit: should('at least', leastMm, WALL_SOURCE),
    formula: 'radius less the reach of the bore, sqrt((r + t2)^2 + (b/2)^2) at a keyway',
  };
  return known([
    figure('hubDiameterMm', 'hub diameter', 'length', hubDiameterMm, {
      limit: must('at most', isoHubLimitMm(pitchMm, teeth, depthMm), ISO),
      formula: `as given; limit p cot(180 deg / z) - 1.04 h2 - 0.76 mm, h2 ${h2}`,
      source: ISO,
    }),
    figure('asmeHubLimitMm', 'largest hub for standard plates', 'length', asmeMm, {
      formula: 'P (cot(180 deg / N) - 1) - 0.030 in',
      source: 'ASME B29.1, amesweb.info and Tsubaki technical data',
    }),
    figure('wallToRootMm', toRoot, 'length', input.rootDiameterMm / 2 - reachMm, wall),
    figure('wallOfHubMm', ofHub, 'length', hubDiameterMm && hubDiameterMm / 2 - reachMm, wall),
  ]);
}

/** An insert brazed into a round bore, as figures. */
import { boreReachMm } from '../wheel/bore.js';
import { type Figure, figure } from '../../model/figure.js';
import {
  BRAZE_SOURCE,
  PLANNING_SHEAR,
  RECKONED_SHEAR,
  brazeAreaMm2,
  brazeShear,
  brazeTorqueNm,
  brazedInsert,
} from './braze.js';
import type { JointInput } from './joint.js';

/** Wall that a hub keeps round an insert brazed into it. mm. Common practice, no source. */
const LEAST_HUB_WALL_MM = 2;

export function insertFigures(
  input: JointInput,
  ratedNm: number | null,
  remarks: string[],
): Figure[] {
  const insert = brazedInsert(boreReachMm(input.bore), input.rootDiameterMm);
  if (!insert) {
    remarks.push('There is no room for a brazed insert between bore and root circle.');
    return [];
  }
  const { outsideDiameterMm: d, boreMm } = insert;
  const hubWallMm =
    input.hubDiameterMm === null ? Infinity : (input.hubDiameterMm - boreMm.max) / 2;
  const onePiece = hubWallMm < LEAST_HUB_WALL_MM;
  const lapMm = onePiece ? input.lengthMm - input.hubLengthMm : input.lengthMm;
  if (onePiece) {
    remarks.push(
      `Round the insert the hub would have a wall of ${Math.max(0, hubWallMm).toFixed(2)} mm: turn hub and insert in one piece and braze it into the plate; the brazed area is then that of the ${lapMm.toFixed(2)} mm of teeth.`,
    );
  }
  const torque = (shear: number): number => brazeTorqueNm(shear, d, lapMm);
  const brazed = (
    key: string,
    label: string,
    kind: Figure['kind'],
    value: number,
    formula: string,
  ) => figure({ key, label, kind, value, formula, source: BRAZE_SOURCE });
  return [
    brazed(
      'insertDiameterMm',
      'brazed insert, outside diameter',
      'length',
      d,
      'bore plus walls of 2.5 mm, to the half millimetre',
    ),
    brazed(
      'insertBoreMinMm',
      'round bore for it, from',
      'length',
      boreMm.min,
      'D + 2 x 0.05 mm of gap',
    ),
    brazed(
      'insertBoreMaxMm',
      'round bore for it, to',
      'length',
      boreMm.max,
      'D + 2 x 0.08 mm of gap',
    ),
    brazed(
      'insertPlateWallMm',
      'plate left between it and the roots',
      'length',
      insert.plateWallMm,
      '(root diameter - bore) / 2',
    ),
    brazed('brazeAreaMm2', 'brazed area', 'area', brazeAreaMm2(d, lapMm), 'pi D L'),
    figure({
      key: 'brazeTorqueNm',
      label: `brazed insert, at ${PLANNING_SHEAR} N/mm2 of shear`,
      kind: 'torque',
      value: torque(PLANNING_SHEAR),
      limit:
        ratedNm === null
          ? null
          : { rule: 'at least', value: ratedNm, weight: 'should', source: 'rated torque' },
      formula: 'T = tau pi D^2 L / 2',
      source: BRAZE_SOURCE,
    }),
    brazed(
      'brazeReckonedNm',
      'the same at 18000 psi, as often reckoned',
      'torque',
      torque(RECKONED_SHEAR),
      'T = tau pi D^2 L / 2; 18000 psi is common practice without a source',
    ),
    ...(ratedNm === null
      ? []
      : [
          brazed(
            'brazeShear',
            'shear in the braze at rated torque',
            'stress',
            brazeShear(ratedNm, d, lapMm),
            'tau = 2 T / (pi D^2 L)',
          ),
        ]),
  ];
}

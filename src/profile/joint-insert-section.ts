/** An insert brazed into a round bore, as figures. */
import { boreReachMm } from './bore.js';
import { type Figure, figure } from './figure.js';
import {
  BRAZE_SOURCE,
  PLANNING_SHEAR,
  RECKONED_SHEAR,
  brazeAreaMm2,
  brazeShear,
  brazeTorqueNm,
  brazedInsert,
} from './joint-braze.js';
import type { JointInput } from './joint.js';

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
  const torque = (shear: number): number => brazeTorqueNm(shear, d, input.lengthMm);
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
    brazed('brazeAreaMm2', 'brazed area', 'area', brazeAreaMm2(d, input.lengthMm), 'pi D L'),
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
            brazeShear(ratedNm, d, input.lengthMm),
            'tau = 2 T / (pi D^2 L)',
          ),
        ]),
  ];
}

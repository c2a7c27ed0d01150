/** Speeds of a drive and how unevenly it runs. */
import type { DriveInput } from './drive.js';
import {
  articulationRad,
  chainSpeedMPerS,
  polygonVariation,
  polygonVariationOfMean,
} from './speed.js';
import { ELEMENTARY, type Figure, type FigureSection, figure } from '../../model/figure.js';

export function driveSpeed(input: DriveInput): FigureSection {
  const { teeth, otherTeeth, oldTeeth, speedRpm, chain } = input;
  const ratio = otherTeeth / teeth;
  const figures: Figure[] = [
    figure({
      key: 'ratio',
      label: 'ratio',
      kind: 'ratio',
      value: ratio,
      digits: 3,
      limit: {
        rule: 'at most',
        value: 7,
        weight: 'should',
        source: 'common practice, from memory',
      },
      formula: 'i = z2 / z1',
      source: ELEMENTARY,
    }),
    figure({
      key: 'drivenSpeedRpm',
      label: 'speed of the other wheel',
      kind: 'rotational speed',
      value: speedRpm / ratio,
      formula: 'n2 = n1 / i',
      source: ELEMENTARY,
    }),
  ];
  if (oldTeeth !== null) {
    figures.push(
      figure({
        key: 'speedChange',
        label: `speed against the old ${oldTeeth} teeth`,
        kind: 'share',
        value: teeth / oldTeeth - 1,
        formula: 'z1 / z1 old - 1',
        source: ELEMENTARY,
      }),
      figure({
        key: 'torqueChange',
        label: `torque against the old ${oldTeeth} teeth`,
        kind: 'share',
        value: oldTeeth / teeth - 1,
        formula: 'z1 old / z1 - 1',
        source: ELEMENTARY,
      }),
    );
  }
  figures.push(
    figure({
      key: 'chainSpeedMPerS',
      label: 'chain speed',
      kind: 'chain speed',
      value: chainSpeedMPerS(teeth, chain.pitchMm, speedRpm),
      limit: {
        rule: 'at most',
        value: 25,
        weight: 'should',
        source: 'design procedure of chain drive, faadooengineers.com',
      },
      formula: 'v = z1 p n1 / 60000',
      source: 'definition',
    }),
    figure({
      key: 'polygonVariation',
      label: 'polygon speed variation',
      kind: 'share',
      value: polygonVariation(teeth),
      digits: 2,
      formula: '1 - cos(180 deg / z1), of the greatest speed',
      source: 'novasolver.jp roller chain drive text',
    }),
    figure({
      key: 'polygonVariationOfMean',
      label: 'the same, of the mean speed',
      kind: 'share',
      value: polygonVariationOfMean(teeth),
      digits: 2,
      formula: '(pi / z1) (1 / sin(180 deg / z1) - 1 / tan(180 deg / z1))',
      source: "Shigley's Mechanical Engineering Design, eq. 17-32, from memory",
    }),
    figure({
      key: 'articulationRad',
      label: 'angle of articulation',
      kind: 'angle',
      value: articulationRad(teeth),
      digits: 2,
      formula: '180 deg / z1',
      source: 'Chordal action, cozybeehive.blogspot.com',
    }),
  );
  return { id: 'speed', title: 'Speed', figures, remarks: [] };
}

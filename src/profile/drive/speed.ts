/** Speeds of a drive, and how unevenly a wheel of few teeth drives the chain. */
import { ELEMENTARY, type FigureRow, type FigureSection } from '../../model/figure.js';
import { figuresOf, row, should } from '../../model/figure.js';
import type { DriveInput } from './input.js';

/** v = z p n / 60000. m/s. Definition: z pitches pass at every turn. */
export function chainSpeedMPerS(teeth: number, pitchMm: number, rpm: number): number {
  return (teeth * pitchMm * rpm) / 60000;
}

/** Swing of the chain's speed over one tooth against its greatest, 1 - cos(180 deg / z).
 *  Source: polygon effect, novasolver.jp roller chain drive text. */
export function polygonVariation(teeth: number): number {
  return 1 - Math.cos(Math.PI / teeth);
}

/** The same against the mean speed, (pi / z) (1 / sin(180 deg / z) - 1 / tan(180 deg / z)).
 *  Source: Shigley's Mechanical Engineering Design, eq. 17-32, from memory. */
export function polygonVariationOfMean(teeth: number): number {
  const a = Math.PI / teeth;
  return a * (1 / Math.sin(a) - 1 / Math.tan(a));
}

/** Angle of articulation, 180 deg / z: what each joint turns through on entry, halved as chain books
 *  do. rad. Source: Chordal action, cozybeehive.blogspot.com. */
export function articulationRad(teeth: number): number {
  return Math.PI / teeth;
}

const FIGURES: readonly FigureRow<DriveInput>[] = [
  row('ratio', 'ratio', 'ratio', {
    value: (d) => d.otherTeeth / d.teeth,
    digits: 3,
    limit: should('at most', 7, 'common practice, from memory'),
    formula: 'i = z2 / z1',
    source: ELEMENTARY,
  }),
  row('drivenSpeedRpm', 'speed of the other wheel', 'rotational speed', {
    value: (d) => d.speedRpm / (d.otherTeeth / d.teeth),
    formula: 'n2 = n1 / i',
    source: ELEMENTARY,
  }),
  row('speedChange', (d) => `speed against the old ${d.oldTeeth} teeth`, 'share', {
    value: (d) => d.oldTeeth && d.teeth / d.oldTeeth - 1,
    formula: 'z1 / z1 old - 1',
    source: ELEMENTARY,
  }),
  row('torqueChange', (d) => `torque against the old ${d.oldTeeth} teeth`, 'share', {
    value: (d) => d.oldTeeth && d.oldTeeth / d.teeth - 1,
    formula: 'z1 old / z1 - 1',
    source: ELEMENTARY,
  }),
  row('chainSpeedMPerS', 'chain speed', 'chain speed', {
    value: (d) => chainSpeedMPerS(d.teeth, d.chain.pitchMm, d.speedRpm),
    limit: should('at most', 25, 'design procedure of chain drive, faadooengineers.com'),
    formula: 'v = z1 p n1 / 60000',
    source: 'definition',
  }),
  row('polygonVariation', 'polygon speed variation', 'share', {
    value: (d) => polygonVariation(d.teeth),
    digits: 2,
    formula: '1 - cos(180 deg / z1), of the greatest speed',
    source: 'novasolver.jp roller chain drive text',
  }),
  row('polygonVariationOfMean', 'the same, of the mean speed', 'share', {
    value: (d) => polygonVariationOfMean(d.teeth),
    digits: 2,
    formula: '(pi / z1) (1 / sin(180 deg / z1) - 1 / tan(180 deg / z1))',
    source: "Shigley's Mechanical Engineering Design, eq. 17-32, from memory",
  }),
  row('articulationRad', 'angle of articulation', 'angle', {
    value: (d) => articulationRad(d.teeth),
    digits: 2,
    formula: '180 deg / z1',
    source: 'Chordal action, cozybeehive.blogspot.com',
  }),
];

export function driveSpeed(input: DriveInput): FigureSection {
  return { id: 'speed', title: 'Speed', figures: figuresOf(FIGURES, input), remarks: [] };
}

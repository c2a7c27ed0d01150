/** What is known of a drive; its speeds, and how unevenly a wheel of few teeth drives the chain. */
import { cos, sin, tan } from '../../maths/elementary.js';
import { type FigureSection, figure, known, should } from '../../model/figure.js';
import type { Job, JobChain } from '../../model/job.js';
import { linkPitchMm, pitchesPerTurn } from '../wheel/cut.js';

/** The new sprocket is the driving wheel; the other wheel is driven. */
export interface DriveInput extends NonNullable<Job['drive']> {
  readonly chain: Pick<
    JobChain,
    'designation' | 'pitchMm' | 'doublePitch' | 'plateDepthMm' | 'minTensileN' | 'elongation'
  >;
  /** Pitches of the chain to a turn: half the gaps of a double-cut wheel for a double-pitch chain. */
  readonly teeth: number;
  /** Torque of the motor when held, N m; null takes STALL_FACTOR times the rated one. */
  readonly stallTorqueNm: number | null;
  /** Whether centres are fixed (no adjustment and no tensioner). */
  readonly fixedCentres: boolean;
}

/** The drive of a job, as far as the job says, with centres that can be set; null where it says
 *  nothing. */
export function driveOf({ drive, chain, sprocket }: Job): DriveInput | null {
  if (drive === null) return null;
  const counts = inPitches(chain, sprocket.teeth, drive.otherTeeth);
  const oldTeeth = drive.oldTeeth && pitchesPerTurn(drive.oldTeeth, chain);
  return { ...drive, ...counts, oldTeeth, stallTorqueNm: null, fixedCentres: false };
}

/** Chain and counts as a drive reckons with them: in pitches of the chain. The other wheel of a
 *  double-pitch chain is taken to be cut as this one. */
export function inPitches<C extends Pick<JobChain, 'pitchMm' | 'doublePitch'>>(
  chain: C,
  teeth: number,
  otherTeeth: number,
): { chain: C; teeth: number; otherTeeth: number } {
  return {
    chain: { ...chain, pitchMm: linkPitchMm(chain) },
    teeth: pitchesPerTurn(teeth, chain),
    otherTeeth: pitchesPerTurn(otherTeeth, chain),
  };
}

/** Where the chain books print what the sections share. */
export const CATALOGUES = 'Mott, Machine Elements in Mechanical Design, chain drives';

/** v = z p n / 60000. m/s. Definition: z pitches pass at every turn. */
export function chainSpeedMPerS({ teeth, chain, speedRpm }: DriveInput): number {
  return (teeth * chain.pitchMm * speedRpm) / 60000;
}

export function driveSpeed(input: DriveInput): FigureSection {
  const { teeth, otherTeeth, oldTeeth, speedRpm } = input;
  const ratio = otherTeeth / teeth;
  const half = Math.PI / teeth;
  const against = `against the old ${oldTeeth} teeth`;
  const ofMean = half * (1 / sin(half) - 1 / tan(half));
  const figures = known([
    figure('ratio', 'ratio', 'ratio', ratio, {
      digits: 3,
      limit: should('at most', 7, 'common practice, from memory'),
      formula: 'i = z2 / z1',
    }),
    figure('drivenSpeedRpm', 'speed of the other wheel', 'rotational speed', speedRpm / ratio, {
      formula: 'n2 = n1 / i',
    }),
    figure('speedChange', `speed ${against}`, 'share', oldTeeth && teeth / oldTeeth - 1, {
      formula: 'z1 / z1 old - 1',
    }),
    figure('torqueChange', `torque ${against}`, 'share', oldTeeth && oldTeeth / teeth - 1, {
      formula: 'z1 old / z1 - 1',
    }),
    figure('chainSpeedMPerS', 'chain speed', 'chain speed', chainSpeedMPerS(input), {
      limit: should('at most', 25, 'design procedure of chain drive, faadooengineers.com'),
      formula: 'v = z1 p n1 / 60000',
      source: 'definition',
    }),
    figure('polygonVariation', 'polygon speed variation', 'share', 1 - cos(half), {
      digits: 2,
      formula: '1 - cos(180 deg / z1), of the greatest speed',
      source: 'novasolver.jp roller chain drive text',
    }),
    figure('polygonVariationOfMean', 'the same, of the mean speed', 'share', ofMean, {
      digits: 2,
      formula: '(pi / z1) (1 / sin(180 deg / z1) - 1 / tan(180 deg / z1))',
      source: "Shigley's Mechanical Engineering Design, eq. 17-32, from memory",
    }),
    // What each joint turns through on entry, halved as chain books do.
    figure('articulationRad', 'angle of articulation', 'angle', half, {
      digits: 2,
      formula: '180 deg / z1',
      source: 'Chordal action, cozybeehive.blogspot.com',
    }),
  ]);
  return { id: 'speed', title: 'Speed', figures, remarks: [] };
}

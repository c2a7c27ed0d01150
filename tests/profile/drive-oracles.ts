import { readFileSync } from 'node:fs';

/** Published worked examples of drives and joints; every block names its source. */
export interface DriveOracles {
  readonly rollerLimitedPower: {
    source: string;
    pitchIn: number;
    toleranceHp: number;
    rows: { teeth: number; rpm: number; hp: number }[];
  };
  readonly chainLength: [
    {
      z1: number;
      z2: number;
      pitchIn: number;
      centreIn: number;
      lengthPitches: number;
      tolerancePitches: number;
      lengthIn: number;
      toleranceIn: number;
    },
    {
      z1: number;
      z2: number;
      pitchIn: number;
      centreIn: number;
      evenLinks: number;
      centrePitchesForEven: number;
      toleranceCentre: number;
      pitchDiametersIn: [number, number];
      toleranceDiameterIn: number;
    },
    {
      z1: number;
      z2: number;
      centrePitches: number;
      lengthFromCentre: number;
      links: number;
      centreFromLinks: number;
      tolerancePitches: number;
    },
  ];
  readonly flatChain: {
    links: number;
    pitchMm: number;
    plateDepthMm: number;
    overallMm: number;
    toleranceMm: number;
  };
  readonly articulation: { toleranceDeg: number; rows: { teeth: number; deg: number }[] };
  readonly keyLength: {
    hp: number;
    rpm: number;
    shaftIn: number;
    widthIn: number;
    yieldPsi: number;
    shearYieldPsi: number;
    factor: number;
    torqueLbfIn: number;
    toleranceTorque: number;
    forceLbf: number;
    toleranceForce: number;
    shearLengthIn: number;
    bearingLengthIn: number;
    toleranceIn: number;
  };
}

export const DRIVE_ORACLES = JSON.parse(
  readFileSync(new URL('../oracles/drive.json', import.meta.url), 'utf8'),
) as DriveOracles;

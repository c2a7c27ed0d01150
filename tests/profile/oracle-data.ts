import { readFileSync } from 'node:fs';

/** Printed tables and worked examples; every block names its source. */
export interface SprocketOracles {
  readonly unitPitchDiameter: Block<{ z: number; d: number }> & { tolerance: number };
  readonly pitchDiameter25_4: Block<{ z: number; dMm: number }> & { toleranceMm: number };
  readonly catalogueMecha: Block<{
    chain: string;
    z: number;
    dpMm: number;
    deMm: number;
    source: string;
  }> & { toleranceMm: number };
  readonly catalogue06B: Block<{ z: number; dpMm: number; doMm: number }> & { toleranceMm: number };
  readonly asmeMaxHub: Block<{ pitchIn: number; n: number; hubIn: number }> & {
    toleranceIn: [number, number];
  };
  readonly asmePlateThickness: Block<{ widthIn: number; chain: string; thicknessIn: number }> & {
    toleranceIn: number;
  };
  readonly caliperTolerance: Block<{ pitchIn: number; nFrom: number; minusIn: number }> & {
    toleranceIn: number;
  };
  readonly kartOutsideDiameter: Block<{ chain: string; n: number; odIn: number }> & {
    toleranceIn: number;
  };
  readonly unitPitchOutsideAndCaliper: Block<{ n: number; od: number; caliper: number }> & {
    toleranceOd: number;
    toleranceCaliper: number;
  };
  readonly toothWidth: Block<{ b1Mm: number; chain: string; pitchMm: number; bf1Mm: number }> & {
    toleranceMm: number;
  };
  readonly workedTooth: {
    source: string;
    tolerance: number;
    inputs: { pitchIn: number; n: number; rollerIn: number };
    expected: Record<string, number>;
  };
  readonly workedRoots: {
    name: string;
    source: string;
    toleranceMm: number;
    pitchMm: number;
    z: number;
    rollerMm: number;
    dMm: number;
    dfMm: number;
  }[];
  readonly workedNo120: Record<string, number>;
  readonly iso08B17: Record<string, number>;
}

interface Block<Row> {
  readonly source: string;
  readonly rows: readonly Row[];
}

export const ORACLES = JSON.parse(
  readFileSync(new URL('../oracles/sprockets.json', import.meta.url), 'utf8'),
) as SprocketOracles;

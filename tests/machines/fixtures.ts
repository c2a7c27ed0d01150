import { readFileSync } from 'node:fs';
import type { CutConditions } from '../../src/machines/load/force.js';
import type { Cutter, Material } from '../../src/model/machine.js';

/** Published and independently worked tables; each block names its source. */
// oxlint-disable-next-line typescript/no-explicit-any
export const tables: any = JSON.parse(
  readFileSync(new URL('../oracles/machining-tables.json', import.meta.url), 'utf8'),
);

export const DEG = Math.PI / 180;

/** 42CrMo4 with the constants that the worked example states. */
export const steel: Material = {
  id: 'steel-2500',
  title: 'steel 2500 / 0.26',
  condition: '',
  hardness: '',
  tensileMPa: 655,
  kc11NPerMm2: 2500,
  mc: 0.26,
  surfaceSpeedMPerMin: { low: 61, high: 122 },
  chipLoad3mmMm: 0.012,
  group: 'steel',
  hazards: [],
  densityKgPerM3: 7850,
  confidence: 'sourced',
  source: 'test',
};

export const cutter3: Cutter = {
  diameterMm: 3,
  flutes: 3,
  material: 'carbide',
  stickOutMm: 12,
  fluteLengthMm: 8,
  shankDiameterMm: 3,
  helixDeg: 35,
  edgeRadiusMm: 0.0075,
};

export const cut: CutConditions = {
  material: steel,
  cutter: cutter3,
  runoutMm: 0,
  wearFactor: 1,
  spindleRpm: 10_000,
  axialDepthMm: 0.3,
};

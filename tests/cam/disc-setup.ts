/** A disc of steel on a stiff machine, with nothing to be made of it. */
import type { ReplaySetup } from '../../src/cam/stock/replay.js';
import { findMachine } from '../../src/machines/machines.js';
import { cutter3, steel } from '../machines/fixtures.js';

export const discSetup: ReplaySetup = {
  machine: findMachine('screw-gantry-stiff'),
  conditions: { material: steel, cutter: cutter3, runoutMm: 0, wearFactor: 1 },
  blankRadiusMm: 30,
  thicknessMm: 4,
  holes: [],
  field: null,
  outlinePoints: new Float64Array(0),
};

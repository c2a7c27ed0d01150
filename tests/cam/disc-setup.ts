/** A disc of steel on a stiff machine, with nothing to be made of it. */
import type { ReplaySetup } from '../../src/cam/stock/replay.js';
import { findMachine } from '../../src/machines/machines.js';
import { cutter3, steel } from '../machines/fixtures.js';

/** Round at 2.2 mm from the middle, by a cutter of 3 mm: a pin of 0.7 mm in radius stands, in a ring to
 *  3.7 mm. Ends over it. */
export const AROUND_PIN = [
  'G0 X2.2 Y0',
  'G1 Z-1',
  'G3 X2.2 Y0 I-2.2 J0',
  'G0 Z5',
  'G0 X0',
] as const;

export const discSetup: ReplaySetup = {
  machine: findMachine('screw-gantry-stiff'),
  conditions: { material: steel, cutter: cutter3, runoutMm: 0, wearFactor: 1 },
  blankRadiusMm: 30,
  thicknessMm: 4,
  holes: [],
  field: null,
  outlinePoints: new Float64Array(0),
};

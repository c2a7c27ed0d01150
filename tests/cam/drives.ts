import type { Machine } from '../../src/model/machine.js';
import type { Drives } from './oracle/motion.js';

/** A machine as the oracle of motion takes it. */
export function drivesOf({ accelerationMmPerS2: a, rapidMmPerMin: f, ...m }: Machine): Drives {
  return {
    acceleration: [a.x, a.y, a.z],
    rapid: [f.x, f.y, f.z],
    junctionDeviation: m.junctionDeviationMm,
  };
}

/** What chatters when a machine cuts: its modes, and how the chip pushes and the flank damps. */
import type { ChipLaw, Machine, RingingCutter } from '../../model/machine.js';
import {
  DAMPING_FACTOR,
  SLOPE_FACTOR,
  landMm,
  likelySlope,
  processDampingNPerMm,
} from '../load/slope.js';
import { tipModes } from './modes.js';
import type { Chattering } from './stability.js';

/**
 * @param wearFactor  force of the edge over that of a sharp one
 */
export function chattering(
  machine: Machine,
  cutter: RingingCutter,
  material: ChipLaw,
  wearFactor: number,
  slowestRpm: number,
): Chattering {
  return {
    modes: tipModes(machine, cutter),
    cutter,
    slope: likelySlope(material),
    slopeFactor: SLOPE_FACTOR,
    processDampingNPerMm: {
      median: processDampingNPerMm(material, landMm(wearFactor)),
      factor: DAMPING_FACTOR,
    },
    slowestRpm,
  };
}

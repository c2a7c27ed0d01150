import {
  type ChainFigureName,
  chainDoubts,
  isDoublePitch,
  findChain,
  knownFigureMm,
} from '../profile/chain/chains.js';
import type { JobValues } from './schema.js';
import type { CutFor, JobChain, WheelCut } from '../model/job.js';

/** Fewer pitches than this make a span a poor measure of the pitch: caliper error over the count. */
const FEW_PITCHES = 5;

/** How a wheel for a double-pitch chain is cut where nothing is said: in every place, so that an odd
 *  count wears twice as long, unless the rollers are too large for that. */
export function usualCut(pitchMm: number, rollerDiameterMm: number): WheelCut {
  return rollerDiameterMm < pitchMm / 2 ? 'double' : 'single';
}

/**
 * Chain of a job from the table; a double-pitch one is not on its wheel yet (profile/wheel/cut.ts).
 * @throws UnknownChainError
 */
export function chainFromTable(designation: string, elongation: number): JobChain {
  const row = findChain(designation);
  const used: ChainFigureName[] = ['pitchMm', 'rollerDiameterMm', 'innerWidthMm'];
  const pitchMm = knownFigureMm(row, 'pitchMm');
  const rollerDiameterMm = knownFigureMm(row, 'rollerDiameterMm');
  return {
    designation: row.designation,
    pitchMm,
    doublePitch: isDoublePitch(row) ? { pitchMm, cut: usualCut(pitchMm, rollerDiameterMm) } : null,
    rollerDiameterMm,
    innerWidthMm: knownFigureMm(row, 'innerWidthMm'),
    pinDiameterMm: row.pinDiameterMm.value,
    plateDepthMm: row.plateDepthMm.value,
    minTensileN: row.minTensileN.value,
    elongation,
    doubts: chainDoubts(row, used),
    source: row.source,
  };
}

/**
 * Chain of a job as measured: span over count is the pitch with its wear, `elongation` how much of it
 * that is. A wheel for a new chain is cut for the pitch without it; one for the worn chain for the
 * pitch as it is, and then there is no wear left to reckon with.
 */
export function chainFromMeasure(
  measured: NonNullable<JobValues['chain']['measured']>,
  elongation: number,
  cutFor: CutFor,
): JobChain {
  const { span, pitches } = measured;
  const forNew = cutFor === 'new-chain';
  const pitchMm = span / pitches;
  const doubts =
    pitches < FEW_PITCHES
      ? [`The pitch is measured over ${pitches} only; measure over ten or more pitches.`]
      : [];
  return {
    designation: null,
    pitchMm: forNew ? pitchMm / (1 + elongation) : pitchMm,
    rollerDiameterMm: measured['roller-diameter'],
    innerWidthMm: measured['inner-width'],
    pinDiameterMm: measured['pin-diameter'] ?? null,
    plateDepthMm: measured['plate-depth'] ?? null,
    minTensileN: measured['breaking-load'] ?? null,
    elongation: forNew ? elongation : 0,
    doubts,
    source: `measured, span over ${pitches} pitches`,
  };
}

import {
  type ChainFigureName,
  chainDoubts,
  findChain,
  knownFigureMm,
} from '../profile/chain/chains.js';
import type { JobValues } from './schema.js';
import type { JobChain } from '../model/job.js';

/** Fewer pitches than this make a span a poor measure of the pitch: caliper error over the count. */
const FEW_PITCHES = 5;

/**
 * Chain of a job from the table.
 * @throws UnknownChainError
 */
export function chainFromTable(designation: string, elongation: number): JobChain {
  const row = findChain(designation);
  const used: ChainFigureName[] = ['pitchMm', 'rollerDiameterMm', 'innerWidthMm'];
  return {
    designation: row.designation,
    pitchMm: knownFigureMm(row, 'pitchMm'),
    rollerDiameterMm: knownFigureMm(row, 'rollerDiameterMm'),
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
 * Chain of a job as measured: the pitch is the span over the count, wear and all, so `elongation`
 * is what comes on top of it.
 */
export function chainFromMeasure(
  measured: NonNullable<JobValues['chain']['measured']>,
  elongation: number,
): JobChain {
  const { span, pitches } = measured;
  const doubts =
    pitches < FEW_PITCHES
      ? [`The pitch is measured over ${pitches} only; measure over ten or more pitches.`]
      : [];
  return {
    designation: null,
    pitchMm: span / pitches,
    rollerDiameterMm: measured['roller-diameter'],
    innerWidthMm: measured['inner-width'],
    pinDiameterMm: measured['pin-diameter'] ?? null,
    plateDepthMm: measured['plate-depth'] ?? null,
    minTensileN: measured['breaking-load'] ?? null,
    elongation,
    doubts,
    source: `measured, span over ${pitches} pitches`,
  };
}

/**
 * Slips of measuring that make a chain of the table look like none of it: a span from the outside of
 * one roller to the outside of the other (one roller too long) or between the rollers (one too
 * short), and a count that is one out.
 */
import { type Candidate, identifyChain } from './identify.js';
import type { WornChain } from './model.js';

export type Slip = 'span-outside' | 'span-between' | 'count-high' | 'count-low';

export interface LikelySlip {
  readonly slip: Slip;
  /** What it would be with the slip put right. */
  readonly candidate: Candidate;
}

export const SLIP_WORDS: Readonly<Record<Slip, string>> = {
  'span-outside': 'the span was taken over the outsides of the rollers: take one roller off it',
  'span-between': 'the span was taken between the rollers: add one roller to it',
  'count-high': 'one pitch too many was counted',
  'count-low': 'one pitch too few was counted',
};

/** Slips that would explain measurements which nothing fits, the best explanation first. */
export function likelySlips(worn: WornChain): readonly LikelySlip[] {
  return repaired(worn)
    .flatMap(({ slip, chain }) => {
      const found = identifyChain(chain);
      const [candidate] = found.candidates;
      // The slip has to explain all figures, not only the span.
      const good = found.fits && candidate?.deviations.every((d) => d.offBySd < 2);
      return good && candidate ? [{ slip, candidate }] : [];
    })
    .sort((a, b) => b.candidate.probability - a.candidate.probability);
}

function repaired(worn: WornChain): { slip: Slip; chain: WornChain }[] {
  const roller = worn.figures.rollerDiameter?.valueMm;
  const span = (by: number): WornChain => ({
    ...worn,
    span: { ...worn.span, valueMm: worn.span.valueMm + by },
  });
  const out: { slip: Slip; chain: WornChain }[] = [
    { slip: 'count-low', chain: { ...worn, pitches: worn.pitches + 1 } },
  ];
  if (worn.pitches > 1) {
    out.push({ slip: 'count-high', chain: { ...worn, pitches: worn.pitches - 1 } });
  }
  if (roller !== undefined) {
    out.push({ slip: 'span-between', chain: span(roller) });
    if (worn.span.valueMm > roller) out.push({ slip: 'span-outside', chain: span(-roller) });
  }
  return out;
}

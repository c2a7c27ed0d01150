/** What an inspection found, in words. */
import type { Finding } from '../profile/inspect/inspect.js';

export const OUTCOMES = {
  good: 'Good: everything measured is inside its limits.',
  file: 'Not yet: what is outside can be taken away.',
  scrap: 'Not to be saved by taking metal away.',
  measure: 'Not known: it hangs on a reading that is too coarse to tell. Measure again, finer.',
} as const;

export function verdictText(f: Finding, mm: (value: number) => string): string {
  const { minMm, maxMm } = f.limits;
  const range = minMm === 0 ? `at most ${mm(maxMm)}` : `${mm(minMm)} to ${mm(maxMm)}`;
  if (f.verdict === 'outside') {
    const side = f.beyondMm > 0 ? 'over' : 'under';
    const sure = f.unsure ? ', perhaps only by the error of measuring' : '';
    return `${mm(Math.abs(f.beyondMm))} ${side} (${range})${sure}`;
  }
  const doubt = f.verdict === 'doubtful' ? ', but by less than the reading can tell' : '';
  return `inside (${range})${doubt}`;
}

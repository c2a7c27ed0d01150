/** How likely a cut is to reach its end, in words: the one place for text, sheet and page. */
import type { Job, PlanSummary } from '../model/job.js';

type Predicted = PlanSummary['predicted'];

/** Less than this is not worth ten minutes. min */
const WORTH_MIN = 1;

/** "98.3 %": never 100 where something can go wrong. */
function chance(p: number): string {
  if (p > 0.999) return 'over 99.9 %';
  if (p > 0 && p < 0.001) return 'under 0.1 %';
  return `${(100 * p).toFixed(p > 0.9 || p < 0.1 ? 1 : 0)} %`;
}

const ENDS: Readonly<Record<keyof Predicted['finishParts'], string>> = {
  drive: 'lost steps',
  cutter: 'a broken cutter',
  edge: 'a worn-out edge',
  other: 'what has nothing to do with force',
};

/** The odds, what they rest on and what would better them. One sentence each. */
export function oddsSentences(job: Pick<Job, 'machine'>, predicted: Predicted): string[] {
  const { finishProbability, finishProbabilityBand: band, finishParts, worth } = predicted;
  const parts = Object.entries(finishParts) as [keyof Predicted['finishParts'], number][];
  const [worst, holds] = parts.reduce((a, b) => (b[1] < a[1] ? b : a));
  const guessed = worth.pullTestMin !== null;
  return [
    `It reaches its end with a chance of ${chance(finishProbability)} as far as is known (${chance(band[0])} to ${chance(band[1])}); what is likeliest to end it is ${ENDS[worst]} (${chance(1 - holds)}).`,
    `On ${Math.round(100 * predicted.chatterProbability)} of 100 machines like this it chatters: that is heard, spoils edge and wall, and seldom ends the cut.`,
    `${guessed ? 'Thrust is guessed from the profile' : 'Thrust was measured'}${worth.tapMin === null ? '' : ', what rings too'}: ${measuringWords(worth)}`,
  ];
}

function measuringWords({ pullTestMin, tapMin }: Predicted['worth']): string {
  const worth: string[] = [];
  if (pullTestMin !== null && pullTestMin >= WORTH_MIN) {
    worth.push(`a pull test of ten minutes could save ${pullTestMin.toFixed(0)} min of this cut`);
  }
  if (tapMin !== null && tapMin >= WORTH_MIN) {
    worth.push(`taps on spindle and cutter, recorded, could save ${tapMin.toFixed(0)} min of it`);
  }
  if (worth.length > 0) return `${worth.join('; ')}.`;
  return 'measuring more would not make this cut quicker.';
}

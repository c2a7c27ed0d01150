/** How likely a cut is to reach its end, in words: the one place for text, sheet and page. */
import type { PlanSummary } from '../model/job.js';
import { percent, plural } from '../text/show.js';

type Predicted = PlanSummary['predicted'];

/** Less than this is not worth ten minutes. min */
const WORTH_MIN = 1;

const ENDS: Readonly<Record<keyof Predicted['finishParts'], string>> = {
  drive: 'lost steps',
  cutter: 'a broken cutter',
  edge: 'a worn-out edge',
  other: 'what has nothing to do with force',
};

/** "a worn-out edge (1.7 %)": what is likeliest to end a cut. */
export function likeliestEnd(finishParts: Predicted['finishParts']): string {
  const parts = Object.entries(finishParts) as [keyof Predicted['finishParts'], number][];
  const [worst, holds] = parts.reduce((a, b) => (b[1] < a[1] ? b : a));
  return `${ENDS[worst]} (${percent(1 - holds)})`;
}

/** The odds, what they rest on and what would better them. One sentence each. */
export function oddsSentences(predicted: Predicted): string[] {
  const { finishProbability, finishProbabilityBand: band, worth } = predicted;
  const bore = predicted.boreFinishProbability;
  const rings =
    predicted.restsOn.thrust === 'profile'
      ? ', what rings too'
      : ', what rings is guessed from the profile';
  return [
    `It reaches its end with a chance of ${percent(finishProbability)} as far as is known (${percent(band[0])} to ${percent(band[1])}); what is likeliest to end it is ${likeliestEnd(predicted.finishParts)}.`,
    ...(bore === undefined ? [] : [`The program of the bore, before it: ${percent(bore)}.`]),
    `On ${Math.round(100 * predicted.chatterProbability)} of 100 machines like this it chatters: that is heard, spoils edge and wall, and seldom ends the cut.`,
    `${thrustWords(predicted.restsOn)}${worth.tapMin === null ? '' : rings}: ${measuringWords(worth)}`,
    ...edgeSentence(predicted),
  ];
}

/** Which edge is taken at the start, where it is not a matter of course. */
function edgeSentence({ edgeServedLives, edgeInLives, edgeLivesEach }: Predicted): string[] {
  if (edgeInLives === 0) return [];
  return edgeServedLives > 0
    ? [
        `It begins with an edge that has served ${percent(edgeServedLives)} of its life, and ${percent(edgeLivesEach)} by its end.`,
      ]
    : [`It begins with a new edge: the one before has served ${percent(edgeInLives)} of its life.`];
}

const THRUST_FROM: Readonly<Record<Predicted['restsOn']['thrust'], string>> = {
  profile: 'Thrust is guessed from the profile',
  stated: 'Thrust is what the machine file states without a source',
  measured: 'Thrust was measured',
  log: 'Thrust is known from a log',
};

/** Where the thrust is from, that the odds of lost steps rest on. */
export function thrustWords({ thrust, log }: Predicted['restsOn']): string {
  if (log === null) {
    return THRUST_FROM[thrust];
  }
  const { runs, losses, pulled, file } = log;
  const lost = losses === 0 ? '' : `, ${losses} of them lost`;
  const logged = runs === 0 ? '' : `${plural(runs, 'logged run')}${lost}`;
  const pull = pulled === null ? '' : `a pull test of ${pulled}`;
  const from = [pull, logged].filter(Boolean).join(' and ');
  return `Thrust is known from ${from} (${file})`;
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

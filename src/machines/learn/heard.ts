/**
 * What a howl, or a cut without one, says of a machine: which of the machines that it may be it is.
 *
 * Machines are drawn as they are for a choice (stiffness, frequency and damping of each mode, slope of
 * the force, process damping; `spread`), and each is weighed by how likely it would have been heard as
 * it was (Bayes):
 *
 *   quiet     1 - P                        P probability of chatter in that cut
 *   chatter   P N(ln pitch; ln f, 5 %)     f the frequency at which it begins to, where a pitch is known
 *
 * each with a chance of a mistake. Where a pitch is known, half of the machines are drawn with one of
 * their modes near it and the weights say so (importance sampling). As many as stand for a machine are
 * then taken in proportion to their weights (systematic resampling). What is drawn are scores, so that
 * a cut with another cutter or in another material teaches, too, and a tap later on is not counted
 * twice. Source: any text on Bayesian computation.
 */
import { radFromDeg } from '../../maths/angle.js';
import { exp, log } from '../../maths/elementary.js';
import { normalDensity } from '../../maths/normal.js';
import { mean, sum } from '../../maths/sample.js';
import type { HeardCut, Machine } from '../../model/machine.js';
import { chattering } from '../bear/chattering.js';
import { type TipModes, tipModes } from '../bear/modes.js';
import { allModes } from '../bear/response.js';
import { type Scores, normalScores } from '../bear/spread.js';
import {
  MEMBERS,
  chatterProbability,
  figuresOf,
  stabilitySetup,
  stableDepths,
} from '../bear/stability.js';
import type { LoggedRun } from './evidence.js';
import { MOST_HEARD } from './heard-fields.js';

/** Machines that are weighed. */
const CANDIDATES = 1024;
/** A mode lies this close under the pitch of its howl, as a sigma of the logarithm: chatter begins some
 *  way above the mode. Only how well the draws fit depends on it. */
const NEAR_SIGMA = 0.08;
/** How well a pitch is told, as a sigma of the logarithm: most of a semitone. Common practice, no
 *  source. */
const PITCH_SIGMA = 0.05;
/** Chance that a machine howls where `stability` says that it does not, or the other way round: of 200
 *  sampled machines simulated in time, 20 of 159 said to be quiet howled, 12 of 41 said to howl did not.
 *  What an ear gets wrong is little beside it. */
const MISTAKEN = 0.12;
/** Chance that a pitch is an overtone or what the table makes of it. Common practice, no source. */
const OTHER_PITCH = 0.1;
/** Pitches that anything may have. Hz */
const PITCHES = { low: 50, high: 20_000 } as const;

/** The machine with what its log has heard, and what was known before. */
export function withHeard(machine: Machine, runs: readonly LoggedRun[]): Machine {
  const logged = runs.flatMap(({ heard }) => (heard === undefined ? [] : [heard]));
  const known = new Set(logged.map(keyOf));
  const own = (machine.heard ?? []).filter((cut) => !known.has(keyOf(cut)));
  const all = [...own, ...logged].slice(-MOST_HEARD);
  return all.length === 0 ? machine : { ...machine, heard: all };
}

/** The same for the same cut, whatever the order of its figures. */
function keyOf(cut: HeardCut): string {
  const sorted = (figures: object): string => JSON.stringify(Object.entries(figures).sort());
  return sorted({ ...cut, cutter: sorted(cut.cutter) });
}

/** Those of the last machines asked about: a plan asks some ten times for one or two. */
const believed = new Map<string, Scores>();
const MOST_KEPT = 8;

/** Scores of the machines that this one may be, after what was heard; undefined where nothing was. */
export function scoresOf(machine: Machine): Scores | undefined {
  const heard = machine.heard ?? [];
  if (heard.length === 0) return undefined;
  const key = JSON.stringify(heard.map((cut) => [cut, tipModes(machine, cut.cutter)]));
  const known = believed.get(key);
  if (known) return known;
  const made = resampled(...weighed(machine, heard), MEMBERS);
  if (believed.size >= MOST_KEPT) believed.clear();
  believed.set(key, made);
  return made;
}

/** Candidates and their weights. */
function weighed(machine: Machine, heard: readonly HeardCut[]): [Scores, Float64Array] {
  const { scores, lnWeight } = candidates(machine, heard);
  const pitchHz = new Float64Array(CANDIDATES);
  for (const cut of heard) {
    const { cutter, wearFactor, spindleRpm } = cut;
    const about = chattering(machine, cutter, cut, wearFactor, spindleRpm);
    const depths = stableDepths(
      stabilitySetup({ ...about, scores }),
      {
        rpm: spindleRpm,
        phiRad: radFromDeg(cut.engagementDeg),
        feedPerToothMm: cut.feedPerToothMm,
      },
      undefined,
      pitchHz,
    );
    depths.forEach((_, m) => {
      const chatters = chatterProbability(depths.subarray(m, m + 1), cut.axialDepthMm);
      lnWeight[m]! += log(likelihood(cut, chatters, pitchHz[m]!));
    });
  }
  const most = lnWeight.reduce((a, b) => Math.max(a, b), -Infinity);
  return [scores, lnWeight.map((ln) => exp(ln - most))];
}

/** Chance to hear what was heard of a machine that chatters so likely, at a pitch. */
function likelihood({ sound, pitchHz }: HeardCut, chatters: number, ownHz: number): number {
  const howls = MISTAKEN + (1 - 2 * MISTAKEN) * chatters;
  if (sound === 'quiet') return 1 - howls;
  if (pitchHz === undefined) return howls;
  const anything = 1 / log(PITCHES.high / PITCHES.low);
  const own = ownHz > 0 ? normal(log(pitchHz), log(ownHz), PITCH_SIGMA) : anything;
  const told = (1 - OTHER_PITCH) * own + OTHER_PITCH * anything;
  return MISTAKEN * anything + (1 - 2 * MISTAKEN) * chatters * told;
}

function normal(x: number, mean: number, sigma: number): number {
  return normalDensity((x - mean) / sigma) / sigma;
}

/** Machines as drawn without evidence; where pitches are known every other one has a mode near one. */
function candidates(machine: Machine, heard: readonly HeardCut[]) {
  const modesOf = (cut: HeardCut): TipModes => tipModes(machine, cut.cutter);
  const scores = normalScores(figuresOf(modesOf(heard[0]!)), CANDIDATES);
  const lnWeight = new Float64Array(CANDIDATES);
  /** Where a mode has to be for a pitch: which figure, and its score. */
  const near = heard.flatMap((cut) => {
    const { pitchHz } = cut;
    if (pitchHz === undefined) return [];
    return allModes(modesOf(cut)).map(({ frequencyHz: { median, factor } }, mode) => {
      const perLn = 1 / log(factor);
      const mean = log(pitchHz / median) * perLn;
      return { figure: 3 * mode + 1, mean, sigma: NEAR_SIGMA * perLn };
    });
  });
  if (near.length === 0) return { scores, lnWeight };
  for (let m = 0; m < CANDIDATES; m++) {
    if (m % 2 === 1) {
      const { figure, mean, sigma } = near[((m - 1) / 2) % near.length]!;
      scores[figure]![m] = mean + sigma * scores[figure]![m]!;
    }
    const ratios = near.map(({ figure, mean, sigma }) => {
      const z = scores[figure]![m]!;
      return normal(z, mean, sigma) / normalDensity(z);
    });
    lnWeight[m] = -log(0.5 + 0.5 * mean(ratios));
  }
  return { scores, lnWeight };
}

/** As many machines, each as often as its weight says. */
function resampled(scores: Scores, weight: Float64Array, members: number): Scores {
  const total = sum(weight);
  const taken: number[] = [];
  let reached = 0;
  weight.forEach((w, m) => {
    reached += w;
    while (taken.length < members && (taken.length + 0.5) / members <= reached / total)
      taken.push(m);
  });
  return scores.map((values) => Float64Array.from(taken, (m) => values[m]!));
}

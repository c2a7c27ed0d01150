/**
 * Synthetic machines with hidden thrust limits: what is learned from their runs, and what that is
 * worth against the habit of halving the feed after a loss.
 *
 * The machines lose steps by their own rules, written here from the description of the model with
 * exact distribution functions and no grid; the owner only sees what a person would.
 */
import { OTHER_LOSSES_PER_HOUR } from '../../src/machines/bear/odds.js';
import type { AxisLoads } from '../../src/machines/learn/load-history.js';
import { NO_LOAD, addTallies, tallyOf, forceOfBin } from '../../src/machines/learn/load-history.js';
import { MOMENT_S, MOMENT_SIGMA, RUN_SIGMA } from '../../src/machines/learn/posterior-model.js';
import { logNormalCdf } from '../../src/maths/normal.js';
import {
  type Evidence,
  type Posterior,
  type ThrustPrior,
  finishProbability,
  limitBand,
  priorPosterior,
  updatePosterior,
} from '../../src/machines/learn/posterior.js';
import { type StudyProgram, scaledLoads } from './learning-programs.js';
import { type Random, seeded } from './random.js';

/** How the machines really are; the owner's model is always the one of the tool. */
export interface Truth {
  readonly prior: ThrustPrior;
  readonly runSigma: number;
  readonly momentSigma: number;
  readonly otherPerHour: number;
}

export interface StudySetting {
  readonly machines: number;
  readonly seed: number;
  /** Programs planned at rising forces. */
  readonly family: readonly StudyProgram[];
  /** The profile's own program, and the same with its feeds halved once, twice, ... */
  readonly halved: readonly StudyProgram[];
  /** What the owner believes before any run. */
  readonly prior: ThrustPrior;
  readonly truth: Truth;
  readonly risk: number;
  readonly runs: number;
  /** Which streams of events to follow, and whether to compare habits. */
  readonly streams: readonly Stream[];
  readonly compareHabits: boolean;
}

/** mixed: the profile's program, a ladder, then programs planned again after each run. ladders:
 *  ladders only. programs: programs only, planned again after each run. */
export type Stream = 'mixed' | 'ladders' | 'programs';

interface Hidden {
  readonly x: number;
  readonly y: number;
}

interface Outcome {
  readonly evidence: Evidence;
  readonly lost: boolean;
  /** Whether force did it. */
  readonly byForce: boolean;
  /** Time run until the end or until the loss was noticed. min */
  readonly min: number;
}

/** ln of the probability that a machine survives loads, exactly. */
function survivalLog(loads: AxisLoads['x'], limitN: number, sigma: number): number {
  let sum = 0;
  for (const [bin, s] of loads) {
    const z = Math.log(limitN / forceOfBin(bin)) / sigma;
    if (z < 8) sum += (s / MOMENT_S) * logNormalCdf(z);
  }
  return sum;
}

/** Runs stretches one after another on a machine. The owner notices a loss at a stretch's end. */
function runStretches(
  hidden: Hidden,
  stretches: readonly { readonly min: number; readonly loads: AxisLoads }[],
  truth: Truth,
  random: Random,
): Outcome {
  const limit = {
    x: hidden.x * Math.exp(-truth.runSigma * random.normal()),
    y: hidden.y * Math.exp(-truth.runSigma * random.normal()),
  };
  let held: AxisLoads = { x: NO_LOAD, y: NO_LOAD };
  let min = 0;
  for (const { loads, min: length } of stretches) {
    min += length;
    const lostOn = (['x', 'y'] as const).filter(
      (axis) => random.even() >= Math.exp(survivalLog(loads[axis], limit[axis], truth.momentSigma)),
    );
    const byForce = lostOn.length > 0;
    let axis: 'x' | 'y' | 'z' | null = byForce
      ? lostOn[random.even() < 0.5 ? 0 : lostOn.length - 1]!
      : null;
    if (!byForce && random.even() < 1 - Math.exp((-truth.otherPerHour * length) / 60)) {
      axis = (['x', 'y', 'z'] as const)[Math.floor(3 * random.even())]!;
    }
    if (axis !== null) {
      // One owner in five does not find out which axis it was.
      const told = axis !== 'z' && random.even() < 0.2 ? null : axis;
      const evidence: Evidence = { outcome: 'lost', held, suspect: loads, axis: told };
      return { evidence, lost: true, byForce, min };
    }
    held = { x: addTallies(held.x, loads.x), y: addTallies(held.y, loads.y) };
  }
  return { evidence: { outcome: 'finished', held }, lost: false, byForce: false, min };
}

/** A program of the family, scaled to a force. */
class Family {
  private readonly programs: readonly StudyProgram[];
  constructor(programs: readonly StudyProgram[]) {
    this.programs = programs;
  }
  /** The program planned at or below a force, and what its forces are multiplied by. */
  private at(forceN: number): { program: StudyProgram; scale: number } {
    let program = this.programs[0]!;
    for (const one of this.programs) if (one.forceN <= forceN) program = one;
    const top = this.programs[this.programs.length - 1]!;
    // Beyond the strongest plan, chip and power decide, not force.
    return { program, scale: program === top ? 1 : forceN / program.forceN };
  }
  loads(forceN: number): AxisLoads {
    const { program, scale } = this.at(forceN);
    return scaledLoads(program.whole, scale);
  }
  stretches(forceN: number) {
    const { program, scale } = this.at(forceN);
    const slower = this.minutes(forceN) / program.totalMin;
    return program.blocks.map((block) => ({
      min: block.min * slower,
      loads: scaledLoads(block, scale),
    }));
  }
  /** Time of a program: straight in logarithms between the plans. */
  minutes(forceN: number): number {
    const list = this.programs;
    const f = Math.min(forceN, list[list.length - 1]!.forceN);
    let i = 0;
    while (i < list.length - 2 && list[i + 1]!.forceN < f) i++;
    const [a, b] = [list[i]!, list[i + 1]!];
    const share = Math.log(f / a.forceN) / Math.log(b.forceN / a.forceN);
    return a.totalMin * Math.pow(b.totalMin / a.totalMin, share);
  }
  /** Force of the strongest plan: more is of no use. */
  get topN(): number {
    return this.programs[this.programs.length - 1]!.forceN;
  }
  /** Greatest force at which the risk is no more than the one chosen. */
  forceFor(posterior: Posterior, risk: number): number {
    const risks = (forceN: number) => 1 - finishProbability(posterior, this.loads(forceN));
    let [lo, hi] = [Math.log(5), Math.log(this.topN)];
    if (risks(this.topN) <= risk) return this.topN;
    for (let i = 0; i < 12; i++) {
      const middle = (lo + hi) / 2;
      if (risks(Math.exp(middle)) <= risk) lo = middle;
      else hi = middle;
    }
    return Math.exp(lo);
  }
}

/** Rungs of a ladder: even steps of force on both axes alike, one axis after the other. */
const RUNG_RATIO = 1.15;
const RUNG_S = 6;

function ladderStretches(axis: 'x' | 'y', prior: ThrustPrior) {
  const rungs: { min: number; loads: AxisLoads }[] = [];
  for (let n = 0.25 * prior[axis].thrustN; n < 4 * prior[axis].thrustN; n *= RUNG_RATIO) {
    const tally = tallyOf([[n, RUNG_S]]);
    const loads = axis === 'x' ? { x: tally, y: NO_LOAD } : { x: NO_LOAD, y: tally };
    rungs.push({ min: 1, loads });
  }
  return rungs;
}

export interface LearningPoint {
  readonly events: number;
  /** Share of intervals from 5 to 95 % that hold the truth. */
  readonly coverage: number;
  /** Median of |median / truth - 1|. */
  readonly medianError: number;
  /** Mean of p95 / p5. */
  readonly meanBand: number;
  /** Share of programs planned at the chosen risk that lost steps by force. */
  readonly failed: number;
  /** The same among those in which force, and not chip or power, set the feed. */
  readonly failedBinding: number;
  readonly bindingShare: number;
}

export interface Habit {
  readonly name: string;
  /** Mean time at the machine for the parts wanted, min, and parts scrapped on the way. */
  readonly meanMin: number;
  readonly meanScrapped: number;
  /** Share of machines that never got there. */
  readonly gaveUp: number;
}

export interface StudyResult {
  readonly streams: Readonly<Partial<Record<Stream, readonly LearningPoint[]>>>;
  readonly habits: readonly Habit[];
}

/** Parts that each owner wants. */
export const PARTS = 5;
/** Time a ladder takes with its stops, and what fitting a new blank takes. min */
const LADDER_MIN = 30;
const SET_UP_MIN = 20;
const PATIENCE = 40;

export function learningStudy(setting: StudySetting): StudyResult {
  const family = new Family(setting.family);
  const { streams, compareHabits } = setting;
  return {
    streams: Object.fromEntries(streams.map((s) => [s, learnStream(setting, family, s)])),
    habits: compareHabits ? habits(setting, family) : [],
  };
}

function hiddenOf(truth: Truth, random: Random): Hidden {
  return {
    x: truth.prior.x.thrustN * Math.exp(truth.prior.x.sigma * random.normal()),
    y: truth.prior.y.thrustN * Math.exp(truth.prior.y.sigma * random.normal()),
  };
}

function learnStream(setting: StudySetting, family: Family, stream: Stream): LearningPoint[] {
  const { truth, prior, risk } = setting;
  const tallies = Array.from({ length: setting.runs + 1 }, () => ({
    inside: 0,
    errors: [] as number[],
    bands: 0,
    failed: 0,
    binding: 0,
    failedBinding: 0,
  }));
  const ladders = { x: ladderStretches('x', prior), y: ladderStretches('y', prior) };
  const start = priorPosterior(prior);
  const profile = programStretches(setting.halved[0]!);
  for (let m = 0; m < setting.machines; m++) {
    const random = seeded(setting.seed + 7919 * m);
    const hidden = hiddenOf(truth, random);
    let posterior = start;
    for (let event = 0; event <= setting.runs; event++) {
      const tally = tallies[event]!;
      for (const axis of ['x', 'y'] as const) {
        const { p5, p50, p95 } = limitBand(posterior, axis);
        if (hidden[axis] >= p5 && hidden[axis] <= p95) tally.inside++;
        tally.errors.push(Math.abs(p50 / hidden[axis] - 1));
        tally.bands += p95 / p5;
      }
      const forceN = family.forceFor(posterior, risk);
      const binding = forceN < family.topN * 0.999;
      const trial = runStretches(hidden, family.stretches(forceN), truth, random);
      tally.failed += trial.byForce ? 1 : 0;
      tally.binding += binding ? 1 : 0;
      tally.failedBinding += binding && trial.byForce ? 1 : 0;
      if (event === setting.runs) break;
      const ladderNow = stream === 'ladders' || (stream === 'mixed' && event === 1);
      if (ladderNow) {
        for (const axis of ['x', 'y'] as const) {
          const run = runStretches(hidden, ladders[axis], truth, random);
          posterior = updatePosterior(posterior, run.evidence, RUN_SIGMA).posterior;
        }
      } else {
        const run = event === 0 ? runStretches(hidden, profile, truth, random) : trial;
        posterior = updatePosterior(posterior, run.evidence, RUN_SIGMA).posterior;
      }
    }
  }
  return tallies.map((t, events) => ({
    events,
    coverage: t.inside / (2 * setting.machines),
    medianError: t.errors.sort((a, b) => a - b)[Math.floor(t.errors.length / 2)]!,
    meanBand: t.bands / (2 * setting.machines),
    failed: t.failed / setting.machines,
    failedBinding: t.binding > 0 ? t.failedBinding / t.binding : 0,
    bindingShare: t.binding / setting.machines,
  }));
}

function programStretches(program: StudyProgram) {
  return program.blocks.map((block) => ({
    min: block.min,
    loads: scaledLoads(block, 1),
  }));
}

/** The same machines under different habits: time at the machine for a number of good parts. */
function habits(setting: StudySetting, family: Family): Habit[] {
  const { truth, prior, risk } = setting;
  const halved = setting.halved.map(programStretches);
  const ladders = { x: ladderStretches('x', prior), y: ladderStretches('y', prior) };
  const start = priorPosterior(prior);
  type Turn = { stretches: ReturnType<typeof programStretches>; learn: (o: Outcome) => void };
  const owners: Readonly<
    Record<string, (hidden: Hidden, random: Random) => { firstMin: number; next: () => Turn }>
  > = {
    'halve the feed after a loss': () => {
      let times = 0;
      return {
        firstMin: 0,
        next: () => ({
          stretches: halved[Math.min(times, halved.length - 1)]!,
          learn: (o) => void (times += o.lost ? 1 : 0),
        }),
      };
    },
    'retune after each run': () => {
      let posterior = start;
      let first = true;
      return {
        firstMin: 0,
        next: () => {
          const stretches = first ? halved[0]! : family.stretches(family.forceFor(posterior, risk));
          first = false;
          return {
            stretches,
            learn: (o) =>
              void (posterior = updatePosterior(posterior, o.evidence, RUN_SIGMA).posterior),
          };
        },
      };
    },
    'ladder first, then retune': (hidden, random) => {
      let posterior = start;
      for (const axis of ['x', 'y'] as const) {
        const run = runStretches(hidden, ladders[axis], truth, random);
        posterior = updatePosterior(posterior, run.evidence, RUN_SIGMA).posterior;
      }
      return {
        firstMin: LADDER_MIN,
        next: () => ({
          stretches: family.stretches(family.forceFor(posterior, risk)),
          learn: (o) =>
            void (posterior = updatePosterior(posterior, o.evidence, RUN_SIGMA).posterior),
        }),
      };
    },
    'limit known': (hidden) => {
      const sure = priorPosterior({
        x: { thrustN: hidden.x, sigma: 0.01 },
        y: { thrustN: hidden.y, sigma: 0.01 },
      });
      const stretches = family.stretches(family.forceFor(sure, risk));
      return { firstMin: 0, next: () => ({ stretches, learn: () => {} }) };
    },
  };
  return Object.entries(owners).map(([name, owner]) => {
    let [minutes, scrapped, gaveUp] = [0, 0, 0];
    for (let m = 0; m < setting.machines; m++) {
      const random = seeded(setting.seed + 104729 * m + 1);
      const hidden = hiddenOf(truth, random);
      const { firstMin, next } = owner(hidden, random);
      minutes += firstMin;
      let [good, tries] = [0, 0];
      while (good < PARTS && tries < PATIENCE) {
        const turn = next();
        const outcome = runStretches(hidden, turn.stretches, truth, random);
        turn.learn(outcome);
        minutes += outcome.min + SET_UP_MIN;
        tries++;
        if (outcome.lost) scrapped++;
        else good++;
      }
      if (good < PARTS) gaveUp++;
    }
    const n = setting.machines;
    return { name, meanMin: minutes / n, meanScrapped: scrapped / n, gaveUp: gaveUp / n };
  });
}

/** The tool's own assumptions as the truth. */
export function asAssumed(prior: ThrustPrior): Truth {
  return {
    prior,
    runSigma: RUN_SIGMA,
    momentSigma: MOMENT_SIGMA,
    otherPerHour: OTHER_LOSSES_PER_HOUR,
  };
}

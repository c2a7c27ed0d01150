/**
 * Synthetic machines with hidden thrust limits in worlds that are as assumed and in some that are not:
 * what is learned from their runs, and how often programs planned at a risk lose steps.
 *
 * The machines lose steps by their own rules, written here from the description of the model with
 * exact distribution functions and no grid; the owner only sees what a person would.
 */
import { OTHER_LOSSES_PER_HOUR } from '../../src/machines/bear/odds.js';
import { MEASURED_SIGMA } from '../../src/machines/bear/spread.js';
import {
  type EvidenceLog,
  type LoggedRun,
  learn,
  newEvidenceLog,
} from '../../src/machines/learn/evidence.js';
import { type AxisLoads, forceOfBin } from '../../src/machines/learn/load-history.js';
import { MOMENT_S, MOMENT_SIGMA } from '../../src/machines/learn/posterior-model.js';
import { edgeToPlanWith, thrustToPlanWith } from '../../src/machines/learn/believed.js';
import type { Belief, LimitPrior } from '../../src/machines/learn/belief.js';
import { limitBand } from '../../src/machines/learn/posterior.js';
import {
  type RunSetting,
  type RunTables,
  runTables,
} from '../../src/machines/learn/run-evidence.js';
import { logNormalCdf, normalQuantile } from '../../src/maths/normal.js';
import { StudyFamily, type StudyProgram, sumOf } from './learning-programs.js';
import { examplePlan } from '../planned.js';
import type { Row } from './measure.js';
import { demandAtLoss } from './rehearsal.js';
import { finishes } from '../machines/finishes.js';
import { type Random, seeded } from '../machines/random.js';

/** How the machines really are; the owner's model is always the one of the tool. */
interface World {
  readonly name: string;
  readonly runs: number;
  /** Spread of a machine's runs, growth of force in a life of its edges. */
  readonly runSigma: (random: Random) => number;
  readonly growth: (random: Random) => number;
  /** Another bar from this run on; left out: one bar. */
  readonly newBarAt?: number;
  /** What pulls on this machine show over what its drives bear in a cut; left out: no pull test. */
  readonly pull?: ((random: Random) => number) | undefined;
  /** Pulls show the thrust, and cuts are borne as a drive simulated in time bears them. */
  readonly inTime?: boolean;
  /** The owner keeps no book of edges. */
  readonly edgeNotTold?: boolean;
  /** Planned as the tool plans, with one thrust and spread an axis and a new edge, and not by the whole
   *  belief. */
  readonly asTool?: boolean;
  /** An edge for each program, as plans take it. */
  readonly newEdges?: boolean;
  readonly momentSigma?: number;
  /** Median of the machines' thrust over their profile's. */
  readonly strength?: number;
}

/** Where a search for a program begins: exp(0.01 of it) newtons. */
const FIRST_LOOK = 450;

/** Four runs to a cutter, which is used up by then. */
const RUNS_A_CUTTER = 4;
const LIVES = 1 / RUNS_A_CUTTER;
/** Factor on the force of a sharp edge that the programs' loads have. */
const WEAR_FACTOR = 1.3;
const BAR_SIGMA = 0.2;

/** As the tool assumes them. */
const assumed: Pick<World, 'runSigma' | 'growth'> = {
  runSigma: (random) => 0.1 * Math.exp(0.5 * random.normal()),
  growth: (random) => 0.5 * Math.exp(0.6 * random.normal()),
};
/** Pulls that were read to 3 % each, three of them, of a thrust that running changes. */
const PULL_SIGMA = 0.03 / Math.sqrt(3);
const misread = (random: Random): number => Math.exp(PULL_SIGMA * random.normal());
const pulled = (random: Random): number =>
  Math.exp(MEASURED_SIGMA * random.normal()) * misread(random);

/** Three cutters. */
const RUNS = 3 * RUNS_A_CUTTER;

export const WORLDS: readonly (World & { readonly inTest?: boolean })[] = [
  { name: 'as assumed', runs: RUNS, ...assumed, inTest: true },
  { name: 'force of an edge grows 1.0 to 1.5', runs: RUNS, ...assumed, growth: () => 0.5 },
  {
    name: 'force of an edge grows 1.0 to 2.0',
    runs: RUNS,
    ...assumed,
    growth: () => 1,
    inTest: true,
  },
  {
    name: 'the same, no book kept of edges',
    runs: RUNS,
    ...assumed,
    growth: () => 1,
    edgeNotTold: true,
  },
  { name: 'another bar after 30 runs', runs: 31, newBarAt: 30, ...assumed },
  { name: 'runs scatter by 0.2', runs: RUNS, ...assumed, runSigma: () => 0.2, inTest: true },
  { name: 'moments scatter by 0.1', runs: RUNS, ...assumed, momentSigma: 0.1 },
  { name: 'planned by the tool, new edges', runs: RUNS, ...assumed, asTool: true, newEdges: true },
  {
    name: 'planned by the tool, new edges, pull test first',
    ...{ runs: RUNS, ...assumed, asTool: true, newEdges: true, pull: pulled },
  },
  { name: 'planned by the tool, edges used four times', runs: RUNS, ...assumed, asTool: true },
  { name: 'pull test first', runs: RUNS, ...assumed, pull: pulled },
  { name: 'pull test first, cuts borne as in time', runs: RUNS, ...assumed, inTime: true },
  {
    name: 'pull test that shows 1.5 times as much',
    ...{ runs: RUNS, ...assumed, pull: (random) => 1.5 * pulled(random) },
  },
  { name: 'machines 30 % weaker than their profile', runs: RUNS, ...assumed, strength: 0.7 },
];

interface StudySetting {
  readonly machines: number;
  readonly seed: number;
  readonly family: StudyFamily;
  readonly tables: Tables;
  /** What the owner believes before any run. */
  readonly prior: LimitPrior;
  readonly risk: number;
  /** Demand at which some drives simulated in time lose steps, over what a pull on them shows. */
  readonly inTime: () => readonly number[];
}

export interface WorldResult {
  readonly name: string;
  /** Share of runs that lose steps by force: of all, of the last of each cutter, of the first on
   *  another bar. */
  readonly lost: number;
  readonly lostLast: number;
  readonly lostNewBar: number | null;
  /** Share of intervals from 5 to 95 % that hold the truth in the end. */
  readonly coverage: number;
  /** Median of |median / truth - 1| in the end. */
  readonly medianError: number;
  /** Mean time of a program. min */
  readonly minutes: number;
}

interface Machine {
  readonly limitN: { readonly x: number; readonly y: number };
  /** What a pull would show but for its errors. */
  readonly pullN: { readonly x: number; readonly y: number };
  readonly runSigma: number;
  readonly growth: number;
}

/** ln of the probability that loads times a factor are held. */
function heldLog(loads: AxisLoads['x'], limitN: number, factor: number, sigma: number): number {
  let sum = 0;
  for (const [bin, s] of loads) {
    const z = Math.log(limitN / (forceOfBin(bin) * factor)) / sigma;
    if (z < 8) sum += (s / MOMENT_S) * logNormalCdf(z);
  }
  return sum;
}

interface Outcome {
  readonly held: AxisLoads;
  readonly suspect: AxisLoads | null;
  readonly axis: 'x' | 'y' | 'z' | null;
  /** Probability that force loses steps somewhere in the program, as the run's errors are. */
  readonly chance: number;
  readonly share: number;
}

/** A program on a machine, block by block. The owner notices a loss at a block's end. */
function runProgram(
  { limitN, runSigma, growth }: Machine,
  { blocks, whole }: StudyProgram,
  barFactor: number,
  beforeLives: number,
  momentSigma: number,
  random: Random,
): Outcome {
  const error = {
    x: Math.exp(runSigma * random.normal()),
    y: Math.exp(runSigma * random.normal()),
  };
  let ln = 0;
  let lostAt = -1;
  let axis: Outcome['axis'] = null;
  blocks.forEach(({ loads, min }, k) => {
    const lives = beforeLives + (LIVES * (k + 0.5)) / blocks.length;
    const factor = (barFactor * (1 + growth * lives)) / WEAR_FACTOR;
    const held = (['x', 'y'] as const).map((a) =>
      heldLog(loads[a], limitN[a], factor * error[a], momentSigma),
    );
    ln += held[0]! + held[1]!;
    if (lostAt >= 0) return;
    const on = (['x', 'y'] as const).filter((_, a) => random.even() >= Math.exp(held[a]!));
    if (on.length > 0) [lostAt, axis] = [k, on[on.length > 1 && random.even() < 0.5 ? 1 : 0]!];
    else if (random.even() < 1 - Math.exp((-OTHER_LOSSES_PER_HOUR * min) / 60)) {
      [lostAt, axis] = [k, (['x', 'y', 'z'] as const)[Math.floor(3 * random.even())]!];
    }
  });
  const chance = -Math.expm1(ln);
  if (lostAt < 0) {
    return { held: whole, suspect: null, axis: null, chance, share: 1 };
  }
  // One owner in five does not find out which axis it was.
  const told = axis !== 'z' && random.even() < 0.2 ? null : axis;
  const held = sumOf(blocks.slice(0, lostAt));
  const share = (lostAt + 1) / blocks.length;
  return { held, suspect: blocks[lostAt]!.loads, axis: told, chance, share };
}

/** Tables of programs, made once for all machines and worlds: they depend on the edge, and not on what is
 *  believed. */
class Tables {
  private readonly made = new Map<StudyProgram, Map<string, RunTables>>();

  of(belief: Belief, program: StudyProgram, next: RunSetting): RunTables {
    const own = this.made.get(program) ?? new Map<string, RunTables>();
    this.made.set(program, own);
    const key = `${next.edge?.beforeLives} ${next.edge?.tookLives} ${belief.x.first} ${belief.y.first}`;
    const known = own.get(key);
    if (known) return known;
    const made = runTables(belief, { ...next, outcome: 'finished', held: program.whole });
    // States of an edge after a loss are many, and seldom the same.
    if (own.size < 6 * RUNS_A_CUTTER) own.set(key, made);
    return made;
  }
}

export function studyWorld(world: World, setting: StudySetting): WorldResult {
  const { family, risk, tables } = setting;
  const all = { chance: 0, last: 0, lasts: 0, newBar: 0, minutes: 0, inside: 0 };
  const errors: number[] = [];
  for (let m = 0; m < setting.machines; m++) {
    const random = seeded(setting.seed + 7919 * m);
    const machine = machineOf(world, setting, random);
    let belief = startOf(world, setting, machine, random);
    const untaught = startOf(
      { ...world, pull: undefined, inTime: false },
      setting,
      machine,
      random,
    );
    let barFactor = Math.exp(BAR_SIGMA * random.normal());
    let lives = 0;
    let at = FIRST_LOOK;
    for (let r = 0; r < world.runs; r++) {
      if (r === world.newBarAt) barFactor = Math.exp(BAR_SIGMA * random.normal());
      if (world.newEdges || r % RUNS_A_CUTTER === 0) lives = 0;
      const bar = world.newBarAt !== undefined && r >= world.newBarAt ? 'B' : 'A';
      const edge = { beforeLives: lives, tookLives: LIVES, wearFactor: WEAR_FACTOR };
      const next = { material: 'steel', bar, edge: world.edgeNotTold ? null : edge };
      const found = family.hardest(
        world.asTool
          ? toolTakes(setting, { belief, untaught }, bar, lives)
          : (one) => 1 - finishes(belief, next, tables.of(belief, one, next)) <= risk,
        at,
      );
      const { program } = found;
      at = found.k;
      const moment = world.momentSigma ?? MOMENT_SIGMA;
      const outcome = runProgram(machine, program, barFactor, lives, moment, random);
      all.chance += outcome.chance;
      all.minutes += program.minutes;
      if (r % RUNS_A_CUTTER === RUNS_A_CUTTER - 1) {
        all.last += outcome.chance;
        all.lasts++;
      }
      if (r === world.newBarAt) all.newBar += outcome.chance;
      const took = LIVES * outcome.share;
      const had = { ...next, edge: next.edge && { ...next.edge, tookLives: took } };
      const { held, suspect, axis } = outcome;
      belief = suspect
        ? belief.with({ ...had, held, suspect, axis, otherHeld: false, outcome: 'lost' })
        : belief.with({ ...had, held, outcome: 'finished' }, tables.of(belief, program, next));
      lives += took;
    }
    for (const axis of ['x', 'y'] as const) {
      const { p5, p50, p95 } = limitBand(belief, axis);
      const truth = machine.limitN[axis];
      if (truth >= p5 && truth <= p95) all.inside++;
      errors.push(Math.abs(p50 / truth - 1));
    }
  }
  const n = setting.machines;
  return {
    name: world.name,
    lost: all.chance / (n * world.runs),
    lostLast: all.last / all.lasts,
    lostNewBar: world.newBarAt === undefined ? null : all.newBar / n,
    coverage: all.inside / (2 * n),
    medianError: errors.sort((a, b) => a - b)[Math.floor(errors.length / 2)]!,
    minutes: all.minutes / (n * world.runs),
  };
}

/** Whether the tool would plan a program: its peaks against the thrust and spread that plans have. */
function toolTakes(
  { prior, risk }: StudySetting,
  beliefs: { readonly belief: Belief; readonly untaught: Belief },
  bar: string,
  lives: number,
): (one: StudyProgram) => boolean {
  const next = { material: 'steel', bar, edge: edgeToPlanWith(lives, LIVES, WEAR_FACTOR) };
  const thrust = thrustToPlanWith({ x: prior, y: prior }, beliefs, next, risk);
  return ({ whole }) => {
    const lost = (['x', 'y'] as const).map((axis) => {
      const { middleN, leastN } = thrust[axis];
      const sigma = Math.log(middleN / leastN) / -normalQuantile(risk);
      const peakN = forceOfBin(Math.max(...whole[axis].map(([bin]) => bin)));
      return Math.exp(logNormalCdf(Math.log(peakN / middleN) / sigma));
    });
    return 1 - (1 - lost[0]!) * (1 - lost[1]!) <= risk;
  };
}

function machineOf(world: World, { prior, inTime }: StudySetting, random: Random): Machine {
  const thrust = () =>
    (world.strength ?? 1) * prior.thrustN * Math.exp(prior.sigma * random.normal());
  const pullN = { x: thrust(), y: thrust() };
  const some = world.inTime ? inTime() : [1];
  const borne = (): number => some[Math.floor(some.length * random.even())]!;
  const limitN = { x: borne() * pullN.x, y: borne() * pullN.y };
  return { limitN, pullN, runSigma: world.runSigma(random), growth: world.growth(random) };
}

/** What the owner believes before the first run. */
function startOf(
  { pull, inTime }: World,
  { prior }: StudySetting,
  { pullN }: Machine,
  random: Random,
): Belief {
  const shows = inTime ? misread : pull;
  const read = (axis: 'x' | 'y') => ({ thrustN: pullN[axis] * shows!(random), sigma: PULL_SIGMA });
  const log: EvidenceLog = {
    ...{ machine: 'synthetic', prior: { x: prior, y: prior }, priorFrom: 'its profile' },
    pulls: shows
      ? [{ date: '2026-05-03', limits: { x: read('x'), y: read('y') }, stiffnessNPerMm: {} }]
      : [],
    runs: [] as LoggedRun[],
  };
  return learn(log).after;
}

/** Drives that are simulated in time for the study. */
const IN_TIME = 120;

/** The study's owner, who cuts the example. */
export function ownerOf(machines: number): StudySetting {
  const { planned } = examplePlan('nursery-barrow');
  const { job, cam } = planned;
  const { process } = cam;
  const phiRad = process.planEngagementRad;
  const cut = {
    ...{ spindleRpm: process.spindleRpm, phiRad, depthMm: process.stepdownMm },
    feedMmPerMin: process.feed(phiRad),
  };
  let inTime: readonly number[] | null = null;
  return {
    ...{ machines, seed: 1, risk: 0.01, family: new StudyFamily(planned), tables: new Tables() },
    prior: newEvidenceLog(job.machine).prior.x,
    inTime: () => (inTime ??= demandAtLoss(job, cut, IN_TIME)),
  };
}

/**
 * Every world, a row each; all figures but minutes in per cent.
 * @param machines  in each world
 * @param named     only worlds with this in their name
 */
export function benchLearning(machines: number, named: string): Row[] {
  const setting = ownerOf(machines);
  return WORLDS.filter(({ name }) => name.includes(named)).map((world) => {
    const { name, lost, lostLast, lostNewBar, coverage, medianError, minutes } = studyWorld(
      world,
      setting,
    );
    const percent = (share: number | null) => (share === null ? null : 100 * share);
    return {
      world: name,
      'lost %': percent(lost),
      'last of a cutter %': percent(lostLast),
      'new bar %': percent(lostNewBar),
      'intervals that hold %': percent(coverage),
      'median error %': percent(medianError),
      'minutes a program': minutes,
    };
  });
}

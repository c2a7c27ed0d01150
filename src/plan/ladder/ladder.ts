/**
 * A step-loss test: straight passes along the sides of a scrap bar, each asking a little more thrust
 * of the axis it travels on than the one before.
 *
 * The passes are conventional, wall on the left hand: the force of a tooth where its chip is thickest
 * then points back along the travel (Ft cos t + Fr sin t) and hardly across it (Ft sin t - Fr cos t).
 * In climb it is the other way round, and the axis that stands still would be tested.
 *
 * Depth makes the steps. The force of a tooth goes with axial depth exactly, but with the feed only
 * as its (1 - mc)th power and hardly at all while runout is larger than the feed per tooth; so
 * engagement and feed are kept where a job has them, and the model's error is the same in both.
 * Each rung has a strip of the bar's side to itself: rungs go down the side one below the other.
 *
 *        trimmed wall |  | rung wall              side of the bar, seen along the travel
 *     Z0 -------------+--+#########
 *                     :  |#########   rung 1, ap1
 *                     :--|#########
 *                     :  |#########   rung 2, ap2 = 1.15 ap1 or so
 *                     :..|#########
 */
import { acos, cos, pow } from '../../maths/elementary.js';
import { plungeFeedMmPerMin } from '../../cam/process.js';
import { radFromDeg } from '../../maths/angle.js';
import { Refusal } from '../../model/refusal.js';
import { cutterForceN } from '../../machines/bear/cutter.js';
import { DriveLoad } from '../../machines/bear/drive-meter.js';
import { availablePowerW, chooseSpindleRpm } from '../../machines/bear/spindle.js';
import { chipCapMm } from '../../machines/load/chip.js';
import { feedForLimits } from '../../machines/load/feed.js';
import { type CutConditions, peakForce } from '../../machines/load/force.js';
import type { Belief } from '../../machines/learn/belief.js';
import { limitQuantilesN } from '../../machines/learn/posterior.js';
import type { LoadedAxis } from '../../machines/learn/run-evidence.js';
import { motionForceN, thrustAtN } from '../../machines/bear/thrust.js';
import type { Cutter, Machine, Material } from '../../model/machine.js';

export interface LadderInput {
  readonly machine: Machine;
  readonly material: Material;
  readonly cutter: Cutter;
  /** What is believed of the limits so far: sets where the ladder starts and ends. */
  readonly believed: Belief;
}

export interface Rung {
  /** From 1. */
  readonly rung: number;
  /** Axial depth of the rung, and the depth of its floor below the top of the bar. mm */
  readonly apMm: number;
  readonly zMm: number;
  /** What the cut asks of the travelling axis, and the greatest push of a tooth. N */
  readonly cutN: number;
  readonly resultantN: number;
  /** Thrust asked of the travelling axis, at standstill: what the evidence counts. N */
  readonly demandN: number;
}

export interface LadderPlan {
  readonly axis: LoadedAxis;
  readonly rungs: readonly Rung[];
  /** Ratio of thrust from rung to rung. */
  readonly ratio: number;
  readonly spindleRpm: number;
  readonly feedMmPerMin: number;
  /** Feed of trimming, which takes more at a time: the chip is as thick as in a rung. */
  readonly trimFeedMmPerMin: number;
  /** Depth that trimming takes at a time: it asks no more than the first rung. */
  readonly trimStepMm: number;
  readonly plungeFeedMmPerMin: number;
  readonly engagementRad: number;
  readonly radialDepthMm: number;
  readonly depthMm: number;
  /** Length and width of the bar, along X and Y. mm */
  readonly barMm: { readonly x: number; readonly y: number; readonly thicknessMm: number };
  /** Why the ladder ends where it does. */
  readonly endsBecause: 'limit' | 'cutter' | 'depth' | 'power';
  readonly conditions: Omit<CutConditions, 'axialDepthMm'>;
}

/** Edges in use, as jobs take them where they do not say. */
const WEAR_FACTOR = 1.3;
/** Ratio aimed at, and the coarsest that is still told apart. */
const RATIO = 1.15;
const COARSEST = 1.35;
/** The first rung loses steps with less than this probability; the last with more than that. */
const FIRST_RISK = 0.02;
const LAST_RISK = 0.98;
/** Engagement as a share of the machine's limit: what jobs rough at, so that peak and mean force
 *  stand in the same ratio; less only where the spindle would end the ladder much sooner. */
const ENGAGEMENT_SHARES = [0.9, 0.7, 0.5] as const;
const MUCH_FARTHER = 1.15;
/** Rungs that a ladder has at least, and how far above bare motion it begins. */
const FEWEST = 6;
const FIRST_OVER_MOTION = 1.25;
/** Bar that fits every light machine. mm */
const BAR = { x: 60, y: 40, below: 2, most: 25 } as const;

/** How far the bar's sides may be from where they should, as set by touching them. mm */
export const BAR_ERROR_MM = 0.15;
/** Trimmed wall inside the nominal side, reached in two passes. mm */
export const TRIM_MM = 0.45;

/** Most that a trimming pass is engaged over. */
export function trimEngagementRad(cutter: Cutter): number {
  const depth = TRIM_MM / 2 + BAR_ERROR_MM;
  return acos(Math.max(0, 1 - depth / (cutter.diameterMm / 2)));
}

/** @throws Refusal where no two rungs fit between what is sure to hold and what breaks */
export function planLadder(input: LadderInput, axis: LoadedAxis): LadderPlan {
  const { machine, material, cutter } = input;
  const conditions: Conditions = {
    material,
    cutter,
    runoutMm: machine.spindle.runoutMm,
    wearFactor: WEAR_FACTOR,
    spindleRpm: chooseSpindleRpm(machine, material, cutter).rpm,
  };
  const pass = ENGAGEMENT_SHARES.map((share) => reach(input, axis, conditions, share)).reduce(
    (a, b) => (b.ends[0]!.demandN > MUCH_FARTHER * a.ends[0]!.demandN ? b : a),
  );
  const firstN = firstDemandN(input, axis, pass);
  const { demands, ratio, endsBecause } = climb(cutter, pass, firstN);
  if (demands.length < 2) {
    const why = REFUSALS[endsBecause](input, firstN);
    throw new Refusal('no-ladder', `no ladder fits on ${axis.toUpperCase()}: ${why}`);
  }
  const rungs = rungsOf(demands, pass);
  const depthMm = rungs.reduce((sum, { apMm }) => sum + apMm, 0);
  const trim = passAt(input, axis, conditions, trimEngagementRad(cutter));
  return {
    ...{ axis, rungs, ratio, endsBecause, conditions, depthMm },
    spindleRpm: conditions.spindleRpm,
    feedMmPerMin: pass.feedMmPerMin,
    trimFeedMmPerMin: trim.feedMmPerMin,
    trimStepMm: Math.min(rungs[0]!.apMm, rungs[0]!.cutN / trim.along),
    plungeFeedMmPerMin: plungeFeedMmPerMin(machine),
    engagementRad: pass.engagementRad,
    radialDepthMm: (cutter.diameterMm / 2) * (1 - cos(pass.engagementRad)),
    barMm: { x: BAR.x, y: BAR.y, thicknessMm: Math.ceil(depthMm + BAR.below) },
  };
}

type Conditions = LadderPlan['conditions'];
type Pass = ReturnType<typeof reach>;

/** Axial depth at which a pass asks for a thrust; below 0 where moving alone asks for more. mm */
function depthFor({ scale, motionN, along }: Pass, demandN: number): number {
  return (demandN / scale - motionN) / along;
}

/** Where the cutter ends the ladder early it begins earlier too: rungs held are evidence as well. */
function firstDemandN(input: LadderInput, axis: LoadedAxis, pass: Pass): number {
  const { along, across, scale, motionN, ends } = pass;
  const other = axis === 'x' ? 'y' : 'x';
  const acrossEnd = limitQuantilesN(input.believed, other, [FIRST_RISK])[0]! / across;
  return Math.max(
    FIRST_OVER_MOTION * scale * motionN,
    Math.min(
      limitQuantilesN(input.believed, axis, [FIRST_RISK])[0]!,
      scale * (acrossEnd * along + motionN),
      ends[0]!.demandN / pow(RATIO, FEWEST - 1),
    ),
  );
}

/** Thrusts from the first to where the ladder ends, in coarser steps or fewer of them where their
 *  depths together would be more than flutes and bar have. */
function climb(cutter: Cutter, pass: Pass, firstN: number) {
  const deepest = Math.min(cutter.fluteLengthMm - 0.3, BAR.most - BAR.below);
  let { why: endsBecause, demandN: lastN } = pass.ends[0]!;
  let ratio: number = RATIO;
  const tooDeep = (): boolean => {
    const depths = steps(firstN, lastN, ratio).map((n) => Math.max(0, depthFor(pass, n)));
    return depths.reduce((a, b) => a + b, 0) > deepest;
  };
  while (ratio < COARSEST && tooDeep()) ratio += 0.01;
  while (lastN > firstN && tooDeep()) {
    lastN /= 1.02;
    endsBecause = 'depth';
  }
  return { demands: steps(firstN, lastN, ratio), ratio, endsBecause };
}

function rungsOf(demands: readonly number[], pass: Pass): Rung[] {
  const { along, perMm, scale, motionN } = pass;
  let zMm = 0;
  return demands.map((demandN, i) => {
    // Depths are written to a hundredth; what they ask for is worked out from that.
    const apMm = Math.max(0.01, Math.round(100 * depthFor(pass, demandN)) / 100);
    zMm -= apMm;
    return {
      rung: i + 1,
      apMm,
      zMm: Math.round(1000 * zMm) / 1000,
      cutN: apMm * along,
      resultantN: apMm * perMm.resultantN,
      demandN: scale * (apMm * along + motionN),
    };
  });
}

const REFUSALS: Readonly<
  Record<LadderPlan['endsBecause'], (input: LadderInput, firstN: number) => string>
> = {
  limit: () => 'moving the axis alone takes about all the thrust it is believed to have',
  cutter: ({ cutter }, firstN) =>
    `the cutter bears ${cutterForceN(cutter, 0).toFixed(0)} N and the first rung would ask ${firstN.toFixed(0)} N of thrust; take a thicker or a shorter one`,
  depth: ({ cutter }) =>
    `flutes of ${cutter.fluteLengthMm} mm are too short for two rungs; take a cutter with longer ones, or a bar of harder material`,
  power: () => 'the spindle has too little power for two rungs; take a smaller cutter',
};

/** A pass along the axis with the thickest chip that the material allows: feed, force of the teeth and
 *  demand on the drives, both per mm of axial depth. */
function passAt(
  { machine, material, cutter }: LadderInput,
  axis: LoadedAxis,
  conditions: Conditions,
  engagementRad: number,
) {
  const oneMm = { ...conditions, axialDepthMm: 1 };
  const { feedMmPerMin } = feedForLimits(oneMm, engagementRad, {
    chipCapMm: chipCapMm(material, cutter),
    forceLimitN: Infinity,
    maxFeedMmPerMin: machine.maxFeedMmPerMin,
  });
  const arc = [{ fromRad: 0, toRad: engagementRad }];
  const headingRad = axis === 'x' ? 0 : Math.PI / 2;
  const perMm = peakForce(oneMm, feedMmPerMin, arc, headingRad, false);
  const cut = { conditions: oneMm, feedMmPerMin, intervals: arc, climb: false };
  const { x, y } = new DriveLoad(machine).along(cut, [headingRad]);
  const [along, across] = axis === 'x' ? [x, y] : [y, x];
  return { feedMmPerMin, perMm, along, across };
}

/** How far a ladder can go at one engagement, and what ends it. */
function reach(input: LadderInput, axis: LoadedAxis, conditions: Conditions, share: number) {
  const { machine, cutter, believed } = input;
  const engagementRad = radFromDeg(share * machine.limits.maxEngagementDeg);
  const { feedMmPerMin, perMm, along, across } = passAt(input, axis, conditions, engagementRad);
  const scale = thrustAtN(machine, axis, 0) / thrustAtN(machine, axis, feedMmPerMin);
  const motionN = motionForceN(machine, axis);
  const demandAt = (apMm: number): number => scale * (apMm * along + motionN);
  const powerW = availablePowerW(machine, conditions.spindleRpm);
  const ends: { why: LadderPlan['endsBecause']; demandN: number }[] = [
    { why: 'limit', demandN: limitQuantilesN(believed, axis, [LAST_RISK])[0]! },
    { why: 'cutter', demandN: demandAt(cutterForceN(cutter, 0) / perMm.resultantN) },
    { why: 'power', demandN: demandAt(powerW / perMm.powerW) },
  ];
  ends.sort((a, b) => a.demandN - b.demandN);
  return { engagementRad, feedMmPerMin, perMm, along, across, scale, motionN, ends };
}

/** first, first q, first q^2, ... up to last. */
function steps(first: number, last: number, ratio: number): number[] {
  const list: number[] = [];
  for (let n = first; n <= last * (1 + 1e-9) && list.length < 40; n *= ratio) list.push(n);
  return list;
}

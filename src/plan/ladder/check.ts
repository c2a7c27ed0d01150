/**
 * Writes the program of a ladder, reads it back, replays it on the bar and measures every rung, so
 * that what the sheet says of a rung is what its lines do.
 */
import { hypot } from '../../maths/elementary.js';
import { demandLoads, opDemands } from '../../cam/demand.js';
import { readingWithinMm } from '../../cam/datum.js';
import { fullStepMm } from '../../machines/bear/motor.js';
import { findController } from '../../post/control/controllers.js';
import type { CanonicalOp } from '../../model/op.js';
import { degFromRad, radFromDeg } from '../../maths/angle.js';
import type { Program } from '../../post/plan.js';
import type { AcceptLimits } from '../accept.js';
import { prove } from '../prove.js';
import type { Start } from '../start.js';
import type { AxisLoads } from '../../machines/learn/load-history.js';
import { ladderToolpath, rungName } from './path.js';
import {
  BAR_ERROR_MM,
  type LadderInput,
  type LadderPlan,
  type Rung,
  planLadder,
  trimEngagementRad,
} from './ladder.js';
import { type LimitBand, finishProbability, limitBand } from '../../machines/learn/posterior.js';
import type { LoadedAxis } from '../../machines/learn/run-evidence.js';

/** One pass of the ladder, as measured in the replay. */
interface MeasuredRung {
  readonly name: string;
  readonly rung: Rung;
  readonly fromLine: number;
  readonly toLine: number;
  /** What the cut asks of the travelling axis at most, and engagement. */
  readonly peakN: number;
  readonly peakEngagementRad: number;
  /** Thrust asked for in this rung, with the ways to it and back. */
  readonly loads: AxisLoads;
}

export interface Ladder {
  readonly plan: LadderPlan;
  readonly program: Program;
  readonly rungs: readonly MeasuredRung[];
  /** Load of the trimming before the first rung. */
  readonly trimLoads: AxisLoads;
  readonly trimPeakN: number;
  readonly totalMin: number;
  readonly withinMm: number;
  /** Limit of the axis as believed before the ladder, and the probability that a rung is lost. */
  readonly believedN: LimitBand;
  readonly lossChance: number;
}

/** How far a rung's replayed force may be from its plan: rounding of feeds and places. */
const FORCE_TOLERANCE = 0.02;
const ENGAGEMENT_OVER_RAD = radFromDeg(1);

/**
 * A ladder on one axis, proved by its replay.
 * @param digest  marks the program; letters and digits
 * @throws Refusal where none fits; Error where the replay does not bear the plan out
 */
export function makeLadder(input: LadderInput, axis: LoadedAxis, digest: string): Ladder {
  const plan = planLadder(input, axis);
  const withinMm = readingWithinMm(fullStepMm(input.machine, axis));
  const { program, replay } = provedLadder(input, plan, withinMm, digest);
  const { ops } = program;
  const { loads } = replay;
  const demands = opDemands(ops, loads, input.machine);
  const marks = rungMarks(plan, program);
  const forces = axis === 'x' ? loads.driveXN : loads.driveYN;
  const peak = (values: Float64Array, first: number, end: number): number =>
    values.subarray(first, end).reduce((a, b) => Math.max(a, b), 0);
  const rungs = marks.map(({ first, ...mark }, k): MeasuredRung => {
    const end = marks[k + 1]?.first ?? ops.length;
    return {
      ...mark,
      toLine: ops[end - 1]!.line,
      peakN: peak(forces, first, end),
      peakEngagementRad: peak(loads.engagementRad, first, end),
      loads: demandLoads(demands, first, end - 1),
    };
  });
  const firstRung = marks[0]!.first;
  const all = demandLoads(demands, 0, ops.length - 1);
  const bar = { material: input.material.id, bar: null, edge: null };
  const ladder: Ladder = {
    ...{ plan, program, rungs, withinMm },
    trimLoads: demandLoads(demands, 0, firstRung - 1),
    trimPeakN: peak(forces, 0, firstRung),
    totalMin: demands.seconds.reduce((a, b) => a + b, 0) / 60,
    believedN: limitBand(input.believed, axis),
    lossChance: 1 - finishProbability(input.believed, all, bar),
  };
  holdToPlan(ladder);
  return ladder;
}

function provedLadder(input: LadderInput, plan: LadderPlan, withinMm: number, digest: string) {
  const { machine, cutter, material } = input;
  const toolpath = ladderToolpath(plan, cutter.diameterMm / 2, machine.spindle.spinUpS, withinMm);
  const controller = findController(machine.controller);
  return prove(toolpath, barStart(input, plan), limitsOf(input, plan), controller, {
    what: 'ladder',
    title: `Step-loss ladder on ${plan.axis.toUpperCase()}`,
    jobDigest: digest,
    before: [
      `machine ${machine.id}, material ${material.id}`,
      `cutter ${cutter.diameterMm} mm ${cutter.flutes} flutes, stick-out ${cutter.stickOutMm} mm`,
    ],
    after: [
      'zero: X Y middle of the bar, Z its top face',
      'end the ladder at the first reading that is off',
    ],
  });
}

/** Where each rung begins: the line of its heading, and the first operation there. */
function rungMarks(plan: LadderPlan, { sections, ops }: Program) {
  return sections.flatMap(({ head, fromLine }) => {
    if (head.kind !== 'rung') return [];
    const rung = plan.rungs[head.level - 1]!;
    const first = ops.findIndex((op) => op.line >= fromLine);
    return [{ name: rungName(plan, head.way, rung.rung), rung, fromLine, first }];
  });
}

/** Every rung as planned, and the trimming below the first. */
function holdToPlan(ladder: Ladder): void {
  const { plan, rungs } = ladder;
  for (const { name, rung, peakN, peakEngagementRad } of rungs) {
    if (Math.abs(peakN / rung.cutN - 1) > FORCE_TOLERANCE) {
      const found = `its replay finds ${peakN.toFixed(1)} N`;
      throw new Error(`rung ${name} is planned for ${rung.cutN.toFixed(1)} N, ${found}`);
    }
    if (peakEngagementRad > plan.engagementRad + ENGAGEMENT_OVER_RAD) {
      throw new Error(`rung ${name} is engaged further than planned`);
    }
  }
  if (ladder.trimPeakN > plan.rungs[0]!.cutN * (1 + FORCE_TOLERANCE)) {
    throw new Error(`trimming asks ${ladder.trimPeakN.toFixed(1)} N, more than the first rung`);
  }
}

/** What the replay of a ladder may find: its own rungs, judged one by one afterwards. */
function limitsOf({ cutter }: LadderInput, plan: LadderPlan): AcceptLimits {
  return {
    // Trimming takes its first half off a bar that may be larger than asked for.
    maxEngagementDeg: degFromRad(Math.max(plan.engagementRad, trimEngagementRad(cutter))),
    // Judged rung by rung.
    cutterForceN: Infinity,
    driveForceN: { x: Infinity, y: Infinity },
    chipCapMm: Infinity,
  };
}

/**
 * The bar. The replay's stock is a disc; the bar is what a run round it at full depth leaves of the
 * disc, as large as the bar may be.
 */
function barStart(input: LadderInput, plan: LadderPlan): Start {
  const r = input.cutter.diameterMm / 2;
  const { x, y, thicknessMm } = plan.barMm;
  const half = { x: x / 2 + BAR_ERROR_MM, y: y / 2 + BAR_ERROR_MM };
  const blankRadiusMm = hypot(half.x, half.y) + 0.5;
  const { material, cutter, runoutMm, wearFactor } = plan.conditions;
  return {
    stock: { kind: 'bar', xMm: x, yMm: y, thicknessMm },
    setup: {
      machine: input.machine,
      conditions: { material, cutter, runoutMm, wearFactor },
      blankRadiusMm,
      thicknessMm: plan.depthMm,
      holes: [],
      before: clearRound(half, r, blankRadiusMm, -plan.depthMm, plan.spindleRpm),
      field: null,
      outlinePoints: new Float64Array(0),
    },
  };
}

/** Rectangles round the bar that sweep everything outside it. */
function clearRound(
  half: { x: number; y: number },
  r: number,
  reach: number,
  zMm: number,
  spindleRpm: number,
): CanonicalOp[] {
  const corners: (readonly [number, number, number])[] = [[half.x + reach, half.y + reach, zMm]];
  for (let d = r; d < reach - Math.min(half.x, half.y) + 2 * r; d += 1.8 * r) {
    const [x, y] = [half.x + d, half.y + d];
    corners.push([x, y, zMm], [x, -y, zMm], [-x, -y, zMm], [-x, y, zMm], [x, y, zMm]);
  }
  return corners.slice(1).map((to, i) => {
    return { op: 'feed', line: 0, from: corners[i]!, to, feedMmPerMin: 100, spindleRpm };
  });
}

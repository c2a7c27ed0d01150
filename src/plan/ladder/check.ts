/**
 * Writes the program of a ladder, reads it back, replays it on the bar and measures every rung, so
 * that what the sheet says of a rung is what its lines do.
 */
import { demandLoads, opDemands } from '../../cam/demand.js';
import { readingWithinMm } from '../../cam/datum.js';
import { type ReplayReport, replay } from '../../cam/stock/replay.js';
import { loadsFrom } from '../../cam/stock/replay/report.js';
import { findController } from '../../post/control/controllers.js';
import { readProgram } from '../../post/rs274/reader.js';
import type { CanonicalOp } from '../../model/op.js';
import { type WrittenProgram, writeProgram } from '../../post/rs274/writer.js';
import type { AxisLoads } from '../../machines/learn/load-history.js';
import { WAYS, type Way, ladderToolpath, rungHeading, rungName } from './path.js';
import {
  BAR_ERROR_MM,
  type LadderInput,
  type LadderPlan,
  type Rung,
  planLadder,
} from './ladder.js';
import {
  type LimitBand,
  type LoadedAxis,
  finishProbability,
  limitBand,
} from '../../machines/learn/posterior.js';

/** One pass of the ladder, as measured in the replay. */
export interface MeasuredRung {
  readonly name: string;
  readonly way: Way;
  readonly rung: Rung;
  readonly fromLine: number;
  readonly toLine: number;
  /** Peak cutting force along the travelling axis, and engagement. */
  readonly peakN: number;
  readonly peakEngagementRad: number;
  /** Thrust asked for in this rung, with the ways to it and back. */
  readonly loads: AxisLoads;
}

export interface Ladder {
  readonly plan: LadderPlan;
  readonly program: WrittenProgram;
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
const ENGAGEMENT_OVER_RAD = Math.PI / 180;

/**
 * A ladder on one axis, proved by its replay.
 * @param digest  marks the program; letters and digits
 * @throws Refusal where none fits; Error where the replay does not bear the plan out
 */
export function makeLadder(input: LadderInput, axis: LoadedAxis, digest: string): Ladder {
  const plan = planLadder(input, axis);
  const withinMm = readingWithinMm(input.machine.fullStepMm[axis]);
  const { program, ops } = writeLadder(input, plan, withinMm, digest);
  const { loads } = replayOnBar(input, plan, ops);
  const demands = opDemands(ops, loads, input.machine);
  const marks = rungMarks(plan, program.text, ops);
  const forces = axis === 'x' ? loads.xN : loads.yN;
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
  const ladder: Ladder = {
    ...{ plan, program, rungs, withinMm },
    trimLoads: demandLoads(demands, 0, firstRung - 1),
    trimPeakN: peak(forces, 0, firstRung),
    totalMin: demands.seconds.reduce((a, b) => a + b, 0) / 60,
    believedN: limitBand(input.believed, axis),
    lossChance: 1 - finishProbability(input.believed, demandLoads(demands, 0, ops.length - 1)),
  };
  prove(ladder);
  return ladder;
}

/** The program, and the operations that its text reads back as. */
function writeLadder(input: LadderInput, plan: LadderPlan, withinMm: number, digest: string) {
  const { machine, cutter, material } = input;
  const { barMm } = plan;
  const controller = findController(machine.controller);
  const toolpath = ladderToolpath(plan, cutter.diameterMm / 2, machine.spindle.spinUpS, withinMm);
  const program = writeProgram(toolpath, controller, {
    title: `Step-loss ladder on ${plan.axis.toUpperCase()}`,
    jobDigest: digest,
    homed: false,
    notes: [
      `machine ${machine.id}, material ${material.id}`,
      `cutter ${cutter.diameterMm} mm ${cutter.flutes} flutes, stick-out ${cutter.stickOutMm} mm`,
      `bar ${barMm.x} x ${barMm.y} mm, at least ${barMm.thicknessMm} mm thick, X the long way`,
      'zero: X Y middle of the bar, Z its top face',
      'end the ladder at the first reading that is off',
    ],
  });
  const { ops, errors } = readProgram(program.text, { controller });
  const fault = errors[0];
  if (fault) throw new Error(`the ladder does not read back: ${fault.line}: ${fault.message}`);
  return { program, ops };
}

/** Where each rung begins: its heading's line, found by its text, and the first operation there. */
function rungMarks(plan: LadderPlan, text: string, ops: readonly CanonicalOp[]) {
  const lines = text.split('\n');
  return plan.rungs.flatMap((rung) =>
    WAYS.map((way) => {
      const heading = rungHeading(plan, way, rung);
      const fromLine = lines.findIndex((line) => line.includes(heading)) + 1;
      if (fromLine === 0) throw new Error(`no line of the ladder says ${heading}`);
      const first = ops.findIndex((op) => op.line >= fromLine);
      return { name: rungName(plan, way, rung.rung), way, rung, fromLine, first };
    }),
  );
}

/** Every rung as planned, and the trimming below the first. */
function prove(ladder: Ladder): void {
  const { plan, rungs } = ladder;
  for (const { name, rung, peakN, peakEngagementRad } of rungs) {
    if (Math.abs(peakN / rung.cutN - 1) > FORCE_TOLERANCE) {
      throw new Error(
        `rung ${name} is planned for ${rung.cutN.toFixed(1)} N, its replay finds ${peakN.toFixed(1)} N`,
      );
    }
    if (peakEngagementRad > plan.engagementRad + ENGAGEMENT_OVER_RAD) {
      throw new Error(`rung ${name} is engaged further than planned`);
    }
  }
  if (ladder.trimPeakN > plan.rungs[0]!.cutN * (1 + FORCE_TOLERANCE)) {
    throw new Error(`trimming asks ${ladder.trimPeakN.toFixed(1)} N, more than the first rung`);
  }
}

/**
 * Replays a ladder's operations on its bar. The replay's stock is a disc; the bar is what a run
 * round it at full depth leaves of the disc, as large as the bar may be.
 */
function replayOnBar(
  input: LadderInput,
  plan: LadderPlan,
  ops: readonly CanonicalOp[],
): ReplayReport {
  const r = input.cutter.diameterMm / 2;
  const half = { x: plan.barMm.x / 2 + BAR_ERROR_MM, y: plan.barMm.y / 2 + BAR_ERROR_MM };
  const blankRadiusMm = Math.hypot(half.x, half.y) + 0.5;
  const before = clearRound(half, r, blankRadiusMm, -plan.depthMm, plan.spindleRpm);
  const { material, cutter, runoutMm, wearFactor } = plan.conditions;
  const report = replay([...before, ...ops], {
    machine: input.machine,
    conditions: { material, cutter, runoutMm, wearFactor },
    blankRadiusMm,
    thicknessMm: plan.depthMm,
    holes: [],
    field: null,
    outlinePoints: new Float64Array(0),
  });
  const finding = report.findings.find((f) => f.line > 0);
  if (finding) throw new Error(`ladder line ${finding.line}: ${finding.text}`);
  return { ...report, loads: loadsFrom(report.loads, before.length) };
}

/** Rectangles round the bar that sweep everything outside it. */
function clearRound(
  half: { x: number; y: number },
  r: number,
  reach: number,
  zMm: number,
  spindleRpm: number,
): CanonicalOp[] {
  const ops: CanonicalOp[] = [];
  let at: readonly [number, number, number] = [half.x + reach, half.y + reach, zMm];
  const to = (x: number, y: number): void => {
    const next = [x, y, zMm] as const;
    ops.push({ op: 'feed', line: 0, from: at, to: next, feedMmPerMin: 100, spindleRpm });
    at = next;
  };
  for (let d = r; d < reach - Math.min(half.x, half.y) + 2 * r; d += 1.8 * r) {
    const [x, y] = [half.x + d, half.y + d];
    to(x, y);
    to(x, -y);
    to(-x, -y);
    to(-x, y);
    to(x, y);
  }
  return ops;
}

/** The likely moves of a loss, gathered into places that a person can look at. */
import { atan2 } from '../../maths/elementary.js';
import { fullStepMm } from '../../machines/bear/motor.js';
import { type Causes, likelyCauses } from '../../machines/learn/causes.js';
import type { LossSeen } from '../../machines/learn/evidence.js';
import { otherCause } from '../../machines/learn/posterior.js';
import type { Belief } from '../../machines/learn/belief.js';
import type { Lost, RunSetting } from '../../machines/learn/run-evidence.js';
import { type AxisName, LOADED_AXES } from '../../model/machine.js';
import { type OpRange, type ProgramRun, sectionOf, suspectMoves } from './run.js';

/** Moves in a row at one tooth gap of one section. */
interface LikelyPlace {
  readonly probability: number;
  readonly fromLine: number;
  readonly toLine: number;
  readonly section: string;
  /** Direction of the nearest tooth gap, counter-clockwise from +X. deg */
  readonly gapDeg: number;
  readonly fromMin: number;
  readonly toMin: number;
  /** Greatest thrust asked for in these moves. N */
  readonly peakN: number;
}

export interface LossCauses {
  /** Most likely first. */
  readonly places: readonly LikelyPlace[];
  /** Probability that cutting force did it. */
  readonly byForce: number;
  readonly axis: Causes['axis'];
  /** Greatest thrust asked for in the stretch, on the axis that lost (or either). N */
  readonly peakN: number;
  /** What to try where force did not do it, most likely first. */
  readonly advice: readonly string[];
}

/**
 * @param logged  the run as the log has it, the state of its edge told
 * @param range   its suspect stretch
 * @param before  what was believed before it
 */
export function lossCauses(
  run: ProgramRun,
  range: OpRange,
  logged: RunSetting & Lost & LossSeen,
  before: Belief,
): LossCauses {
  const moves = suspectMoves(run, range);
  const { axis, direction } = logged;
  const { x, y } = moves.demandN;
  const either = axis === null || axis === 'both';
  const demands = either ? [x, y] : axis === 'z' ? [] : [moves.demandN[axis]];
  const peakN = Math.max(0, ...demands.map((values) => values.reduce((a, b) => Math.max(a, b), 0)));
  const advice = lowLoadAdvice(run, range, axis === 'both' ? null : axis);
  if (axis === 'z') return { places: [], byForce: 0, axis: { x: 0, y: 0 }, peakN, advice };
  // Of two axes that lost, each is asked for its own place.
  const causes = likelyCauses(before, logged, moves, axis === 'both' ? null : axis, direction);
  const found = 1 - causes.other;
  const byForce = 1 - otherCause(before, logged)!;
  const share = found > 0 ? byForce / found : 0;
  const places = gather(
    run,
    range,
    causes.byMove.map((p) => p * share),
    demands,
  );
  return {
    places,
    byForce,
    axis: { x: share * causes.axis.x, y: share * causes.axis.y },
    peakN,
    advice,
  };
}

function gather(
  run: ProgramRun,
  range: OpRange,
  byMove: Float64Array,
  demands: readonly Float64Array[],
): LikelyPlace[] {
  const { teeth } = run.planned.job.sprocket;
  const places: LikelyPlace[] = [];
  let key = '';
  for (let i = 0; i < byMove.length; i++) {
    const at = range.first + i;
    const op = run.ops[at]!;
    if (!('to' in op)) continue;
    const middle = atan2((op.from[1] + op.to[1]) / 2, (op.from[0] + op.to[0]) / 2);
    const gap = (Math.round((middle * teeth) / (2 * Math.PI)) + teeth) % teeth;
    const section = sectionOf(run, op.line);
    const same = key === `${section}|${gap}` ? places.pop() : undefined;
    key = `${section}|${gap}`;
    places.push({
      probability: (same?.probability ?? 0) + byMove[i]!,
      fromLine: same?.fromLine ?? op.line,
      toLine: op.line,
      section,
      gapDeg: (360 * gap) / teeth,
      fromMin: same?.fromMin ?? (at > 0 ? run.endMin[at - 1]! : 0),
      toMin: run.endMin[at]!,
      peakN: Math.max(same?.peakN ?? 0, ...demands.map((values) => values[i]!)),
    });
  }
  return places.sort((a, b) => b.probability - a.probability);
}

/** Range of a stepper's own resonance with a light load, full steps a second. From memory. */
const RESONANCE = { low: 50, high: 250 } as const;
/** Share of rapids in a stretch from which on they are suspected. Common practice, no source. */
const RAPID_SHARE = 0.02;

/**
 * Steps lost where hardly any force was asked for: what else it can be, and what to try. All of
 * this is common practice, no source.
 */
function lowLoadAdvice(run: ProgramRun, range: OpRange, axis: AxisName | null): readonly string[] {
  const { machine } = run.planned.job;
  const { rapidS, totalS, slowestMmPerMin, fastestMmPerMin, reversals } = gait(run, range, axis);
  const name = axis === null ? 'the axis' : axis.toUpperCase();
  const belt = axis !== null && machine.beltToothMm[axis] !== null;
  const stepsPerS = (feed: number): number => feed / 60 / fullStepMm(machine, axis ?? 'x');
  const [slow, fast] = [stepsPerS(slowestMmPerMin), stepsPerS(fastestMmPerMin)];
  const advice = [
    belt
      ? `loose pulley or belt: check the belt's tension and clamps; draw a line over pulley and shaft of ${name}, run the stretch in air ten times and look whether it has parted`
      : `loose coupling or nut: pull the axis by hand with the motor on; draw a line over coupling and shaft of ${name}, run the stretch in air ten times and look whether it has parted`,
    axis === 'z' &&
      'Z carries its own weight: check its counterweight or spring and its friction, and lower its rapid feed',
    (rapidS > RAPID_SHARE * totalS || reversals > 0) &&
      `acceleration or a rapid (${rapidS.toFixed(1)} s of rapids, ${reversals} reversals here): halve the acceleration and the rapid feed of ${name} in the control and run the stretch in air; if that cures it, put the lower figures in the machine file`,
    slow < RESONANCE.high &&
      fast > RESONANCE.low &&
      `a resonance of the motor: the stretch passes ${Math.max(RESONANCE.low, slow).toFixed(0)} to ${Math.min(RESONANCE.high, fast).toFixed(0)} full steps a second; listen for a growl in air at those feeds, then go round them or add a damper`,
    'electrical: hot driver or motor, a connector that moves with the axis, supply voltage that sags when the spindle starts, spindle cable beside the step cable',
    'chips or a cable in the way, dirt on the guides, work or cutter that slipped: then no axis has lost anything',
  ];
  return advice.filter((line) => line !== false);
}

/** How the axes go in a stretch: seconds of rapids and of all moves, least and greatest speed of an
 *  axis that moves, changes of its direction. */
function gait(run: ProgramRun, range: OpRange, axis: AxisName | null) {
  const { rapidMmPerMin } = run.planned.job.machine;
  const going = { x: 0, y: 0, z: 0 };
  let [rapidS, totalS, slowestMmPerMin, fastestMmPerMin, reversals] = [0, 0, Infinity, 0, 0];
  for (let i = range.first; i <= range.last; i++) {
    const op = run.ops[i]!;
    const s = run.demands.seconds[i]!;
    if (!('from' in op)) continue;
    totalS += s;
    if (op.op === 'rapid') rapidS += s;
    for (const one of axis === null ? LOADED_AXES : [axis]) {
      const k = { x: 0, y: 1, z: 2 }[one];
      const d = op.to[k]! - op.from[k]!;
      if (Math.abs(d) < 1e-6) continue;
      if (going[one] === -Math.sign(d)) reversals++;
      going[one] = Math.sign(d);
      const mean = s > 0 ? (60 * Math.abs(d)) / s : 0;
      const feed = op.op === 'rapid' ? rapidMmPerMin[one] : op.feedMmPerMin;
      slowestMmPerMin = Math.min(slowestMmPerMin, mean);
      fastestMmPerMin = Math.max(fastestMmPerMin, Math.min(feed, Math.max(mean, 1)));
    }
  }
  return { rapidS, totalS, slowestMmPerMin, fastestMmPerMin, reversals };
}

/**
 * Steps lost where hardly any force was asked for: what else it can be, and what to try. All of
 * this is common practice, no source.
 */
import type { AxisName, Machine } from '../../model/machine.js';

/** What the moves of a suspect stretch are like. */
export interface StretchKind {
  readonly axis: AxisName | null;
  /** Seconds of rapids, and of all moves. */
  readonly rapidS: number;
  readonly totalS: number;
  /** Least and greatest speed of the axes while they move. mm/min */
  readonly slowestMmPerMin: number;
  readonly fastestMmPerMin: number;
  /** Changes of direction of an axis. */
  readonly reversals: number;
}

/** Range of a stepper's own resonance with a light load, full steps a second. From memory. */
const RESONANCE = { low: 50, high: 250 } as const;

/** What to try, most likely first. */
export function lowLoadAdvice(machine: Machine, kind: StretchKind): readonly string[] {
  const advice: string[] = [];
  const axis = kind.axis === null ? 'the axis' : kind.axis.toUpperCase();
  const belt = kind.axis !== null && machine.beltToothMm[kind.axis] !== null;
  advice.push(
    belt
      ? `loose pulley or belt: draw a line over pulley and shaft of ${axis}, check the belt's tension and its clamps, run the stretch in air ten times and look whether the line has parted`
      : `loose coupling or nut: draw a line over coupling and shaft of ${axis}, pull the axis by hand with the motor on, run the stretch in air ten times and look whether the line has parted`,
  );
  if (kind.axis === 'z') {
    advice.push(
      'Z carries its own weight: check its counterweight or spring, its friction over the whole travel, and lower its rapid feed',
    );
  }
  if (kind.rapidS > 0.02 * kind.totalS || kind.reversals > 0) {
    advice.push(
      `acceleration or a rapid (${kind.rapidS.toFixed(1)} s of rapids, ${kind.reversals} reversals here): halve the acceleration and the rapid feed of ${axis} in the control and run the stretch in air; if the loss goes away, keep the lower figures and put them in the machine file`,
    );
  }
  const stepMm = machine.fullStepMm[kind.axis ?? 'x'];
  const steps = (feed: number): number => feed / 60 / stepMm;
  if (steps(kind.slowestMmPerMin) < RESONANCE.high && steps(kind.fastestMmPerMin) > RESONANCE.low) {
    advice.push(
      `a resonance of the motor: the stretch passes ${Math.max(RESONANCE.low, steps(kind.slowestMmPerMin)).toFixed(0)} to ${Math.min(RESONANCE.high, steps(kind.fastestMmPerMin)).toFixed(0)} full steps a second; listen for a growl in air at those feeds, then go round them or add a damper`,
    );
  }
  advice.push(
    'electrical: hot driver or motor after the same time as now, a connector that moves with the axis, supply voltage that sags when the spindle starts, spindle cable beside the step cable',
    'chips or a cable in the way of the axis, dirt on the guides, work or cutter that slipped in its holding: then no axis has lost anything',
  );
  return advice;
}

/**
 * Stiffness and thrust of an axis from a pull with a spring scale or a hanging mass: straight line
 * by least squares, with its uncertainty; the file of the readings, and an empty one to fill in.
 */
import { hypot } from '../../maths/elementary.js';
import { leastSquares } from '../../maths/least-squares.js';
import { deviation, mean, sumOfSquares } from '../../maths/sample.js';
import { AXES, type AxisName, type LoadedAxis, type Machine } from '../../model/machine.js';
import { jobErrorFrom } from '../../text/fault.js';
import { group, list, pair, quantity } from '../../text/field.js';
import { faultLog, mustRead } from '../../text/fields.js';
import { readWritten } from '../../text/yaml-text.js';
import type { LoggedPull } from './evidence.js';
import type { LimitPrior } from './belief.js';

/** Indicator reading under a pull at the collet. */
interface Pull {
  readonly forceN: number;
  readonly readingMm: number;
}

interface AxisPulls {
  readonly pulls: readonly Pull[];
  /** Forces at which the standing axis let go. N */
  readonly letsGoN: readonly number[];
}

/** What the scale may be wrong by, as a share; common to all readings. */
export interface PullReadings {
  readonly scaleError: number;
  readonly axes: Readonly<Partial<Record<AxisName, AxisPulls>>>;
}

/**
 * Ordinary least squares of y = a + b x: the slope b, its standard deviation and that of the
 * residuals.
 * @throws RangeError about `what` for fewer than three points, or points at one x only
 */
function fitLine(what: string, x: readonly number[], y: readonly number[]) {
  const n = x.length;
  if (n < 3) throw new RangeError(`${what}: a line needs three points or more: ${n}`);
  const fit = leastSquares(
    x.map((v) => [1, v]),
    y,
  );
  if (fit === null) throw new RangeError(`${what}: all points are at one place`);
  const residualSd = Math.sqrt(sumOfSquares(fit.residuals) / (n - 2));
  const slopeSd = residualSd * Math.sqrt(fit.covariance[1]![1]!);
  return { slope: fit.values[1]!, residualSd, slopeSd };
}

/** Two-sided 95 % points of Student's t for 1, 2, 3 ... degrees of freedom. Fisher and Yates,
 *  Statistical Tables, table III, as printed in every handbook. */
const T95 = [
  12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201, 2.179, 2.16, 2.145,
  2.131, 2.12, 2.11, 2.101, 2.093, 2.086,
] as const;

function t95(degrees: number): number {
  return T95[Math.min(T95.length, Math.floor(degrees)) - 1]!;
}

/** A measured figure with the half width of its 95 % interval. */
export interface Figure {
  readonly value: number;
  readonly half95: number;
  readonly readings: number;
}

export interface AxisMeasured {
  readonly axis: AxisName;
  readonly stiffnessNPerMm: Figure | null;
  /** Thrust before the standing axis lets go, less the friction that helps to hold it. N */
  readonly thrustN: Figure | null;
  /** What the readings themselves give cause to doubt, as sentences. */
  readonly doubts: readonly string[];
}

/** One reading of a let-go alone says this little. Common practice, no source. */
const SINGLE_SHARE = 0.2;
/** Half an interval above this share of the figure is pointed out. */
const VAGUE_SHARE = 0.3;
/** Residuals above this share of the whole deflection mean that the line is none. */
const CROOKED_SHARE = 0.1;

/**
 * Stiffness and thrust of each axis that was pulled.
 * @throws RangeError, naming the axis, for readings that cannot give a figure
 */
export function pullTest(readings: PullReadings, machine: Machine): readonly AxisMeasured[] {
  const { scaleError } = readings;
  return AXES.flatMap((axis) => {
    const given = readings.axes[axis];
    if (!given) return [];
    const { pulls, letsGoN } = given;
    const doubts: string[] = [];
    const frictionN = machine.frictionN[axis];
    return {
      axis,
      stiffnessNPerMm: pulls.length > 0 ? stiffness(axis, pulls, scaleError, doubts) : null,
      thrustN: letsGoN.length > 0 ? letGo(axis, letsGoN, scaleError, frictionN, doubts) : null,
      doubts,
    };
  });
}

function stiffness(
  axis: AxisName,
  pulls: readonly Pull[],
  scaleError: number,
  doubts: string[],
): Figure {
  const forces = pulls.map((p) => p.forceN);
  const readings = pulls.map((p) => p.readingMm);
  const { slope, residualSd, slopeSd } = fitLine(`${axis}.pulls`, forces, readings);
  const half = t95(pulls.length - 2) * slopeSd;
  if (!(slope > half)) {
    const rule = 'the indicator does not move with the force beyond its scatter';
    throw new RangeError(`${axis}.pulls: ${rule}; pull harder, or read finer`);
  }
  const value = 1 / slope;
  const half95 = value * hypot(half / slope, 2 * scaleError);
  const deflectionMm = slope * (Math.max(...forces) - Math.min(...forces));
  if (residualSd > CROOKED_SHARE * deflectionMm) {
    doubts.push(
      `readings on ${axis.toUpperCase()} scatter by ${residualSd.toFixed(3)} mm about their line: slack or something loose; start from a pull that takes the slack up`,
    );
  }
  if (half95 > VAGUE_SHARE * value) {
    doubts.push(
      `stiffness of ${axis.toUpperCase()} is known to ${Math.round((100 * half95) / value)} % only: ${pulls.length < 5 ? 'take more readings' : 'pull harder, or read finer'}`,
    );
  }
  return { value, half95, readings: pulls.length };
}

function letGo(
  axis: AxisName,
  forces: readonly number[],
  scaleError: number,
  frictionN: number,
  doubts: string[],
): Figure {
  const n = forces.length;
  const pulledN = mean(forces);
  const value = pulledN - frictionN;
  if (!(value > 0)) {
    const rule = `${pulledN.toFixed(0)} N is no more than the friction of ${frictionN} N`;
    throw new RangeError(`${axis}.lets-go: ${rule}; was the motor on?`);
  }
  let half = SINGLE_SHARE * pulledN;
  if (n === 1) {
    doubts.push(
      `${axis.toUpperCase()} let go once only: taken to be good to ${100 * SINGLE_SHARE} %, a judgement; pull three times or more`,
    );
  } else {
    half = (t95(n - 1) * deviation(forces)) / Math.sqrt(n);
  }
  return { value, half95: hypot(half, 2 * scaleError * pulledN), readings: n };
}

/** Half widths of a 95 % interval in a sigma. */
const HALF95_SIGMAS = 1.96;

/** A pull test as the log keeps it. @param date  YYYY-MM-DD */
export function pullOf(measured: readonly AxisMeasured[], date: string): LoggedPull {
  const limits: Partial<Record<LoadedAxis, LimitPrior>> = {};
  const stiffnessNPerMm: Partial<Record<AxisName, number>> = {};
  for (const { axis, thrustN, stiffnessNPerMm: stiff } of measured) {
    if (stiff) stiffnessNPerMm[axis] = stiff.value;
    if (!thrustN || axis === 'z') continue;
    const { value, half95 } = thrustN;
    limits[axis] = { thrustN: value, sigma: Math.max(LEAST_SIGMA, half95 / value / HALF95_SIGMAS) };
  }
  return { date, limits, stiffnessNPerMm };
}

/** No reading of a spring scale is better than this. Common practice, no source. */
const LEAST_SIGMA = 0.01;

const LIMITS = { maxBytes: 64 * 1024, maxKeys: 2000, maxDepth: 6, lists: true } as const;
const MOST = { max: 500 };
/** Spring scales of the kitchen kind are this good. Common practice, no source. */
const SCALE_ERROR = 0.02;

const FORCE = quantity('force', 'force', '-5000 N', '5000 N');
const READING = quantity('length', 'reading', '-20 mm', '20 mm');
const LETS_GO = quantity('force', 'force at which an axis lets go', '1 N', '20 kN');
const AXIS = group('axis', {
  pulls: list('readings', pair('a pair such as [20 N, 0.07 mm]', FORCE, READING), MOST),
  'lets-go': list('readings', LETS_GO, MOST),
});
const FIELDS = {
  'scale-error': quantity('share', 'error of the scale', '0 %', '20 %'),
  x: AXIS,
  y: AXIS,
  z: AXIS,
};

/** @throws JobError with every fault found and its line */
export function readPullTest(text: string, file: string): PullReadings {
  const { input, places, faults } = readWritten(text, file, LIMITS);
  if (faults.length > 0) throw jobErrorFrom(faults);
  const log = faultLog(file, places, 'a pull test', { blanks: true });
  const values = mustRead(input, FIELDS, log);
  const axes: Partial<Record<AxisName, AxisPulls>> = {};
  for (const axis of AXES) {
    const { pulls = [], 'lets-go': letsGoN = [] } = values[axis] ?? {};
    axes[axis] = { pulls: pulls.map(([forceN, readingMm]) => ({ forceN, readingMm })), letsGoN };
  }
  if (!Object.values(axes).some((a) => a.pulls.length + a.letsGoN.length > 0)) {
    log.add('x', null, 'holds no readings', 'fill in pulls or lets-go');
    throw jobErrorFrom(log.faults);
  }
  return { scaleError: values['scale-error'] ?? SCALE_ERROR, axes };
}

/** A file to fill in at the machine. */
export const PULL_TEST_TEMPLATE = `# Pull test: stiffness and thrust of the axes, from a spring scale or a hanging mass.
#
# Motors on, spindle off and unplugged, no cutter. Switch off any lowering of the motor current at
# standstill for this test. Pull at the collet nut in the direction of the axis, the indicator on
# the table against the nut.
#
# pulls:   force and indicator reading, five or more, from about a tenth of the thrust to a third.
#          Take the slack up before the first. A hanging mass of 2 kg pulls with 2 kgf.
# lets-go: the force at which the axis gave way, three times or more, each from another place.
#          Keep feet and fingers from under a hanging mass, and stand aside of a rope under load.
#
# Then: gullet retune JOB --pull-test THIS-FILE
scale-error: 2 %
x:
  pulls:
  # - [20 N, 0.07 mm]
  lets-go:
  # - 210 N
y:
  pulls:
  lets-go:
`;

/**
 * Stiffness and thrust of an axis from a pull with a spring scale or a hanging mass: straight line
 * by least squares, with its uncertainty.
 */
import type { LoadedAxis } from './posterior.js';
import { thrustFrom } from '../bear/thrust.js';
import type { Machine } from '../../model/machine.js';

/** Indicator reading under a pull at the collet. */
export interface Pull {
  readonly forceN: number;
  readonly readingMm: number;
}

export interface AxisPulls {
  readonly pulls: readonly Pull[];
  /** Forces at which the standing axis let go. N */
  readonly letsGoN: readonly number[];
}

/** What the scale may be wrong by, as a share; common to all readings. */
export interface PullReadings {
  readonly scaleError: number;
  readonly axes: Readonly<Partial<Record<LoadedAxis | 'z', AxisPulls>>>;
}

export interface Line {
  readonly intercept: number;
  readonly slope: number;
  /** Standard deviations of both, and of the residuals. */
  readonly interceptSd: number;
  readonly slopeSd: number;
  readonly residualSd: number;
  readonly points: number;
}

/**
 * Ordinary least squares of y = a + b x.
 * @throws RangeError for fewer than three points, or points at one x only
 */
export function fitLine(x: readonly number[], y: readonly number[]): Line {
  const n = x.length;
  if (n < 3 || y.length !== n) throw new RangeError(`a line needs three points or more: ${n}`);
  const mx = x.reduce((a, b) => a + b, 0) / n;
  const my = y.reduce((a, b) => a + b, 0) / n;
  let [sxx, sxy] = [0, 0];
  for (let i = 0; i < n; i++) {
    sxx += (x[i]! - mx) ** 2;
    sxy += (x[i]! - mx) * (y[i]! - my);
  }
  if (!(sxx > 0)) throw new RangeError('all points are at one place');
  const slope = sxy / sxx;
  const intercept = my - slope * mx;
  let rest = 0;
  for (let i = 0; i < n; i++) rest += (y[i]! - intercept - slope * x[i]!) ** 2;
  const residualSd = Math.sqrt(rest / (n - 2));
  return {
    intercept,
    slope,
    residualSd,
    slopeSd: residualSd / Math.sqrt(sxx),
    interceptSd: residualSd * Math.sqrt(1 / n + (mx * mx) / sxx),
    points: n,
  };
}

/** Two-sided 95 % points of Student's t for 1, 2, 3 ... degrees of freedom. Fisher and Yates,
 *  Statistical Tables, table III, as printed in every handbook. */
const T95 = [
  12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201, 2.179, 2.16, 2.145,
  2.131, 2.12, 2.11, 2.101, 2.093, 2.086,
] as const;

export function t95(degrees: number): number {
  if (degrees < 1) return Infinity;
  return T95[Math.min(T95.length, Math.floor(degrees)) - 1]!;
}

/** A measured figure with the half width of its 95 % interval. */
export interface Figure {
  readonly value: number;
  readonly half95: number;
  readonly readings: number;
}

export interface AxisMeasured {
  readonly axis: LoadedAxis | 'z';
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
  return (['x', 'y', 'z'] as const).flatMap((axis) => {
    const given = readings.axes[axis];
    return given ? [measureAxis(axis, given, readings.scaleError, machine)] : [];
  });
}

function measureAxis(
  axis: LoadedAxis | 'z',
  { pulls, letsGoN }: AxisPulls,
  scaleError: number,
  machine: Machine,
): AxisMeasured {
  const doubts: string[] = [];
  return {
    axis,
    stiffnessNPerMm: pulls.length > 0 ? stiffness(axis, pulls, scaleError, doubts) : null,
    thrustN: letsGoN.length > 0 ? letGo(axis, letsGoN, scaleError, machine, doubts) : null,
    doubts,
  };
}

function stiffness(
  axis: LoadedAxis | 'z',
  pulls: readonly Pull[],
  scaleError: number,
  doubts: string[],
): Figure {
  const forces = pulls.map((p) => p.forceN);
  let line: Line;
  try {
    line = fitLine(
      forces,
      pulls.map((p) => p.readingMm),
    );
  } catch (error) {
    throw new RangeError(`${axis}.pulls: ${(error as Error).message}`, { cause: error });
  }
  const half = t95(line.points - 2) * line.slopeSd;
  if (!(line.slope > half)) {
    throw new RangeError(
      `${axis}.pulls: the indicator does not move with the force beyond its scatter; pull harder, or read finer`,
    );
  }
  const value = 1 / line.slope;
  const half95 = value * Math.hypot(half / line.slope, 2 * scaleError);
  const deflectionMm = line.slope * (Math.max(...forces) - Math.min(...forces));
  if (line.residualSd > CROOKED_SHARE * deflectionMm) {
    doubts.push(
      `readings on ${axis.toUpperCase()} scatter by ${line.residualSd.toFixed(3)} mm about their line: slack or something loose; start from a pull that takes the slack up`,
    );
  }
  if (half95 > VAGUE_SHARE * value) {
    doubts.push(
      `stiffness of ${axis.toUpperCase()} is known to ${Math.round((100 * half95) / value)} % only: ${pulls.length < 5 ? 'take more readings' : 'pull harder, or read finer'}`,
    );
  }
  return { value, half95, readings: line.points };
}

function letGo(
  axis: LoadedAxis | 'z',
  forces: readonly number[],
  scaleError: number,
  machine: Machine,
  doubts: string[],
): Figure {
  const n = forces.length;
  const mean = forces.reduce((a, b) => a + b, 0) / n;
  const value = mean - machine.frictionN[axis];
  if (!(value > 0)) {
    throw new RangeError(
      `${axis}.lets-go: ${mean.toFixed(0)} N is no more than the friction of ${machine.frictionN[axis]} N; was the motor on?`,
    );
  }
  let half: number;
  if (n === 1) {
    half = SINGLE_SHARE * mean;
    doubts.push(
      `${axis.toUpperCase()} let go once only: taken to be good to ${100 * SINGLE_SHARE} %, a judgement; pull three times or more`,
    );
  } else {
    const sd = Math.sqrt(forces.reduce((sum, f) => sum + (f - mean) ** 2, 0) / (n - 1));
    half = (t95(n - 1) * sd) / Math.sqrt(n);
  }
  return { value, half95: Math.hypot(half, 2 * scaleError * mean), readings: n };
}

/** The machine with what was measured, each figure saying so with its date. */
export function measuredMachine(
  machine: Machine,
  measured: readonly AxisMeasured[],
  id: string,
  date: string,
): Machine {
  const provenance: Record<string, string> = { ...machine.provenance };
  const stiffnessNPerMm = { ...machine.stiffnessNPerMm };
  const thrustN = { ...machine.thrustN };
  const say = (what: string, { value, half95, readings }: Figure, unit: string): string =>
    `measured ${date}: ${what}, ${readings} readings, ${value.toFixed(0)} +- ${half95.toFixed(0)} ${unit} (95 %)`;
  for (const { axis, stiffnessNPerMm: k, thrustN: t } of measured) {
    if (k) {
      stiffnessNPerMm[axis] = Math.round(k.value * 10) / 10;
      provenance[`stiffnessNPerMm.${axis}`] = say('pull and indicator, least squares', k, 'N/mm');
    }
    if (t) {
      thrustN[axis] = thrustFrom(machine, axis, t.value);
      provenance[`thrustN.${axis}`] =
        `${say('pull until it lets go, less friction', t, 'N')}; fall with speed as before`;
    }
  }
  return { ...machine, id, stiffnessNPerMm, thrustN, provenance };
}

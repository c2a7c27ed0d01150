/** Spindle speed from surface speed, and power. */
import { S_PER_MIN } from '../../maths/motion.js';
import type { Cutter, Machine, Material } from '../../model/machine.js';

/** n = 1000 vc / (pi D). rpm, vc in m/min */
export function rpmForSurfaceSpeed(surfaceSpeedMPerMin: number, diameterMm: number): number {
  return (1000 * surfaceSpeedMPerMin) / (Math.PI * diameterMm);
}

/** vc = pi D n / 1000. m/min */
export function surfaceSpeedMPerMin(diameterMm: number, spindleRpm: number): number {
  return (Math.PI * diameterMm * spindleRpm) / 1000;
}

/** Rate at which teeth come. Hz */
export function toothRateHz(rpm: number, flutes: number): number {
  return (rpm * flutes) / S_PER_MIN;
}

export interface SpindleChoice {
  readonly rpm: number;
  readonly surfaceSpeedMPerMin: number;
  /** null when the surface speed lies inside the material's range. */
  readonly noteCode: 'spindle-too-fast' | 'spindle-too-slow' | null;
  readonly note: string | null;
}

/** Speeds are set by a dial: a finer figure would pretend to more. rpm */
const SPEED_STEP_RPM = 100;

/**
 * Spindle speed for a material and cutter: the middle of the surface speed range, as near as the
 * spindle comes to it. When even its slowest (or fastest) speed lies outside the range, that end
 * is used and the note says so.
 */
export function chooseSpindleRpm(
  machine: Machine,
  material: Material,
  cutter: Cutter,
): SpindleChoice {
  const { minRpm, maxRpm } = machine.spindle;
  const { low, high } = material.surfaceSpeedMPerMin;
  const wanted = rpmForSurfaceSpeed((low + high) / 2, cutter.diameterMm);
  const stepped = Math.round(wanted / SPEED_STEP_RPM) * SPEED_STEP_RPM;
  return spindleNote(machine, material, cutter, Math.min(maxRpm, Math.max(minRpm, stepped)));
}

/** A speed, and a note where even the nearest end of the spindle's range is outside the material's. */
export function spindleNote(
  machine: Machine,
  material: Material,
  cutter: Cutter,
  rpm: number,
): SpindleChoice {
  const { minRpm, maxRpm } = machine.spindle;
  const { low, high } = material.surfaceSpeedMPerMin;
  const speed = surfaceSpeedMPerMin(cutter.diameterMm, rpm);
  const [tooFast, tooSlow] = [speed > high && rpm <= minRpm, speed < low && rpm >= maxRpm];
  if (!tooFast && !tooSlow) return { rpm, surfaceSpeedMPerMin: speed, noteCode: null, note: null };
  const largestMm = (1000 * high) / (Math.PI * minRpm);
  return {
    rpm,
    surfaceSpeedMPerMin: speed,
    noteCode: tooFast ? 'spindle-too-fast' : 'spindle-too-slow',
    note:
      `The spindle turns no ${tooFast ? `slower than ${minRpm}` : `faster than ${maxRpm}`} rpm, which ` +
      `is ${speed.toFixed(0)} m/min with a ${cutter.diameterMm} mm cutter; ${material.title} wants ` +
      `${low} to ${high} m/min. ` +
      (tooFast
        ? `The edge will wear fast: ${largestMm.toFixed(1)} mm is the largest cutter that stays inside.`
        : 'Feed per tooth is kept, so the cut only takes longer.'),
  };
}

/**
 * Power the spindle can give the cutter at a speed. Rated power is taken at full speed and torque
 * as constant below it (common for universal and air-cooled motors; common practice, no source),
 * so power falls with speed.
 */
export function availablePowerW(machine: Machine, spindleRpm: number): number {
  const { powerW, efficiency, maxRpm } = machine.spindle;
  return powerW * efficiency * Math.min(1, spindleRpm / maxRpm);
}

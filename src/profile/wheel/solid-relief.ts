import type { SprocketProfile } from './sprocket.js';

/** Side relief as it is turned on a wheel: a rounding that touches the side face. mm */
export interface Relief {
  /** Where the rounding begins, from the axis. */
  readonly startRadiusMm: number;
  /** Of the rounding. */
  readonly radiusMm: number;
  /** Taken off each side at the tip. */
  readonly atTipMm: number;
  /** The standard's relief was cut back to fit these teeth. */
  readonly reduced: boolean;
}

/** Most of the thickness that the relief may take from one side. Leaves a tenth at the tip. */
const MOST_OF_THICKNESS = 0.45;
/** The rounding begins at least this share of the tooth's height above the root circle. */
const LEAST_START = 0.05;

/**
 * The standard's side relief, made to fit: thin teeth keep a tenth of their thickness at the tip,
 * and the rounding stays on the teeth, clear of root circle and hub.
 */
export function turnedRelief(profile: SprocketProfile): Relief {
  const tipMm = profile.tipDiameterMm / 2;
  const rootMm = profile.rootDiameterMm / 2;
  const { radiusMm, reliefMm, depthMm } = profile.sideRelief;
  const thinMm = Math.min(reliefMm, MOST_OF_THICKNESS * profile.thicknessMm);
  const lengthMm = Math.min(depthMm, Math.sqrt(thinMm * (2 * radiusMm - thinMm)));
  const startRadiusMm = Math.max(tipMm - lengthMm, rootMm + LEAST_START * (tipMm - rootMm));
  const relief = { startRadiusMm, radiusMm, atTipMm: 0, reduced: false };
  const atTipMm = reliefAtMm(relief, tipMm);
  return { ...relief, atTipMm, reduced: atTipMm < reliefMm - 1e-6 };
}

/** Taken off each side at a distance from the axis, R - sqrt(R^2 - (r - r0)^2). mm */
export function reliefAtMm(relief: Relief, rMm: number): number {
  const over = rMm - relief.startRadiusMm;
  if (over <= 0) return 0;
  const r = relief.radiusMm;
  return r - Math.sqrt(r * r - over * over);
}

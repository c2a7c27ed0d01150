/** Set screws with cup points on the shaft. */
import type { Service } from '../drive/rating.js';
import type { JointCapacity } from './strength.js';
import data from './setscrews.json' with { type: 'json' };

export interface SetScrew {
  readonly size: string;
  readonly diameterMm: number;
  readonly seatingNm: number;
  /** Force at the shaft's rim at which it slips. N */
  readonly holdingN: number;
  /** Whether the holding force is printed or worked out from the seating torque. */
  readonly printed: boolean;
}

export const SETSCREW_SOURCE = `${data._sources.inch}; ${data._sources.metric}`;

const PRINTED = data.rows.filter((row) => row.holdingN !== null);

/**
 * Every size. A metric screw's holding force is not printed: it is read off the inch screws at the
 * same seating torque (straight line between two, in proportion beyond the ends).
 */
export const SET_SCREWS: readonly SetScrew[] = data.rows.map((row) => ({
  size: row.size,
  diameterMm: row.diameterMm,
  seatingNm: row.seatingNm,
  holdingN: row.holdingN ?? holdingAt(row.seatingNm),
  printed: row.holdingN !== null,
}));

function holdingAt(seatingNm: number): number {
  const first = PRINTED[0]!;
  const last = PRINTED[PRINTED.length - 1]!;
  if (seatingNm <= first.seatingNm) return (first.holdingN! * seatingNm) / first.seatingNm;
  if (seatingNm >= last.seatingNm) return (last.holdingN! * seatingNm) / last.seatingNm;
  const i = PRINTED.findIndex((row) => row.seatingNm >= seatingNm);
  const [a, b] = [PRINTED[i - 1]!, PRINTED[i]!];
  const part = (seatingNm - a.seatingNm) / (b.seatingNm - a.seatingNm);
  return a.holdingN! + part * (b.holdingN! - a.holdingN!);
}

/** Safety on the holding force: 1.5 to 2 steady, 4 to 8 under changing load (from memory). */
const SAFETY: Readonly<Record<Service, number>> = {
  smooth: 4,
  'moderate-shock': 6,
  'heavy-shock': 8,
};
const PEAK_SAFETY = 2;

/** Largest metric screw of about half the shaft's diameter. Source: Unbrako socket set screw
 *  selection text; Machine Design, Setscrews. null for shafts under 6 mm. */
export function screwForShaft(shaftDiameterMm: number): SetScrew | null {
  const fit = SET_SCREWS.filter(
    (s) => s.size.startsWith('M') && s.diameterMm <= shaftDiameterMm / 2 + 1e-9,
  );
  return fit[fit.length - 1] ?? null;
}

/** Torque of `count` screws, F d / 2 over the safety. N m */
export function setScrewCapacity(
  screw: SetScrew,
  count: number,
  shaftDiameterMm: number,
  service: Service,
): JointCapacity {
  const slipNm = (count * screw.holdingN * shaftDiameterMm) / 2000;
  return { runningNm: slipNm / SAFETY[service], peakNm: slipNm / PEAK_SAFETY };
}

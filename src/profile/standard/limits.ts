/**
 * Diameters, widths and tolerances that the standards give for a sprocket as a whole. Inputs and
 * results are mm unless a name says otherwise; z = N = number of teeth, p = pitch, d1 = roller
 * diameter, b1 = width between inner plates, h2 = depth of the inner plates.
 *
 * Sources
 *   ISO 606:2015, clauses 5.3 to 5.11, as given by ZMC Sprockets "sprocket design calculations"
 *   (scribd.com/document/519588868) and "Sprocket main dimensions after GB/T 1243"
 *   (en.jiansujichilun.com/article-579); a clause marked "from memory" was seen in no printed copy.
 *   ASME B29.1-2011 as given by amesweb.info/chain/roller-chain-sprocket-diameter-calculator.aspx
 *   and Tsubaki technical data, drive sprocket tooth form (tt-net.tsubakimoto.co.jp).
 *
 * Of the folder: keys has parallel keys and keyways.
 */

import { cos, sin, tan } from '../../maths/elementary.js';
import { MM_PER_INCH } from '../../text/units.js';
import data from './iso286.json' with { type: 'json' };

/** Low and high bound, mm. */
export interface Range {
  readonly minMm: number;
  readonly maxMm: number;
}

/** d = p / sin(180 deg / z). ISO 606:2015 5.3.2, ASME B29.1. */
export function pitchDiameterMm(pitchMm: number, teeth: number): number {
  return pitchMm / sin(Math.PI / teeth);
}

/** df = d - d1. ISO 606:2015 5.3.2; the bottom diameter of ASME B29.1 is the same. */
export function rootDiameterMm(pitchMm: number, rollerDiameterMm: number, teeth: number): number {
  return pitchDiameterMm(pitchMm, teeth) - rollerDiameterMm;
}

/**
 * Tip (outside) diameter limits: max d + 1.25 p - d1, min d + p (1 - 1.6 / z) - d1.
 * ISO 606:2015 5.5.2; the minimum from memory, 38 catalogue wheels lie inside the two.
 */
export function isoTipLimits(pitchMm: number, rollerDiameterMm: number, teeth: number): Range {
  const root = rootDiameterMm(pitchMm, rollerDiameterMm, teeth);
  return { minMm: root + pitchMm * (1 - 1.6 / teeth), maxMm: root + 1.25 * pitchMm };
}

/** Outside diameter, turned, approximate: P (0.6 + cot(180 deg / N)). ASME B29.1. */
export function asmeTurnedDiameterMm(pitchMm: number, teeth: number): number {
  return pitchMm * (0.6 + cot(Math.PI / teeth));
}

/**
 * Tolerance of the root diameter, and of the size over pins, minus: 0.25 mm to 127 mm, 0.30 to
 * 250 mm, h11 beyond. ISO 606:2015 5.3.2, from memory; h11 values ISO 286-2, from memory.
 */
export function rootToleranceMm(rootMm: number): number {
  if (rootMm <= 127) return 0.25;
  if (rootMm <= 250) return 0.3;
  const row = H11_ABOVE_250_MM.find(([upTo]) => rootMm <= upTo);
  if (!row) throw new RangeError(`no h11 value for a diameter of ${rootMm} mm; not over 3150 mm`);
  return row[1];
}

/** Up to and including diameter, width of the h11 field. mm. */
const H11_ABOVE_250_MM: readonly (readonly [number, number])[] = [
  [315, 0.32],
  [400, 0.36],
  [500, 0.4],
  [630, 0.44],
  [800, 0.5],
  [1000, 0.56],
  [1250, 0.66],
  [1600, 0.78],
  [2000, 0.92],
  [2500, 1.1],
  [3150, 1.35],
];

/**
 * Size over measuring pins set in opposite gaps (even z) or in the two most nearly opposite gaps
 * (odd z): d + dR, or d cos(90 deg / z) + dR. ISO 606:2015 5.3.2, from memory.
 * @param pinDiameterMm dR = d1, +0.01 / 0
 */
export function overPinsMm(pitchMm: number, teeth: number, pinDiameterMm: number): number {
  return acrossGapsMm(pitchMm, teeth) + pinDiameterMm;
}

/**
 * Caliper diameter across the bottoms of opposite (even N) or most nearly opposite gaps (odd N):
 * PD - Dr, or PD cos(90 deg / N) - Dr. ASME B29.1, engineersedge.com caliper diameter page.
 */
export function caliperDiameterMm(
  pitchMm: number,
  rollerDiameterMm: number,
  teeth: number,
): number {
  return acrossGapsMm(pitchMm, teeth) - rollerDiameterMm;
}

function acrossGapsMm(pitchMm: number, teeth: number): number {
  return pitchDiameterMm(pitchMm, teeth) * acrossShare(teeth);
}

/** Size across opposite gaps per diameter: 1, or cos(90 deg / z) for an odd count. */
export function acrossShare(teeth: number): number {
  return teeth % 2 === 0 ? 1 : cos(Math.PI / (2 * teeth));
}

/** Tolerance of the caliper diameter, minus, commercial: 0.006 in + 0.002 P sqrt(N), which is twice
 *  the precision one. ASME B29.1, amesweb.info. */
export function caliperToleranceMm(pitchMm: number, teeth: number): number {
  return 2 * (0.003 * MM_PER_INCH + 0.001 * pitchMm * Math.sqrt(teeth));
}

/** Largest hub or shroud below the plates: p cot(180 deg / z) - 1.04 h2 - 0.76 mm. ISO 606:2015
 *  5.3.2, from memory. */
export function isoHubLimitMm(pitchMm: number, teeth: number, plateDepthMm: number): number {
  return pitchMm * cot(Math.PI / teeth) - 1.04 * plateDepthMm - 0.76;
}

/** Largest hub or groove diameter: P (cot(180 deg / N) - 1) - 0.030 in. ASME B29.1,
 *  amesweb.info and Tsubaki. For plates no deeper than the standard's 0.95 P. */
export function asmeHubLimitMm(pitchMm: number, teeth: number): number {
  return pitchMm * (cot(Math.PI / teeth) - 1) - 0.03 * MM_PER_INCH;
}

/** Tooth width of a single-strand wheel: 0.93 b1 to 12.7 mm pitch, 0.95 b1 above; tolerance h14.
 *  ISO 606:2015 5.6.2, from memory; within 0.1 mm of a DIN 8187 maker's table. */
export function isoToothWidthMm(pitchMm: number, innerWidthMm: number): number {
  return (pitchMm <= 12.7 + 1e-9 ? 0.93 : 0.95) * innerWidthMm;
}

/** Tooth width of a single-strand wheel: 0.93 W - 0.006 in, W the nominal chain width. ASME B29.1,
 *  from memory; reproduces rylesprocket.com "tolerances for custom sprockets". */
export function asmeToothWidthMm(chainWidthMm: number): number {
  return 0.93 * chainWidthMm - 0.006 * MM_PER_INCH;
}

/** Rounded flank of the tooth seen from the side, so that the plates find their way past it. */
export interface SideRelief {
  /** From the tip inwards along the radius, mm. */
  readonly depthMm: number;
  /** Of the rounding, mm. */
  readonly radiusMm: number;
  /** Taken off each side at the tip, mm. */
  readonly reliefMm: number;
}

/**
 * Side relief: radius rx = p, relief ba = 0.13 p, or 0.06 p for the narrow 12.7 mm chains
 * (081, 083, 084, 085). ISO 606:2015 5.6.2, from memory. Depth follows from the two:
 * sqrt(rx^2 - (rx - ba)^2). Narrow is taken as 12.7 mm pitch and b1 under half the pitch, which
 * takes in the motorcycle chains 415 and 420 of the same sizes.
 */
export function isoSideRelief(pitchMm: number, innerWidthMm: number): SideRelief {
  const narrow = Math.abs(pitchMm - 12.7) < 0.05 && innerWidthMm <= pitchMm / 2 + 0.05;
  const reliefMm = (narrow ? 0.06 : 0.13) * pitchMm;
  const radiusMm = pitchMm;
  return { depthMm: Math.sqrt(reliefMm * (2 * radiusMm - reliefMm)), radiusMm, reliefMm };
}

/** Chamfer of the tooth section: depth 0.5 P, width 0.125 P, radius at least 1.063 P. ASME B29.1,
 *  from memory. */
export function asmeSideRelief(pitchMm: number): SideRelief {
  return { depthMm: 0.5 * pitchMm, radiusMm: 1.063 * pitchMm, reliefMm: 0.125 * pitchMm };
}

/** Greatest total reading of an indicator on the root circle, bore to root: 0.0008 df + 0.08 mm,
 *  never over 0.76 mm. ISO 606:2015 5.7, from memory. */
export function radialRunoutLimitMm(rootMm: number): number {
  return Math.min(0.0008 * rootMm + 0.08, 0.76);
}

/** Greatest total reading on the side of the teeth: 0.0009 df + 0.08 mm, never over 1.14 mm.
 *  ISO 606:2015 5.8, from memory. */
export function axialRunoutLimitMm(rootMm: number): number {
  return Math.min(0.0009 * rootMm + 0.08, 1.14);
}

function cot(angleRad: number): number {
  return 1 / tan(angleRad);
}

/** Tolerance grades of ISO 286 that a sprocket needs. */
type ToleranceGrade = 7 | 8 | 11 | 14;

/**
 * Width of tolerance grade IT7, IT8, IT11 or IT14, mm: a hole H8 lies from 0 to + this, a shaft
 * or width h14 from 0 to - this.
 * @throws RangeError for a size outside the table
 */
export function toleranceWidthMm(grade: ToleranceGrade, sizeMm: number): number {
  const row = data.rows.find(({ upToMm }) => sizeMm <= upToMm);
  if (!(sizeMm > 0) || row === undefined) {
    throw new RangeError(`no ISO 286 tolerance for a size of ${sizeMm} mm; over 0 to 250 mm`);
  }
  return row[`${grade}`] / 1000;
}

/** Where the widths of a grade are printed. */
export function toleranceSource(grade: ToleranceGrade): string {
  return data._sources[`${grade}`];
}

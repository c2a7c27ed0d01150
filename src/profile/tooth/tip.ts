import { atan2, hypot } from '../../maths/elementary.js';
import type { Edge, Pt } from '../../model/edges.js';
import { arc, edgeLength, edgeRadius, nearestOnEdge, polar, tangentAt } from '../geometry/edge.js';
import { carrierIntersections, edgeIntersections, nearestTo } from '../geometry/intersect.js';
import { shiftRight } from '../geometry/offset.js';
import { MERGE_TOL_MM } from '../../maths/tolerance.js';

/** Upper half of a gap cut off by the tip circle. */
export interface TippedHalf {
  /** From the bottom of the seat to the middle of the tooth's tip, counter-clockwise. */
  readonly edges: readonly Edge[];
  /** Arc length of the tip circle left between the two flanks (or roundings) of a tooth, mm. */
  readonly landMm: number;
}

export type TipFault = 'misses-tip-circle' | 'seat-cut' | 'rounding-too-big' | 'no-land';

/**
 * Cut half a gap off at the tip circle and round the corner.
 *
 * The rounding is a fillet of the given radius in the material, tangent to the flank and to the tip
 * circle: its centre lies on the flank shifted into the material by that radius and on the circle
 * of the tip radius less that radius.
 *
 * @param half from the bottom of the seat outwards; the last edge may run beyond the tip circle
 * @returns the edges, or what stands in the way: the flank never reaches the tip circle, the tip
 *          circle cuts the seat, the rounding does not fit on the flank, or no tip is left
 */
export function tipHalf(
  half: readonly Edge[],
  teeth: number,
  tipRadiusMm: number,
  roundingMm: number,
): TippedHalf | TipFault {
  const middle = polar(tipRadiusMm, Math.PI / teeth);
  const tipCircle = arc([tipRadiusMm, 0], [-tipRadiusMm, 0], [0, 0], true);

  for (let i = 0; i < half.length; i++) {
    const hit = edgeIntersections(half[i] as Edge, tipCircle)[0];
    if (!hit) continue;
    if (i === 0) return 'seat-cut';
    const corner = onCircle(hit.point, tipRadiusMm);
    const cornerLandRad = Math.PI / teeth - atan2(corner[1], corner[0]);
    if (cornerLandRad * tipRadiusMm < 2 * MERGE_TOL_MM) return 'no-land';
    if (roundingMm === 0) {
      return {
        edges: [...half.slice(0, i), { ...half[i]!, b: corner }, arc(corner, middle, AXIS, true)],
        landMm: 2 * cornerLandRad * tipRadiusMm,
      };
    }
    // The fillet may reach past a tangent joint onto an earlier edge of the flank.
    let fit: Fillet | null = null;
    let on = i + 1;
    while (fit === null && on > 1) {
      fit = filletOn(half[--on] as Edge, corner, tipRadiusMm, roundingMm);
    }
    if (fit === null) return 'rounding-too-big';
    const landRad = Math.PI / teeth - atan2(fit.onTip[1], fit.onTip[0]);
    if (landRad * tipRadiusMm < 2 * MERGE_TOL_MM) return 'rounding-too-big';
    return {
      edges: [
        ...half.slice(0, on),
        ...(fit.at === 'start' ? [] : [{ ...half[on]!, b: fit.onFlank }]),
        arc(fit.onFlank, fit.onTip, fit.centre, true),
        arc(fit.onTip, middle, AXIS, true),
      ],
      landMm: 2 * landRad * tipRadiusMm,
    };
  }
  return 'misses-tip-circle';
}

const AXIS: Pt = [0, 0];

interface Fillet {
  readonly centre: Pt;
  readonly onFlank: Pt;
  readonly onTip: Pt;
  /** Where on the edge it touches: at the very start nothing of the edge is left, at the very end
   *  all of it. */
  readonly at: 'start' | 'between' | 'end';
}

/** Fillet tangent to one edge of the flank and to the tip circle; null where its point of contact
 *  does not lie on the edge. */
function filletOn(flank: Edge, corner: Pt, tipRadiusMm: number, roundingMm: number): Fillet | null {
  const inner = tipRadiusMm - roundingMm;
  // A convex arc may shrink to nothing.
  if (inner <= 0 || (flank.kind === 'arc' && flank.ccw && edgeRadius(flank) <= roundingMm)) {
    return null;
  }
  const circle = arc([inner, 0], [-inner, 0], AXIS, true);
  const centre = nearestTo(corner, carrierIntersections(shiftRight(flank, -roundingMm), circle));
  if (centre === null) return null;
  const near = nearestOnEdge(flank, centre);
  if (near.t <= 0 || near.t >= 1) return null;
  const length = edgeLength(flank);
  if (near.t * length < 2 * MERGE_TOL_MM) return filletAtEnd(flank, 0, tipRadiusMm);
  if ((1 - near.t) * length < 2 * MERGE_TOL_MM) return filletAtEnd(flank, 1, tipRadiusMm);
  return { centre, onFlank: near.point, onTip: onCircle(centre, tipRadiusMm), at: 'between' };
}

/** Fillet whose point of contact falls on an end J of the edge: the circle tangent there (left
 *  normal n) and to the tip circle of radius R has radius (R^2 - J^2) / (2 (J . n + R)), within
 *  MERGE_TOL_MM of the one asked for. */
function filletAtEnd(flank: Edge, t: 0 | 1, tipRadiusMm: number): Fillet {
  const [tx, ty] = tangentAt(flank, t);
  const j = t === 0 ? flank.a : flank.b;
  const r =
    (tipRadiusMm ** 2 - j[0] ** 2 - j[1] ** 2) / (2 * (tipRadiusMm - ty * j[0] + tx * j[1]));
  const centre: Pt = [j[0] - r * ty, j[1] + r * tx];
  const at = t === 0 ? 'start' : 'end';
  return { centre, onFlank: j, onTip: onCircle(centre, tipRadiusMm), at };
}

/** Point pushed out onto the circle about the axis, so that its stored radius is exact. */
function onCircle(p: Pt, radiusMm: number): Pt {
  const k = radiusMm / hypot(p[0], p[1]);
  return [k * p[0], k * p[1]];
}

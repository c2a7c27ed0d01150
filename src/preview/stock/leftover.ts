/**
 * The cut part against the outline: how far the nearest swept path stays from each point of it,
 * exactly, less the cutter's radius. Geometry only; what bends is in the form error.
 */
import { edgeLength, pointAt } from '../../profile/geometry/edge.js';
import { signedArea } from '../../profile/geometry/loop.js';
import type { Loop } from '../../model/edges.js';
import type { Timeline } from '../../cam/stock/timeline.js';
import { capArea, surfaceOf } from './contour.js';
import type { RimAt } from './rim.js';
import type { StockAt } from './stock-at.js';

interface Place {
  readonly mm: number;
  readonly x: number;
  readonly y: number;
}

export interface Comparison {
  /** Points of the outline, flat [x0, y0, ...]. mm */
  readonly points: Float64Array;
  /** Stock left at each, greatest over the depth; negative where the path cuts into it. mm */
  readonly leftMm: Float64Array;
  readonly mostLeft: Place;
  readonly deepest: Place;
  /** Area of the cut part over that of the outline less its bore, less one. */
  readonly areaShare: number;
}

/** Farthest apart that points may be. mm */
const STEP_MM = 0.1;

/** What is compared with which outline. */
export interface CutPart {
  readonly data: { readonly figures: { readonly profile: { readonly outline: Loop } } };
  /** Area of the hole that is in the blank to begin with. */
  readonly holeAreaMm2: number;
  readonly timeline: Timeline;
  readonly stock: StockAt;
  readonly rim: RimAt;
}

export function compareWithOutline(part: CutPart): Comparison {
  const { timeline, stock, rim } = part;
  const { outline } = part.data.figures.profile;
  const points = pointsOn(outline, STEP_MM);
  const leftMm = new Float64Array(points.length / 2).fill(-Infinity);
  const last = timeline.stretches.length - 1;
  const slabs = timeline.slabs.length;
  const histories = new Set(timeline.after.subarray(last * slabs, (last + 1) * slabs));
  for (const history of histories) {
    for (let i = 0; i < leftMm.length; i++) {
      leftMm[i] = Math.max(leftMm[i]!, rim.leftAt(points[2 * i]!, points[2 * i + 1]!, history));
    }
  }
  const place = (mm: number): Place => {
    const i = leftMm.indexOf(mm);
    return { mm, x: points[2 * i]!, y: points[2 * i + 1]! };
  };
  let area = 0;
  const field = stock.whole(timeline.after[(last + 1) * slabs - 1] ?? 0);
  field.tiles.forEach((tile, index) => (area += capArea(surfaceOf(tile, field.grid, index))));
  return {
    points,
    leftMm,
    mostLeft: place(Math.max(...leftMm)),
    deepest: place(Math.min(...leftMm)),
    areaShare: area / (signedArea(outline) - part.holeAreaMm2) - 1,
  };
}

/** Points on the outline itself, at most `stepMm` apart. */
function pointsOn(loop: Loop, stepMm: number): Float64Array {
  const out: number[] = [];
  for (const edge of loop) {
    const steps = Math.max(1, Math.ceil(edgeLength(edge) / stepMm));
    for (let s = 0; s < steps; s++) out.push(...pointAt(edge, s / steps));
  }
  return Float64Array.from(out);
}

import { apart, signedTurnRad } from '../../maths/angle.js';
import { hypot } from '../../maths/elementary.js';
import type { Edge, Loop, Pt } from '../../model/edges.js';
import { arc, edgeRadius, edgeSweepRad, line, tangentAt } from './edge.js';
import { carrierIntersections, edgeIntersections, nearestTo, parameterOf } from './intersect.js';
import { type GeometryErrorCode, GeometryError, edgeBounds } from './loop.js';
import { bisect } from '../../maths/solve.js';
import { MERGE_TOL_MM, TANGENT_TOL_RAD } from '../../maths/tolerance.js';

/**
 * Parallel curve of a closed loop, exact in lines and arcs: the path of the centre of a circle of
 * radius |distanceMm| that rolls round it.
 *
 * @param distanceMm > 0 away from the material (right of the travel: outwards for a
 *        counter-clockwise loop, into the hole for a clockwise one), < 0 into it
 * @returns a loop of the same sense. Where the curve turns away from the circle at a corner an
 *        arc about the corner joins the neighbours; where it turns towards it the neighbours are
 *        cut at their intersection.
 * @throws GeometryError with `edgeIndex` and `limit` = the largest distance that works: 'offset-radius' where an arc that curves towards the circle is too tight,
 *        'offset-corner' where cutting a corner would swallow an edge, 'offset-crosses' where
 *        stretches far apart along the loop run into each other.
 *
 *       a      b            an outward offset at a convex corner
 *   ----+      .-----         (arc about the corner b) and
 *        \    /               a concave one (cut at a)
 *         \  /
 */
export function offsetLoop(loop: Loop, distanceMm: number): Loop {
  if (!Number.isFinite(distanceMm)) {
    throw new RangeError(`offset distance ${distanceMm} is not finite`);
  }
  if (distanceMm === 0) return loop;
  const result = tryOffset(loop, distanceMm);
  if (!('fault' in result)) return result.loop;
  const size = Math.abs(distanceMm);
  const limit = result.limitMm ?? largestWorking(loop, distanceMm);
  throw new GeometryError(
    result.fault,
    `an offset of ${size} mm does not fit the loop at edge ${result.edgeIndex}: ${WHY[result.fault]}; not more than ${limit.toFixed(4)} mm`,
    result.edgeIndex,
    limit,
  );
}

type Fault = Extract<GeometryErrorCode, `offset-${string}`>;

const WHY: Record<Fault, string> = {
  'offset-radius': 'the arc is too tight',
  'offset-corner': 'the corner swallows the edge',
  'offset-crosses': 'the parallel curve runs into itself',
};

interface Failure {
  readonly fault: Fault;
  readonly edgeIndex: number;
  readonly limitMm: number | null;
}

type Attempt = { readonly loop: Loop } | Failure;

/** To a millionth of the distance: 2^-20. */
const LIMIT_HALVINGS = 20;

/** Largest |distance| between 0 and the failed one that works. */
function largestWorking(loop: Loop, distanceMm: number): number {
  const works = (d: number): boolean => 'loop' in tryOffset(loop, d);
  return Math.abs(bisect(works, 0, distanceMm, LIMIT_HALVINGS)[0]);
}

function tryOffset(loop: Loop, d: number): Attempt {
  const tight = loop.findIndex(
    (edge) => edge.kind === 'arc' && edgeRadius(edge) + (edge.ccw ? d : -d) < MERGE_TOL_MM,
  );
  if (tight >= 0) {
    const limitMm = edgeRadius(loop[tight] as Edge);
    return { fault: 'offset-radius', edgeIndex: tight, limitMm };
  }
  const shifted = loop.map((edge) => shiftRight(edge, d));
  const corners = settleCorners(loop, shifted, d);
  if ('fault' in corners) return corners;
  return joined(shifted, corners);
}

/** Ends of every shifted edge after its corners are settled, and the arcs put in between. */
interface Corners {
  readonly starts: readonly Pt[];
  readonly ends: readonly Pt[];
  readonly arcs: readonly (Edge | null)[];
}

function settleCorners(loop: Loop, shifted: readonly Edge[], d: number): Corners | Failure {
  const starts = shifted.map((edge) => edge.a);
  const ends = shifted.map((edge) => edge.b);
  const arcs: (Edge | null)[] = loop.map(() => null);
  for (let i = 0; i < loop.length; i++) {
    const next = (i + 1) % loop.length;
    const v = (loop[i] as Edge).b;
    const t = tangentAt(loop[i] as Edge, 1);
    const u = tangentAt(loop[next] as Edge, 0);
    const turn = signedTurnRad(...t, ...u);
    const from = ends[i] as Pt;
    const to = starts[next] as Pt;
    if (Math.abs(turn) <= TANGENT_TOL_RAD || Math.abs(d * turn) < MERGE_TOL_MM) {
      const joint = outFrom(v, t[0] + u[0], t[1] + u[1], d);
      ends[i] = joint;
      starts[next] = joint;
    } else if (turn > 0 === d > 0) {
      arcs[i] = arc(from, to, v, d > 0);
    } else {
      const cut = nearestCrossing(shifted[i] as Edge, shifted[next] as Edge, v);
      if (cut === null) return { fault: 'offset-corner', edgeIndex: i, limitMm: null };
      ends[i] = cut;
      starts[next] = cut;
    }
  }
  return { starts, ends, arcs };
}

function joined(shifted: readonly Edge[], { starts, ends, arcs }: Corners): Attempt {
  const out: Edge[] = [];
  const source: number[] = [];
  for (const [i, whole] of shifted.entries()) {
    const cut = rebuilt(whole, starts[i]!, ends[i]!);
    if (cut === null) return { fault: 'offset-corner', edgeIndex: i, limitMm: null };
    for (const edge of [cut, arcs[i]]) {
      if (!edge) continue;
      out.push(edge);
      source.push(i);
    }
  }
  const crossing = firstCrossing(out);
  return crossing === null
    ? { loop: out }
    : { fault: 'offset-crosses', edgeIndex: source[crossing]!, limitMm: null };
}

/** The edge moved to its right by d. */
export function shiftRight(edge: Edge, d: number): Edge {
  if (edge.kind === 'line') {
    const t = tangentAt(edge, 0);
    return line(outFrom(edge.a, t[0], t[1], d), outFrom(edge.b, t[0], t[1], d));
  }
  const r = edgeRadius(edge);
  const k = (r + (edge.ccw ? d : -d)) / r;
  const scale = (p: Pt): Pt => [
    edge.c[0] + k * (p[0] - edge.c[0]),
    edge.c[1] + k * (p[1] - edge.c[1]),
  ];
  return arc(scale(edge.a), scale(edge.b), edge.c, edge.ccw);
}

/** `p` moved by d to the right of the direction (tx, ty), which need not be of unit length. */
function outFrom(p: Pt, tx: number, ty: number, d: number): Pt {
  const l = hypot(tx, ty);
  return [p[0] + (d * ty) / l, p[1] - (d * tx) / l];
}

/** Where two shifted neighbours cross, the crossing nearest to their old corner; null if none. */
function nearestCrossing(first: Edge, second: Edge, corner: Pt): Pt | null {
  const shared = carrierIntersections(first, second).filter(
    (p) => parameterOf(first, p) !== null && parameterOf(second, p) !== null,
  );
  return nearestTo(corner, shared);
}

/** A cut edge turns no farther than the whole one but for rounding. rad */
const MOST_EXTRA_RAD = 1e-6;

/** `whole` with new ends that lie on it, or null where the ends have passed each other. */
function rebuilt(whole: Edge, a: Pt, b: Pt): Edge | null {
  if (apart(b, a) < MERGE_TOL_MM) return null;
  if (whole.kind === 'line') {
    const dx = whole.b[0] - whole.a[0];
    const dy = whole.b[1] - whole.a[1];
    return (b[0] - a[0]) * dx + (b[1] - a[1]) * dy > 0 ? line(a, b) : null;
  }
  const cut = arc(a, b, centred(a, b, whole.c), whole.ccw);
  return edgeSweepRad(cut) <= Math.max(edgeSweepRad(whole), Math.PI / 2) + MOST_EXTRA_RAD
    ? cut
    : null;
}

/** The centre itself where it is as far from `a` as from `b`; else, at joints merged within
 *  MERGE_TOL_MM, the nearest point to it on the perpendicular bisector of the chord. */
function centred(a: Pt, b: Pt, c: Pt): Pt {
  const ra = apart(a, c);
  const rb = apart(b, c);
  if (Math.abs(ra - rb) <= 64 * Number.EPSILON * Math.max(1, ra)) return c;
  const dx = b[0] - a[0];
  const dy = b[1] - a[1];
  const off =
    ((c[0] - (a[0] + b[0]) / 2) * dx + (c[1] - (a[1] + b[1]) / 2) * dy) / (dx * dx + dy * dy);
  return [c[0] - off * dx, c[1] - off * dy];
}

/**
 * Index of an edge that meets another one anywhere but at their common end, or null. Sweep over
 * bounding boxes sorted by their left side.
 */
function firstCrossing(edges: readonly Edge[]): number | null {
  const boxes = edges.map(edgeBounds);
  const order = edges.map((_, i) => i).sort((p, q) => boxes[p]!.minX - boxes[q]!.minX);
  let open: number[] = [];
  for (const i of order) {
    const box = boxes[i]!;
    open = open.filter((j) => boxes[j]!.maxX >= box.minX - MERGE_TOL_MM);
    for (const j of open) {
      const other = boxes[j]!;
      if (other.minY > box.maxY + MERGE_TOL_MM || other.maxY < box.minY - MERGE_TOL_MM) continue;
      if (meetApart(edges, Math.min(i, j), Math.max(i, j))) return Math.min(i, j);
    }
    open.push(i);
  }
  return null;
}

/** True where two edges meet at a point that is not their joint. */
function meetApart(edges: readonly Edge[], i: number, j: number): boolean {
  const first = edges[i] as Edge;
  const second = edges[j] as Edge;
  const joints: Pt[] = [];
  if (j === i + 1) joints.push(first.b);
  if (i === 0 && j === edges.length - 1) joints.push(first.a);
  return edgeIntersections(first, second).some((hit) =>
    joints.every((q) => apart(hit.point, q) > JOINT_SLACK_MM),
  );
}

/** Two tangent neighbours are found to touch within this of their joint: the point of contact of
 *  two curves that differ little in curvature is loose along the tangent. mm. */
const JOINT_SLACK_MM = 1e-2;

/**
 * Distances from points to lines and arcs, and a bucket grid that finds the near ones. Own code of
 * the tests: nothing of src/profile or src/cam is used.
 */
export interface Curve {
  readonly ax: number;
  readonly ay: number;
  readonly bx: number;
  readonly by: number;
  /** 0 for a line. */
  readonly radius: number;
  readonly cx: number;
  readonly cy: number;
  /** Direction of the middle of the arc from its centre, and half its sweep. rad */
  readonly midX: number;
  readonly midY: number;
  readonly cosHalf: number;
}

export function lineCurve(ax: number, ay: number, bx: number, by: number): Curve {
  return { ax, ay, bx, by, radius: 0, cx: 0, cy: 0, midX: 0, midY: 0, cosHalf: 0 };
}

/** @param sweep  signed, counter-clockwise positive; up to a full turn */
export function arcCurve(
  ax: number,
  ay: number,
  bx: number,
  by: number,
  cx: number,
  cy: number,
  sweep: number,
): Curve {
  const mid = Math.atan2(ay - cy, ax - cx) + sweep / 2;
  const radius = Math.hypot(ax - cx, ay - cy);
  return {
    ...{ ax, ay, bx, by, radius, cx, cy },
    midX: Math.cos(mid),
    midY: Math.sin(mid),
    cosHalf: Math.cos(Math.min(Math.PI, Math.abs(sweep) / 2)),
  };
}

export interface OutlineEdge {
  readonly kind: 'line' | 'arc';
  readonly a: readonly [number, number];
  readonly b: readonly [number, number];
  readonly c?: readonly [number, number];
  readonly ccw?: boolean;
}

/** Edge of plan.json's outline. */
export function edgeCurve(edge: OutlineEdge): Curve {
  const { a, b, c } = edge;
  if (edge.kind === 'line' || !c) return lineCurve(a[0], a[1], b[0], b[1]);
  return arcCurve(a[0], a[1], b[0], b[1], c[0], c[1], edgeSweep(edge));
}

export function edgeSweep({ a, b, c, ccw }: OutlineEdge): number {
  const from = Math.atan2(a[1] - c![1], a[0] - c![0]);
  const to = Math.atan2(b[1] - c![1], b[0] - c![0]);
  const turn = 2 * Math.PI;
  const positive = (((to - from) % turn) + turn) % turn;
  return ccw ? positive : positive - turn;
}

export function distanceTo(curve: Curve, x: number, y: number): number {
  const { ax, ay, bx, by } = curve;
  if (curve.radius === 0) {
    const dx = bx - ax;
    const dy = by - ay;
    const l2 = dx * dx + dy * dy;
    let t = l2 > 0 ? ((x - ax) * dx + (y - ay) * dy) / l2 : 0;
    t = t < 0 ? 0 : t > 1 ? 1 : t;
    return Math.hypot(x - ax - t * dx, y - ay - t * dy);
  }
  const px = x - curve.cx;
  const py = y - curve.cy;
  const d = Math.hypot(px, py);
  // In the sector when the angle to the arc's middle is at most half the sweep.
  if (px * curve.midX + py * curve.midY >= curve.cosHalf * d) return Math.abs(d - curve.radius);
  return Math.min(Math.hypot(x - ax, y - ay), Math.hypot(x - bx, y - by));
}

/** Points along a curve, at most `spacing` apart, its start included and its end not. */
export function pointsAlong(edge: OutlineEdge, spacing: number): [number, number][] {
  const { a, b, c } = edge;
  const points: [number, number][] = [];
  if (edge.kind === 'line' || !c) {
    const n = Math.max(1, Math.ceil(Math.hypot(b[0] - a[0], b[1] - a[1]) / spacing));
    for (let i = 0; i < n; i++) {
      points.push([a[0] + ((b[0] - a[0]) * i) / n, a[1] + ((b[1] - a[1]) * i) / n]);
    }
    return points;
  }
  const radius = Math.hypot(a[0] - c[0], a[1] - c[1]);
  const sweep = edgeSweep(edge);
  const from = Math.atan2(a[1] - c[1], a[0] - c[0]);
  const n = Math.max(1, Math.ceil((radius * Math.abs(sweep)) / spacing));
  for (let i = 0; i < n; i++) {
    const angle = from + (sweep * i) / n;
    points.push([c[0] + radius * Math.cos(angle), c[1] + radius * Math.sin(angle)]);
  }
  return points;
}

/** Of a bucket; neither index is near 2^15. */
const keyOf = (i: number, j: number): number => i * 65_536 + j;

/** Distances up to `reach` from a set of curves, by buckets. */
export class CurveGrid {
  private readonly reach: number;
  private readonly cell: number;
  private readonly buckets = new Map<number, Curve[]>();

  /** @param reach  greatest distance that is asked for. mm */
  constructor(reach: number) {
    this.reach = reach;
    this.cell = Math.max(0.5, reach / 2);
  }

  /** Adds a curve; `points` lie on it, neighbours at most `gap` apart, both ends included. */
  add(curve: Curve, points: readonly (readonly [number, number])[], gap: number): void {
    const slack = this.reach + gap / 2;
    const seen = new Set<number>();
    for (const [x, y] of points) {
      const i1 = Math.floor((x + slack) / this.cell);
      const j1 = Math.floor((y + slack) / this.cell);
      for (let i = Math.floor((x - slack) / this.cell); i <= i1; i++) {
        for (let j = Math.floor((y - slack) / this.cell); j <= j1; j++) seen.add(keyOf(i, j));
      }
    }
    for (const key of seen) {
      const bucket = this.buckets.get(key);
      if (bucket) bucket.push(curve);
      else this.buckets.set(key, [curve]);
    }
  }

  /** Least distance to any curve; Infinity where none is within reach. mm */
  distance(x: number, y: number): number {
    const key = keyOf(Math.floor(x / this.cell), Math.floor(y / this.cell));
    let best = Infinity;
    for (const curve of this.buckets.get(key) ?? []) {
      best = Math.min(best, distanceTo(curve, x, y));
    }
    return best;
  }
}

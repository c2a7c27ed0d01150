import type { Loop, Pt } from '../../src/model/edges.js';
import {
  arc,
  circle,
  line,
  mapEdge,
  mirrorEdge,
  nearestOnEdge,
  rotatePt,
} from '../../src/profile/geometry/edge.js';
import { inAir, reverseLoop } from '../../src/profile/geometry/loop.js';

/** Closed polygon through the points. */
export function polygon(points: readonly Pt[]): Loop {
  return points.map((p, i) => line(p, points[(i + 1) % points.length] as Pt));
}

/** Counter-clockwise rectangle with a corner at the origin. */
export function rectangle(width: number, height: number): Loop {
  return polygon([
    [0, 0],
    [width, 0],
    [width, height],
    [0, height],
  ]);
}

/** Rectangle with rounded corners, all joints tangent. */
export function roundedRectangle(width: number, height: number, r: number): Loop {
  return [
    line([r, 0], [width - r, 0]),
    arc([width - r, 0], [width, r], [width - r, r], true),
    line([width, r], [width, height - r]),
    arc([width, height - r], [width - r, height], [width - r, height - r], true),
    line([width - r, height], [r, height]),
    arc([r, height], [0, height - r], [r, height - r], true),
    line([0, height - r], [0, r]),
    arc([0, r], [r, 0], [r, r], true),
  ];
}

/** L-shape with one concave corner, and a notched square with a concave half circle. */
export const ELL: Loop = polygon([
  [0, 0],
  [10, 0],
  [10, 4],
  [4, 4],
  [4, 10],
  [0, 10],
]);

export const SCOOPED: Loop = [
  line([0, 0], [20, 0]),
  line([20, 0], [20, 10]),
  line([20, 10], [14, 10]),
  arc([14, 10], [6, 10], [10, 10], false),
  line([6, 10], [0, 10]),
  line([0, 10], [0, 0]),
];

export const DISC: Loop = circle([3, -2], 5, true);

/** Deterministic numbers in 0..1 from a seed (mulberry32). */
export function seeded(seed: number): () => number {
  let s = seed >>> 0;
  return () => {
    s = (s + 0x6d2b79f5) >>> 0;
    let t = Math.imul(s ^ (s >>> 15), 1 | s);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

export function translateLoop(loop: Loop, dx: number, dy: number): Loop {
  return loop.map((edge) => mapEdge(edge, (p) => [p[0] + dx, p[1] + dy]));
}

/** Mirrored in the X axis, keeping the sense. */
export function rotateLoop(loop: Loop, angleRad: number): Loop {
  return loop.map((edge) => mapEdge(edge, (p) => rotatePt(p, angleRad)));
}

export function mirrorLoop(loop: Loop): Loop {
  return reverseLoop(loop.map(mirrorEdge));
}

/** Distance from a loop by looking at every edge, mm: negative in the material. */
export function signedDistanceToLoop(loop: Loop, p: Pt): number {
  const distance = Math.min(...loop.map((edge) => nearestOnEdge(edge, p).distanceMm));
  return inAir(loop, p) ? distance : -distance;
}

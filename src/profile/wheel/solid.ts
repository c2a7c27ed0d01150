/**
 * The finished wheel as a closed surface of triangles: teeth with side relief, hub below, bore
 * through. Z0 is the top face of the teeth, Z up, as in the part frame.
 *
 * Built straight from the outline and not by booleans: the relief is a surface of revolution cut
 * by the flanks, and the points where the two meet are known beforehand.
 *
 *   a tooth from above, rows of equal radius:           section through a tooth:
 *
 *        r_n  .--.--.--.   tip                           z = 0  ___________
 *            /  |  |    \                                                  '-.
 *        r_1 .---.--.----.                                                    )
 *           /   |    |    \                                     ___________.-'
 *        r_0 .----.--.-----.  relief begins              z = -t           r_0 r_n
 */
import { acos, atan2, hypot } from '../../maths/elementary.js';
import modeling from '@jscad/modeling';
import { circle, edgeLength, pointAt, polar, rotatePt, splitEdge } from '../geometry/edge.js';
import type { Edge, Loop, Pt } from '../../model/edges.js';
import { chordCount, loopFlatten } from '../geometry/loop.js';
import type { Wheel } from './sprocket.js';
import { bisect } from '../../maths/solve.js';
import { SOLID_CHORD_TOL_MM } from '../../maths/tolerance.js';

type Vec3 = [x: number, y: number, z: number];

/** Corners counter-clockwise seen from outside. Neighbours share the same corner objects. */
type Triangle = readonly [Vec3, Vec3, Vec3];

/** What the wheel has besides its teeth. */
export interface SolidBody {
  /** Clockwise loop about the axis, through teeth and hub. */
  readonly bore: Loop;
  readonly hub: { readonly diameterMm: number; readonly lengthMm: number } | null;
}

/** Rows of the relief are at most this far apart: a chord of 0.4 mm has a sagitta of 2.5 um on a
 *  relief radius of 8 mm, as fine as the chords of the outline. mm */
const ROW_STEP_MM = 0.4;

/**
 * @param teeth  number of teeth of the profile
 * @returns triangles of the closed surface; chords stay within SOLID_CHORD_TOL_MM of the outline
 * The bore must leave a wall to the hub, and the hub to the root circle.
 */
export function sprocketSolid(profile: Wheel, teeth: number, body: SolidBody): Triangle[] {
  const t = profile.thicknessMm;
  const relief = turnedRelief(profile);
  const rim = rimOf(halfGap(profile.gap, relief, profile.tipDiameterMm / 2), teeth);
  const top = raise(rim, (rMm) => -reliefAtMm(relief, rMm));
  const bottom = raise(rim, (rMm) => reliefAtMm(relief, rMm) - t);
  const lowestMm = body.hub ? -t - body.hub.lengthMm : -t;
  const bore = flat(body.bore);
  const boreTop = at(bore, 0);
  const boreBottom = at(bore, lowestMm);

  const out: Triangle[] = [];
  reliefFaces(top, true, out);
  reliefFaces(bottom, false, out);
  wall(outerRing(top), outerRing(bottom), out);
  face(innerRing(top), boreTop, true, out);
  // The bore runs clockwise, so its wall faces the axis.
  wall(boreTop, boreBottom, out);
  if (body.hub) {
    const round = flat(circle([0, 0], body.hub.diameterMm / 2, true));
    const hubTop = at(round, -t);
    const hubBottom = at(round, lowestMm);
    face(innerRing(bottom), [...hubTop].reverse(), false, out);
    wall(hubTop, hubBottom, out);
    face(hubBottom, boreBottom, false, out);
  } else {
    face(innerRing(bottom), boreBottom, false, out);
  }
  return out;
}

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
export function turnedRelief(profile: Wheel): Relief {
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
function reliefAtMm(relief: Relief, rMm: number): number {
  const over = rMm - relief.startRadiusMm;
  if (over <= 0) return 0;
  const r = relief.radiusMm;
  return r - Math.sqrt(r * r - over * over);
}

/** Half a gap, from its middle on +X to where the flank meets the tip circle. */
interface HalfGap {
  /** Below the relief; the first point has y = 0. */
  readonly seat: readonly Pt[];
  /** Flank above it. Angles are from the middle of the gap. */
  readonly rows: readonly { readonly rMm: number; readonly angleRad: number }[];
}

function halfGap(gap: readonly Edge[], relief: Relief, tipRadiusMm: number): HalfGap {
  const { below, above } = cutAtRadius(upperHalf(gap), relief.startRadiusMm);
  const rows: { rMm: number; angleRad: number }[] = [];
  for (const p of [...above.flatMap((edge) => chordStarts(edge, ROW_STEP_MM))]) {
    rows.push({ rMm: radius(p), angleRad: atan2(p[1], p[0]) });
    if (radius(p) >= tipRadiusMm - 1e-9) break;
  }
  return { seat: below.flatMap((edge) => chordStarts(edge, Infinity)), rows };
}

/** The part of a symmetric gap with y >= 0, starting in the middle of the seat. */
function upperHalf(gap: readonly Edge[]): Edge[] {
  const i = gap.findIndex((edge) => edge.a[1] < 0 && edge.b[1] > 0);
  const [, upper] = splitEdge(gap[i] as Edge, 0.5);
  return [{ ...upper, a: [upper.a[0], 0] }, ...gap.slice(i + 1)];
}

/** Cuts a chain of edges where it first comes out of a circle about the axis. */
function cutAtRadius(edges: readonly Edge[], rMm: number): { below: Edge[]; above: Edge[] } {
  const i = edges.findIndex((edge) => radius(edge.b) > rMm);
  const edge = edges[i] as Edge;
  const inside = (t: number): boolean => radius(pointAt(edge, t)) <= rMm;
  const [, hi] = bisect(inside, 0, 1, 60);
  const [first, second] = splitEdge(edge, hi);
  return { below: [...edges.slice(0, i), first], above: [second, ...edges.slice(i + 1)] };
}

/** Start of each chord that stands for an edge. */
function chordStarts(edge: Edge, longestMm: number): Pt[] {
  const steps = Math.max(
    chordCount(edge, SOLID_CHORD_TOL_MM),
    Math.ceil(edgeLength(edge) / longestMm),
  );
  return Array.from({ length: steps }, (_, i) => pointAt(edge, i / steps));
}

/** Points of the teeth in the plane: per gap, and per tooth in rows. */
interface Rim<P> {
  readonly seats: readonly (readonly P[])[];
  /** [tooth][row][across] */
  readonly rows: readonly (readonly (readonly P[])[])[];
}

function rimOf(half: HalfGap, teeth: number): Rim<Pt> {
  const first = half.rows[0]!;
  const last = half.rows[half.rows.length - 1]!;
  const halfTooth = Math.PI / teeth;
  const chords = (rMm: number, halfRad: number): number =>
    Math.ceil(halfRad / acos(1 - SOLID_CHORD_TOL_MM / rMm));
  const across = Math.max(
    2,
    chords(first.rMm, halfTooth - first.angleRad),
    chords(last.rMm, halfTooth - last.angleRad),
  );
  const lower = half.seat.slice(1).map(([x, y]): Pt => [x, -y]);
  const seat = [...lower.reverse(), ...half.seat];
  const gaps = Array.from({ length: teeth }, (_, j) => (2 * Math.PI * j) / teeth);
  const rows = gaps.map((gapRad) =>
    half.rows.map(({ rMm, angleRad }) => {
      const width = halfTooth - angleRad;
      return Array.from({ length: across + 1 }, (_, i) =>
        polar(rMm, gapRad + halfTooth + width * ((2 * i) / across - 1)),
      );
    }),
  );
  return { seats: gaps.map((gapRad) => seat.map((p) => rotatePt(p, gapRad))), rows };
}

function raise(rim: Rim<Pt>, zOf: (rMm: number) => number): Rim<Vec3> {
  const lift = (p: Pt): Vec3 => [p[0], p[1], zOf(radius(p))];
  const level = (p: Pt): Vec3 => [p[0], p[1], zOf(0)];
  return {
    seats: rim.seats.map((seat) => seat.map(level)),
    rows: rim.rows.map((tooth) => tooth.map((row, k) => row.map(k === 0 ? level : lift))),
  };
}

/** Round the whole outline, counter-clockwise. */
function outerRing(rim: Rim<Vec3>): Vec3[] {
  return rim.seats.flatMap((seat, j) => {
    const tooth = rim.rows[j]!;
    const up = tooth.map((row) => row[0]!);
    const tip = tooth[tooth.length - 1]!;
    const down = tooth.map((row) => row[row.length - 1]!).reverse();
    return [...seat, ...up, ...tip.slice(1, -1), ...down];
  });
}

/** Round the flat of the face, where the relief begins. */
function innerRing(rim: Rim<Vec3>): Vec3[] {
  return rim.seats.flatMap((seat, j) => [...seat, ...rim.rows[j]![0]!]);
}

function reliefFaces(rim: Rim<Vec3>, up: boolean, out: Triangle[]): void {
  for (const tooth of rim.rows) {
    for (let k = 1; k < tooth.length; k++) {
      const inner = tooth[k - 1]!;
      const outer = tooth[k]!;
      for (let i = 1; i < inner.length; i++) {
        quad([inner[i - 1]!, outer[i - 1]!, outer[i]!, inner[i]!], up, out);
      }
    }
  }
}

/** Band between two rings of as many points; faces right of the ring's direction. */
function wall(upper: readonly Vec3[], lower: readonly Vec3[], out: Triangle[]): void {
  upper.forEach((a, i) => {
    const next = (i + 1) % upper.length;
    quad([a, lower[i]!, lower[next]!, upper[next]!], true, out);
  });
}

function quad([a, b, c, d]: [Vec3, Vec3, Vec3, Vec3], up: boolean, out: Triangle[]): void {
  if (up) out.push([a, b, c], [a, c, d]);
  else out.push([a, c, b], [a, d, c]);
}

/** Flat face between a counter-clockwise ring and a clockwise hole. */
function face(outer: readonly Vec3[], hole: readonly Vec3[], up: boolean, out: Triangle[]): void {
  const { slice } = modeling.extrusions;
  const sides = (ring: readonly Vec3[]): [Vec3, Vec3][] =>
    ring.map((p, i) => [p, ring[(i + 1) % ring.length]!]);
  for (const { vertices } of slice.toPolygons(slice.create([...sides(outer), ...sides(hole)]))) {
    const [a, b, c] = vertices as [Vec3, Vec3, Vec3];
    const ccw = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) > 0;
    out.push(ccw === up ? [a, b, c] : [a, c, b]);
  }
}

function flat(loop: Loop): Pt[] {
  const xy = loopFlatten(loop, SOLID_CHORD_TOL_MM);
  return Array.from({ length: xy.length / 2 }, (_, i): Pt => [xy[2 * i]!, xy[2 * i + 1]!]);
}

function at(ring: readonly Pt[], zMm: number): Vec3[] {
  return ring.map(([x, y]) => [x, y, zMm]);
}

function radius(p: Pt): number {
  return hypot(p[0], p[1]);
}

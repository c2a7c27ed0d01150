/** What stands still: table, hub, hold-down and its keep-out, axes, zero, the finished outline. */
import { TURN_RAD } from '../../maths/angle.js';
import {
  BufferAttribute,
  BufferGeometry,
  type Color,
  DoubleSide,
  ExtrudeGeometry,
  Group,
  LatheGeometry,
  Line,
  LineBasicMaterial,
  LineDashedMaterial,
  LineLoop,
  LineSegments,
  Mesh,
  MeshBasicMaterial,
  Path,
  RingGeometry,
  Shape,
  type ShaderMaterial,
  Vector2,
} from 'three';
import { belowTeeth } from '../../post/sheet/holding-plan.js';
import type { Loop } from '../../model/edges.js';
import { loopFlatten } from '../../profile/geometry/loop.js';
import { boreLoop } from '../../profile/wheel/bore.js';
import type { PageData } from '../data/page-data.js';

export type FixtureInk = Readonly<Record<'line' | 'faint' | 'accent' | 'warn', Color>>;

/** Spokes and rings of the table's ruling are this far apart. mm */
const RULING_MM = 10;
const SIDES = 96;

/** Height of the table under the blank. mm: a spacer or ring stands on it; a hub does not reach it. */
export function tableZMm({ figures }: PageData): number {
  const below = belowTeeth(figures.job, figures.holding);
  return -figures.profile.thicknessMm - (below ? below.lengthMm + UNDER_HUB_MM : SPACER_MM);
}

/** Spacer under a wheel without a hub, and air under a hub, as drawn. mm; nothing is reckoned from
 *  them. */
const SPACER_MM = 8;
const UNDER_HUB_MM = 2;

/** Table with rings every 10 mm and a spoke through every tooth gap. */
export function tableRuling(data: PageData, ink: FixtureInk): LineSegments {
  const { figures } = data;
  const z = tableZMm(data);
  const reach = RULING_MM * Math.ceil(figures.reach.keepOutDiameterMm / 2 / RULING_MM + 1);
  const points: number[] = [];
  for (let r = RULING_MM; r <= reach; r += RULING_MM) {
    const ring = circle(r, z);
    for (let i = 0; i + 3 < ring.length; i += 3) points.push(...ring.slice(i, i + 6));
  }
  const { teeth } = figures.job.sprocket;
  const spokes = teeth <= 30 ? teeth : teeth / Math.ceil(teeth / 30);
  for (let k = 0; k < spokes; k++) {
    const a = (TURN_RAD * k) / spokes;
    const [c, s] = [Math.cos(a), Math.sin(a)];
    points.push(RULING_MM * c, RULING_MM * s, z, reach * c, reach * s, z);
  }
  return segments(points, ink.faint);
}

/** The cutter's rim at its tip, which is at the origin. */
export function cutterRim({ figures }: PageData, ink: FixtureInk): LineSegments {
  return segments(circle(figures.job.cutter.diameterMm / 2, 0), ink.warn);
}

/** Points of a closed circle, the first again at its end. */
function circle(radius: number, z: number): number[] {
  return Array.from({ length: SIDES + 1 }, (_, i) => (TURN_RAD * i) / SIDES).flatMap((a) => [
    radius * Math.cos(a),
    radius * Math.sin(a),
    z,
  ]);
}

function placed(points: ArrayLike<number>): BufferGeometry {
  const position = new BufferAttribute(Float32Array.from(points), 3);
  return new BufferGeometry().setAttribute('position', position);
}

function segments(points: readonly number[], colour: Color): LineSegments {
  return new LineSegments(placed(points), new LineBasicMaterial({ color: colour }));
}

/** X, Y, Z with an arrow head each, from the zero. */
export function axes(lengthMm: number, ink: FixtureInk): LineSegments {
  const head = lengthMm / 16;
  const points: number[] = [];
  for (let axis = 0; axis < 3; axis++) {
    const at = (along: number, aside: number): number[] => {
      const p = [0, 0, 0];
      p[axis] = along;
      p[axis === 2 ? 0 : 1 - axis] = aside;
      return p;
    };
    points.push(...at(0, 0), ...at(lengthMm, 0));
    for (const side of [-1, 1]) {
      points.push(...at(lengthMm, 0), ...at(lengthMm - head, (side * head) / 3));
    }
  }
  return segments(points, ink.accent);
}

/** Zero: a ring in quarters, as on a drawing, at the top face. */
export function zeroMark(radiusMm: number, ink: FixtureInk): Group {
  const group = new Group();
  for (let k = 0; k < 4; k++) {
    const from = (k * Math.PI) / 2;
    const quarter = new RingGeometry(0.12 * radiusMm, radiusMm, 8, 1, from, Math.PI / 2);
    const material = new MeshBasicMaterial({
      color: ink.accent,
      side: DoubleSide,
      transparent: true,
      opacity: k % 2 === 0 ? 0.9 : 0.15,
      depthTest: false,
    });
    group.add(new Mesh(quarter, material));
  }
  group.renderOrder = 5;
  return group;
}

/** Outline of the finished teeth, top and bottom edge. */
export function outlineLines({ figures }: PageData, ink: FixtureInk): Group {
  const group = new Group();
  const shape = pointsOf(figures.profile.outline);
  for (const z of [0, -figures.profile.thicknessMm]) {
    const points = shape.flatMap(({ x, y }) => [x, y, z]);
    group.add(new LineLoop(placed(points), new LineBasicMaterial({ color: ink.accent })));
  }
  return group;
}

/** The finished wheel as a solid, for looking at beside the stock. */
export function finishedPart({ figures }: PageData, material: ShaderMaterial): Mesh {
  const { profile, job } = figures;
  const shape = new Shape(pointsOf(profile.outline));
  shape.holes.push(new Path(pointsOf(boreLoop(job.joint.shaft))));
  const solid = new ExtrudeGeometry(shape, {
    depth: profile.thicknessMm,
    bevelEnabled: false,
    curveSegments: 48,
  });
  solid.translate(0, 0, -profile.thicknessMm);
  return new Mesh(solid, material);
}

const pointsOf = (loop: Loop): Vector2[] => vectorsOf(loopFlatten(loop));

/** @param flat  [x0, y0, x1, y1, ...] */
export function vectorsOf(flat: ArrayLike<number>): Vector2[] {
  const { length } = flat;
  return Array.from({ length: length / 2 }, (_, i) => new Vector2(flat[2 * i], flat[2 * i + 1]));
}

/** Hub or spigot under the teeth. */
export function hub({ figures }: PageData, material: ShaderMaterial): Group {
  const group = new Group();
  const { bore } = figures.job;
  const size = belowTeeth(figures.job, figures.holding);
  if (!size) return group;
  const top = -figures.profile.thicknessMm;
  group.add(tube(bore.diameterMm / 2, size.diameterMm / 2, top - size.lengthMm, top, material));
  return group;
}

/** A ring about the axis of the wheel, open at the front by an angle where it is slit. */
export function tube(
  innerMm: number,
  outerMm: number,
  lowMm: number,
  highMm: number,
  material: ShaderMaterial,
  sides = 64,
  slitRad = 0,
): Mesh {
  const corners = [
    [innerMm, lowMm],
    [outerMm, lowMm],
    [outerMm, highMm],
    [innerMm, highMm],
    [innerMm, lowMm],
  ] as const;
  const profile = corners.map(([x, y]) => new Vector2(x, y));
  const geometry = new LatheGeometry(
    profile,
    sides,
    Math.PI + slitRad / 2,
    TURN_RAD - slitRad,
  ).toNonIndexed();
  geometry.computeVertexNormals();
  geometry.rotateX(Math.PI / 2);
  return new Mesh(geometry, material);
}

/**
 * Keep-out: the space that the rim of the cutter sweeps with its clearance. Nothing of the
 * holding may stand in it. Drawn as dashed circles joined by uprights.
 */
export function keepOut({ figures }: PageData, ink: FixtureInk): Group {
  const group = new Group();
  const { lowestZMm: low, highestZMm: high, keepOutDiameterMm, spacerMaxMm } = figures.reach;
  const [outer, inner] = [keepOutDiameterMm / 2, spacerMaxMm / 2];
  const material = new LineDashedMaterial({ color: ink.warn, dashSize: 2.2, gapSize: 1.4 });
  const dashed = (points: readonly number[]) =>
    group.add(new Line(placed(points), material).computeLineDistances());
  dashed(circle(outer, low));
  dashed(circle(outer, high));
  dashed(circle(inner, low));
  for (let k = 0; k < 12; k++) {
    const a = (TURN_RAD * (k + 0.5)) / 12;
    const [c, s] = [Math.cos(a), Math.sin(a)];
    dashed([outer * c, outer * s, low, outer * c, outer * s, high]);
    dashed([inner * c, inner * s, low, outer * c, outer * s, low]);
  }
  return group;
}

/** A wall round the outline, set off by an exaggerated error: what is bent is seen. */
import { norm2 } from '../../maths/angle.js';
import { BufferAttribute, BufferGeometry, DoubleSide, Mesh, MeshBasicMaterial } from 'three';
import { type Rgb, bandOf } from '../data/paint.js';

export interface Ribbon {
  /** Points of the outline, flat [x0, y0, ...], counter-clockwise. mm */
  readonly points: ArrayLike<number>;
  /** Heights of the rows, from the top down. mm */
  readonly heightsMm: readonly number[];
  /** Error at a point and a height, mm into the air. */
  readonly errorMm: (point: number, zMm: number) => number;
  /** Error at the top of the scale. mm */
  readonly topMm: number;
}

export function ribbonMesh(ribbon: Ribbon, factor: number, colours: readonly Rgb[]): Mesh {
  const { points, heightsMm, errorMm, topMm } = ribbon;
  const count = points.length / 2;
  const rows = heightsMm.length;
  const position = new Float32Array(count * rows * 3);
  const colour = new Float32Array(count * rows * 3);
  for (let i = 0; i < count; i++) {
    const [nx, ny] = outward(points, i, count);
    heightsMm.forEach((z, row) => {
      const error = errorMm(i, z);
      const at = 3 * (row * count + i);
      position[at] = points[2 * i]! + factor * error * nx;
      position[at + 1] = points[2 * i + 1]! + factor * error * ny;
      position[at + 2] = z;
      colour.set(colours[bandOf(Math.abs(error) / topMm)]!, at);
    });
  }
  const index: number[] = [];
  for (let row = 0; row + 1 < rows; row++) {
    for (let i = 0; i < count; i++) {
      const k = (i + 1) % count;
      const [a, b] = [row * count + i, row * count + k];
      const [c, d] = [b + count, a + count];
      index.push(a, b, c, a, c, d);
    }
  }
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(position, 3));
  geometry.setAttribute('color', new BufferAttribute(colour, 3));
  geometry.setIndex(index);
  const material = new MeshBasicMaterial({
    vertexColors: true,
    side: DoubleSide,
    transparent: true,
    opacity: 0.85,
  });
  return new Mesh(geometry, material);
}

/** Unit normal to the right of the way from the point before to the point after. */
function outward(points: ArrayLike<number>, i: number, count: number): [number, number] {
  const a = (i + count - 1) % count;
  const b = (i + 1) % count;
  const dx = points[2 * b]! - points[2 * a]!;
  const dy = points[2 * b + 1]! - points[2 * a + 1]!;
  const length = norm2(dx, dy) || 1;
  return [dy / length, -dx / length];
}

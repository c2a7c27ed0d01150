/**
 * Layers of stock as meshes. The walls of a layer are joined into loops, and its cap is what the
 * loops enclose.
 */
import {
  BufferAttribute,
  BufferGeometry,
  type Color,
  DynamicDrawUsage,
  Group,
  type LineBasicMaterial,
  LineSegments,
  Mesh,
  type ShaderMaterial,
  ShapeUtils,
  Sphere,
  type Vector2,
  Vector3,
} from 'three';
import type { Rgb } from '../data/paint.js';
import { vectorsOf } from './fixtures.js';
import { FLAT } from './flat.js';
import { surfaceOf } from '../stock/contour.js';
import { type WallLoop, loopArea, wallLoops } from '../stock/loops.js';
import type { StockLayer } from '../stock/stock-at.js';
import { type TileField, UNCUT } from '../stock/tile-field.js';
import { NO_BAND, type Tones, putTone, rgbOf } from './tones.js';

/** Bytes of a normal: x, y, z and one to fill up; and of a tone. */
const BYTES = 4;
const EVERYWHERE = new Sphere(new Vector3(), 1e5);

export interface StockMaterials {
  readonly cap: ShaderMaterial;
  readonly wall: ShaderMaterial;
  readonly edge: LineBasicMaterial;
  /** Colours of walls that no figure colours: as the blank came, and cut. */
  readonly skin: Color;
  readonly cut: Color;
}

export class StockMesh {
  readonly group = new Group();
  /** Stands for the edges of all layers: they are shown while it is. */
  readonly edges = new Group();
  private readonly layers: LayerMesh[] = [];
  private readonly materials: StockMaterials;
  tones: Tones | null = null;

  constructor(materials: StockMaterials) {
    this.materials = materials;
  }

  /** @param fromBelow  whether the underside is in view */
  show(layers: readonly StockLayer[], fromBelow: boolean): void {
    layers.forEach((layer, k) => {
      let mesh = this.layers[k];
      if (!mesh) {
        mesh = new LayerMesh(this.materials);
        this.layers.push(mesh);
        this.group.add(mesh.group);
      }
      mesh.group.visible = true;
      mesh.underside.visible = fromBelow && k === layers.length - 1;
      mesh.lines.visible = this.edges.visible;
      mesh.show(layer, this.tones);
    });
    for (let k = layers.length; k < this.layers.length; k++) {
      this.layers[k]!.group.visible = false;
    }
  }
}

/** Caps lie at z = 1 and walls reach from 0 to 1: the group's scale makes the height of them. */
class LayerMesh {
  readonly group = new Group();
  private readonly caps = new BufferGeometry();
  private readonly walls = new BufferGeometry();
  private readonly edges = new BufferGeometry();
  readonly underside: Mesh;
  readonly lines: LineSegments;
  private readonly materials: StockMaterials;
  private field: TileField | null = null;
  private stamp = '';
  /** Entry that made each wall drawn, for picking. */
  private owners: number[] = [];

  constructor(materials: StockMaterials) {
    this.materials = materials;
    const capMesh = new Mesh(this.caps, materials.cap);
    capMesh.userData[FLAT] = materials.cut;
    const wallMesh = new Mesh(this.walls, materials.wall);
    this.underside = new Mesh(this.caps, materials.cap);
    this.underside.scale.z = 0;
    this.lines = new LineSegments(this.edges, materials.edge);
    const { lines } = this;
    for (const object of [capMesh, wallMesh, this.underside, lines]) object.frustumCulled = false;
    // Picking: the underside and the edges are left out; buffers that change have no bounds.
    this.underside.raycast = lines.raycast = () => {};
    this.caps.boundingSphere = this.walls.boundingSphere = EVERYWHERE;
    wallMesh.userData['ownerAt'] = (face: number) => this.owners[Math.floor(face / 2)] ?? UNCUT;
    this.group.add(capMesh, wallMesh, this.underside, lines);
  }

  show(layer: StockLayer, tones: Tones | null): void {
    this.group.position.z = layer.bottomMm;
    this.group.scale.z = layer.topMm - layer.bottomMm;
    const { tiles, grid } = layer.field;
    let stamp = `${tones?.stamp ?? 0} `;
    for (const tile of tiles) stamp += `${tile.writer}.${tile.version} `;
    if (this.field === layer.field && this.stamp === stamp) return;
    this.field = layer.field;
    this.stamp = stamp;
    const groupOf = (owner: number) =>
      owner === UNCUT ? NO_BAND + 1 : (tones?.bandOfEntry(owner) ?? NO_BAND);
    const surfaces = tiles.map((tile, index) => surfaceOf(tile, grid, index));
    const loops = wallLoops(surfaces, grid, groupOf);
    this.fillCaps(capTriangles(loops));
    this.fillWalls(loops, tones);
  }

  private fillCaps(triangles: readonly number[]): void {
    const count = triangles.length / 2;
    const cap = roomFor(this.caps, 'position', count, 3, Float32Array);
    for (let v = 0; v < count; v++) cap.set([triangles[2 * v]!, triangles[2 * v + 1]!, 1], 3 * v);
    this.caps.setDrawRange(0, count);
  }

  private fillWalls(loops: readonly WallLoop[], tones: Tones | null): void {
    const count = loops.reduce((sum, loop) => sum + loop.owners.length, 0);
    const wall = roomFor(this.walls, 'position', 4 * count, 3, Float32Array);
    const normal = roomFor(this.walls, 'normal', 4 * count, BYTES, Int8Array);
    const tone = roomFor(this.walls, 'tone', 4 * count, BYTES, Uint8Array);
    const edge = roomFor(this.edges, 'position', 2 * count, 3, Float32Array);
    this.corners(count);
    this.owners = [];
    let w = 0;
    for (const { points, normals, owners } of loops) {
      const n = owners.length;
      for (let k = 0; k < n; k++, w++) {
        const next = (k + 1) % n;
        const [ax, ay] = [points[2 * k]!, points[2 * k + 1]!];
        const [bx, by] = [points[2 * next]!, points[2 * next + 1]!];
        // Corners of a wall: a below, b below, b above, a above.
        wall.set([ax, ay, 0, bx, by, 0, bx, by, 1, ax, ay, 1], 12 * w);
        edge.set([ax, ay, 1, bx, by, 1], 6 * w);
        const [colour, band] = this.toneOf(owners[k] as number, tones);
        for (let c = 0; c < 4; c++) {
          const end = 2 * (c === 1 || c === 2 ? next : k);
          const v = (4 * w + c) * BYTES;
          normal.set([Math.round(127 * normals[end]!), Math.round(127 * normals[end + 1]!)], v);
          putTone(tone, v, colour, band);
        }
        this.owners.push(owners[k] as number);
      }
    }
    this.walls.setDrawRange(0, 6 * count);
    this.edges.setDrawRange(0, 2 * count);
  }

  private toneOf(owner: number, tones: Tones | null): [Rgb, number] {
    const { skin, cut } = this.materials;
    if (owner === UNCUT) return [rgbOf(skin), NO_BAND];
    const band = tones?.bandOfEntry(owner) ?? NO_BAND;
    const colour = tones?.colours[band];
    return colour ? [colour, band] : [rgbOf(cut), NO_BAND];
  }

  /** Two triangles a wall; the index is the same for all, and only ever grows. */
  private corners(walls: number): void {
    if ((this.walls.index?.count ?? 0) >= 6 * walls) return;
    const index = roomFor(this.walls, null, 6 * walls, 1, Uint32Array);
    for (let w = 0; 6 * w + 5 < index.length; w++) {
      const v = 4 * w;
      index.set([v, v + 1, v + 2, v, v + 2, v + 3], 6 * w);
    }
    this.walls.index?.clearUpdateRanges();
  }
}

/** Loops smaller than this are chips of the grid. mm2 */
const LEAST_MM2 = 1e-6;

/** @returns corners of triangles, flat [x0, y0, x1, y1, x2, y2, ...] */
function capTriangles(loops: readonly WallLoop[]): number[] {
  const shapes = loops.map((loop) => {
    return { points: vectorsOf(loop.points), area: loopArea(loop), holes: [] as Vector2[][] };
  });
  // The innermost of those around a hole has the least area.
  const outer = shapes.filter(({ area }) => area > LEAST_MM2).sort((a, b) => a.area - b.area);
  for (const { points: hole, area } of shapes) {
    if (area < -LEAST_MM2) outer.find((o) => contains(o.points, hole[0]!))?.holes.push(hole);
  }
  const out: number[] = [];
  for (const { points, holes } of outer) {
    const all = [points, ...holes].flat();
    for (const triangle of ShapeUtils.triangulateShape(points, holes)) {
      for (const v of triangle) out.push(all[v]!.x, all[v]!.y);
    }
  }
  return out;
}

/** Crossings of a ray to the right. */
function contains(points: readonly Vector2[], { x, y }: Vector2): boolean {
  let inside = false;
  points.forEach((a, i) => {
    const b = points.at(i - 1)!;
    if (a.y > y !== b.y > y && x < ((b.x - a.x) * (y - a.y)) / (b.y - a.y) + a.x) inside = !inside;
  });
  return inside;
}

type Numbers = Float32Array | Int8Array | Uint8Array | Uint32Array;

/**
 * Array of an attribute, made larger where it must be.
 * @param name   name of the attribute, or null for the index
 * @param count  how many will be written
 */
function roomFor<T extends Numbers>(
  geometry: BufferGeometry,
  name: string | null,
  count: number,
  size: number,
  Kind: new (length: number) => T,
): T {
  let attribute = (name === null ? geometry.index : geometry.getAttribute(name)) as
    | BufferAttribute
    | null
    | undefined;
  if (!attribute || attribute.count < count) {
    const array = new Kind((Math.ceil(1.3 * count) + 256) * size);
    const bytes = array instanceof Int8Array || array instanceof Uint8Array;
    attribute = new BufferAttribute(array, size, bytes);
    attribute.setUsage(DynamicDrawUsage);
    // Buffers cannot grow: those on the graphics side go, and are made anew when next drawn.
    geometry.dispose();
    if (name === null) geometry.setIndex(attribute);
    else geometry.setAttribute(name, attribute);
  }
  attribute.clearUpdateRanges();
  attribute.addUpdateRange(0, count * size);
  attribute.needsUpdate = true;
  return attribute.array as T;
}

/**
 * Layers of stock as meshes. A tile's surface is worked out once for each version of the tile;
 * a layer is the surfaces of its tiles, one behind the other, in buffers that grow as needed.
 */
import type { LineBasicMaterial } from 'three';
import {
  BufferAttribute,
  BufferGeometry,
  DynamicDrawUsage,
  Group,
  LineSegments,
  Mesh,
  Sphere,
  Vector3,
  type ShaderMaterial,
} from 'three';
import { tileSurface } from '../stock/contour.js';
import type { StockLayer } from '../stock/stock-at.js';
import { type Grid, type Tile, type TileField, UNCUT } from '../stock/tile-field.js';

/** Vertices of one tile, ready to be copied. Caps lie at z = 1, walls reach from 0 to 1. */
interface TilePack {
  readonly version: number;
  readonly capPosition: Float32Array;
  readonly wallPosition: Float32Array;
  readonly wallNormal: Int8Array;
  readonly wallEntry: Float32Array;
  /** Upper edges of the walls. */
  readonly edge: Float32Array;
}

/** Bytes of a normal: x, y, z and one to fill up. */
const NORMAL = 4;
const UP = [0, 0, 127, 0] as const;
const EVERYWHERE = new Sphere(new Vector3(), 1e5);
/** Share of a cell by which rectangles overlap their neighbours: their corners do not meet, and a
 *  ray could slip through between them. */
const OVERLAP = 0.02;

export class StockMesh {
  readonly group = new Group();
  private readonly packs = new WeakMap<Tile, TilePack>();
  private readonly layers: LayerMesh[] = [];
  private readonly material: ShaderMaterial;
  private readonly edgeMaterial: LineBasicMaterial;

  constructor(material: ShaderMaterial, edgeMaterial: LineBasicMaterial) {
    this.material = material;
    this.edgeMaterial = edgeMaterial;
  }

  show(layers: readonly StockLayer[]): void {
    layers.forEach((layer, k) => {
      let mesh = this.layers[k];
      if (!mesh) {
        mesh = new LayerMesh(this.material, this.edgeMaterial);
        this.layers.push(mesh);
        this.group.add(mesh.group);
      }
      mesh.group.visible = true;
      mesh.show(layer, k === layers.length - 1, (tile, index) =>
        this.packOf(tile, layer.field.grid, index),
      );
    });
    for (let k = layers.length; k < this.layers.length; k++) {
      this.layers[k]!.group.visible = false;
    }
  }

  /** Bytes held by the buffers on the graphics side. */
  get bytes(): number {
    return this.layers.reduce((sum, layer) => sum + layer.bytes, 0);
  }

  dispose(): void {
    for (const layer of this.layers) layer.dispose();
  }

  private packOf(tile: Tile, grid: Grid, index: number): TilePack {
    let pack = this.packs.get(tile);
    if (!pack || pack.version !== tile.version) {
      pack = packTile(tile, grid, index);
      this.packs.set(tile, pack);
    }
    return pack;
  }
}

function packTile(tile: Tile, grid: Grid, index: number): TilePack {
  const { full, cap, wall, normal, owner } = tileSurface(tile, grid, index);
  const capPosition = new Float32Array((full.length / 4) * 18 + (cap.length / 2) * 3);
  const over = OVERLAP * grid.cellMm;
  let at = 0;
  for (let k = 0; k < full.length; k += 4) {
    const [ax, ay] = [full[k]! - over, full[k + 1]! - over];
    const [bx, by] = [full[k + 2]! + over, full[k + 3]! + over];
    capPosition.set([ax, ay, 1, bx, ay, 1, bx, by, 1, ax, ay, 1, bx, by, 1, ax, by, 1], at);
    at += 18;
  }
  for (let v = 0; v < cap.length; v += 2, at += 3) capPosition.set([cap[v]!, cap[v + 1]!, 1], at);
  const walls = owner.length;
  const wallPosition = new Float32Array(walls * 18);
  const wallNormal = new Int8Array(walls * 6 * NORMAL);
  const wallEntry = new Float32Array(walls * 6);
  const edge = new Float32Array(walls * 6);
  for (let w = 0; w < walls; w++) {
    const [ax, ay, bx, by] = [wall[4 * w]!, wall[4 * w + 1]!, wall[4 * w + 2]!, wall[4 * w + 3]!];
    wallPosition.set([ax, ay, 0, bx, by, 0, bx, by, 1, ax, ay, 0, bx, by, 1, ax, ay, 1], 18 * w);
    for (let c = 0; c < 6; c++) {
      const end = c === 1 || c === 2 || c === 4 ? 2 : 0;
      const at = (6 * w + c) * NORMAL;
      wallNormal[at] = Math.round(127 * normal[4 * w + end]!);
      wallNormal[at + 1] = Math.round(127 * normal[4 * w + end + 1]!);
      wallEntry[6 * w + c] = owner[w] === UNCUT ? -1 : owner[w]!;
    }
    edge.set([ax, ay, 1, bx, by, 1], 6 * w);
  }
  return { version: tile.version, capPosition, wallPosition, wallNormal, wallEntry, edge };
}

/** One layer: caps first in the buffers, so that the underside can show them alone. */
class LayerMesh {
  readonly group = new Group();
  private readonly surface = new BufferGeometry();
  private readonly under = new BufferGeometry();
  private readonly edges = new BufferGeometry();
  private readonly underMesh: Mesh;
  private field: TileField | null = null;
  private stamp = '';

  constructor(material: ShaderMaterial, edgeMaterial: LineBasicMaterial) {
    const mesh = new Mesh(this.surface, material);
    this.underMesh = new Mesh(this.under, material);
    this.underMesh.scale.z = 0;
    const lines = new LineSegments(this.edges, edgeMaterial);
    for (const object of [mesh, this.underMesh, lines]) object.frustumCulled = false;
    // Only the surface is picked; it has no bounds of its own because its buffers change.
    this.underMesh.raycast = lines.raycast = () => {};
    this.surface.boundingSphere = EVERYWHERE;
    this.group.add(mesh, this.underMesh, lines);
  }

  show(layer: StockLayer, lowest: boolean, packOf: (tile: Tile, index: number) => TilePack): void {
    const height = layer.topMm - layer.bottomMm;
    this.group.position.z = layer.bottomMm;
    this.group.scale.z = height;
    this.underMesh.visible = lowest;
    const { tiles } = layer.field;
    let stamp = '';
    for (const tile of tiles) stamp += `${tile.writer}.${tile.version} `;
    if (this.field === layer.field && this.stamp === stamp) return;
    this.field = layer.field;
    this.stamp = stamp;
    this.fill(tiles.map(packOf));
  }

  get bytes(): number {
    const geometries = [this.surface, this.edges];
    return geometries.reduce(
      (sum, g) =>
        sum +
        Object.values(g.attributes).reduce(
          (s, a) => s + (a as BufferAttribute).array.byteLength,
          0,
        ),
      0,
    );
  }

  dispose(): void {
    this.surface.dispose();
    this.under.dispose();
    this.edges.dispose();
  }

  private fill(packs: readonly TilePack[]): void {
    let caps = 0;
    let walls = 0;
    let edges = 0;
    for (const pack of packs) {
      caps += pack.capPosition.length / 3;
      walls += pack.wallEntry.length;
      edges += pack.edge.length / 3;
    }
    const [position, normal, entry] = this.buffers(caps + walls);
    let at = 0;
    for (const { capPosition } of packs) {
      position.set(capPosition, 3 * at);
      at += capPosition.length / 3;
    }
    for (let v = 0; v < caps; v++) normal.set(UP, NORMAL * v);
    entry.fill(-1, 0, caps);
    for (const pack of packs) {
      position.set(pack.wallPosition, 3 * at);
      normal.set(pack.wallNormal, NORMAL * at);
      entry.set(pack.wallEntry, at);
      at += pack.wallEntry.length;
    }
    this.surface.setDrawRange(0, caps + walls);
    this.under.setDrawRange(0, caps);
    const lines = roomFor([this.edges], 'position', edges, 3, Float32Array);
    at = 0;
    for (const { edge } of packs) {
      lines.set(edge, at);
      at += edge.length;
    }
    this.edges.setDrawRange(0, edges);
  }

  private buffers(count: number): [Float32Array, Int8Array, Float32Array] {
    const both = [this.surface, this.under];
    return [
      roomFor(both, 'position', count, 3, Float32Array),
      roomFor(both, 'normal', count, NORMAL, Int8Array),
      roomFor(both, 'entry', count, 1, Float32Array),
    ];
  }
}

/** Array of an attribute that geometries share, made larger where it must be. */
function roomFor<T extends Float32Array | Int8Array>(
  geometries: readonly BufferGeometry[],
  name: string,
  count: number,
  size: number,
  Kind: new (length: number) => T,
): T {
  let attribute = geometries[0]?.getAttribute(name) as BufferAttribute | undefined;
  if (!attribute || attribute.count < count) {
    const array = new Kind((Math.ceil(1.3 * count) + 256) * size);
    attribute = new BufferAttribute(array, size, array instanceof Int8Array);
    attribute.setUsage(DynamicDrawUsage);
    for (const geometry of geometries) {
      // Buffers cannot grow: those on the graphics side go, and are made anew when next drawn.
      geometry.dispose();
      geometry.setAttribute(name, attribute);
    }
  }
  attribute.clearUpdateRanges();
  attribute.addUpdateRange(0, count * size);
  attribute.needsUpdate = true;
  return attribute.array as T;
}

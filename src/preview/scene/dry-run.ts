/**
 * The scene of one planned job: everything in it, and what a moment of the program looks like. This
 * folder is all that is drawn in three dimensions, one file a thing; `view.ts` is the camera and the
 * frames. It takes data and stock and knows nothing of the page round it.
 */
import { Box3, Color, Group, Line, LineBasicMaterial, type Object3D, Vector3 } from 'three';
import type { PageData } from '../data/page-data.js';
import { type Paint, type Ground, coloursOf } from '../data/paint.js';
import { motionOf, startOf } from '../data/track.js';
import { slopeOf } from '../../cam/stock/replay/motion.js';
import type { StockAt } from '../stock/stock-at.js';
import { chainOnTeeth } from './chain.js';
import { type Bend, CutterModel } from './cutter.js';
import * as fixtures from './fixtures.js';
import { holdDown } from './holding.js';
import { type PathExtent, PathLines } from './path-lines.js';
import {
  type PaintUniforms,
  capMaterial,
  paintUniforms,
  pathMaterial,
  solidMaterial,
  wallMaterial,
} from './shaders.js';
import { StockMesh } from './stock-mesh.js';
import { rgbOf, tonesOf } from './tones.js';
import { LINES, type View } from './view.js';

/** Things in the scene that can be shown and hidden. */
export const THINGS = [
  'stock',
  'edges',
  'part',
  'chain',
  'outline',
  'cutter',
  'holder',
  'hold-down',
  'keep-out',
  'axes',
  'table',
] as const;
export type Thing = (typeof THINGS)[number];

/** Colours of the scene, from the page's style. */
export type SceneInk = fixtures.FixtureInk &
  Readonly<Record<'ground' | 'skin' | 'cut' | 'part' | 'tool' | 'edge' | 'hold', Color>>;

export interface Position {
  readonly entry: number;
  readonly fraction: number;
}

export class DryRun {
  readonly view: View;
  readonly stockMesh: StockMesh;
  pathExtent: PathExtent = 'this level';
  /** Vertices of path drawn in the last frame. */
  pathVertices = 0;
  /** May be replaced by other loads for the same path; colours follow when the paint is next set. */
  data: PageData;
  private readonly stock: StockAt;
  private readonly root = new Group();
  private readonly things: Readonly<Record<Thing, Object3D>>;
  private readonly paths: PathLines;
  private readonly cutter: CutterModel;
  private readonly now = { value: 0 };
  private readonly uniforms: PaintUniforms;
  position: Position = { entry: 0, fraction: 0 };
  private stale = true;
  private fromBelow = false;
  private bending: Bend | null = null;
  private bent = false;
  /** What takes long to make and is not shown at first: made when it is. */
  private readonly late: Map<Thing, () => Object3D>;

  constructor(view: View, data: PageData, stock: StockAt, ink: SceneInk) {
    this.view = view;
    this.data = data;
    this.stock = stock;
    this.uniforms = paintUniforms(view.pixelRatio);
    this.stockMesh = new StockMesh({
      cap: capMaterial(ink.cut),
      wall: wallMaterial(this.uniforms),
      edge: new LineBasicMaterial({ color: ink.edge }),
      skin: ink.skin,
      cut: ink.cut,
    });
    this.paths = new PathLines(
      data.track,
      data.figures.sections,
      pathMaterial(this.uniforms, this.now, { value: ink.ground }),
      rgbOf(ink.ground.clone().lerp(ink.line, 0.35)),
    );
    const hold = solidMaterial(ink.hold);
    const stockThing = new Group();
    stockThing.add(this.stockMesh.group, fixtures.hub(data, solidMaterial(ink.skin)));
    this.cutter = new CutterModel(data.figures.job.cutter, {
      flutes: solidMaterial(ink.tool.clone().multiplyScalar(0.72)),
      edge: solidMaterial(ink.tool.clone().lerp(new Color(1, 1, 1), 0.5)),
      shank: solidMaterial(ink.tool),
      holder: solidMaterial(ink.tool, 0.22),
    });
    const axes = new Group();
    axes.add(
      fixtures.axes(0.8 * data.figures.blank.diameterMm, ink),
      fixtures.zeroMark(Math.max(1.5, data.figures.job.bore.diameterMm / 5), ink),
    );
    this.things = {
      stock: stockThing,
      edges: this.stockMesh.edges,
      part: new Group(),
      chain: new Group(),
      outline: fixtures.outlineLines(data, ink),
      cutter: this.cutter.group,
      holder: this.cutter.holder,
      'hold-down': holdDown(data, hold),
      'keep-out': fixtures.keepOut(data, ink),
      axes,
      table: fixtures.tableRuling(data, ink),
    };
    this.late = new Map<Thing, () => Object3D>([
      ['part', () => fixtures.finishedPart(data, solidMaterial(ink.part))],
      ['chain', () => chainOnTeeth(data, solidMaterial(ink.tool), solidMaterial(ink.hold))],
    ]);
    for (const thing of THINGS) {
      if (thing !== 'holder' && thing !== 'edges') this.root.add(this.things[thing]);
    }
    this.root.add(this.paths.group);
    view.scene.add(this.root);
    view.setGround(ink.ground);
    // Of a cutter painted flat its rim at the tip is seen.
    if (view.flat) this.cutter.group.add(fixtures.cutterRim(data, ink));
    view.beforeFrame = () => this.update();
  }

  setPaint(paint: Paint | null, ground: Ground, patterned: boolean): void {
    const tones = tonesOf(this.data, paint, coloursOf(paint, ground));
    this.stockMesh.tones = this.paths.tones = tones;
    this.uniforms.patterned.value = patterned ? 1 : 0;
    this.uniforms.levelMm.value = tones.byLevel ? this.data.figures.profile.thicknessMm : 0;
    tones.colours.forEach((colour, k) => this.uniforms.bands.value[k]?.set(...colour));
    this.changed();
  }

  setVisible(thing: Thing, visible: boolean): void {
    const make = visible && this.late.get(thing);
    if (make) this.things[thing].add(make());
    if (make) this.late.delete(thing);
    this.things[thing].visible = visible;
    this.changed();
  }

  isVisible(thing: Thing): boolean {
    return this.things[thing].visible;
  }

  go(position: Position): void {
    this.position = position;
    this.changed();
  }

  /** Shows the cutter bent; null for straight. */
  bend(bend: Bend | null): void {
    this.bending = bend;
    this.changed();
  }

  private changed(): void {
    this.stale = true;
    this.view.ask();
  }

  add(object: Object3D): void {
    this.root.add(object);
    this.view.ask();
  }

  remove(object: Object3D): void {
    this.root.remove(object);
    this.view.ask();
  }

  /** Blank and table. */
  get box(): Box3 {
    const r = this.data.figures.blank.diameterMm / 2;
    const low = fixtures.tableZMm(this.data);
    return new Box3(new Vector3(-r, -r, low), new Vector3(r, r, 0));
  }

  /** Tip of the cutter at the present position. */
  tip(): readonly [number, number, number] {
    const { entry, fraction } = this.position;
    const { track } = this.data;
    const motion = motionOf(track, entry);
    return motion ? slopeOf(motion).at(fraction) : startOf(track, entry);
  }

  dispose(): void {
    this.view.scene.remove(this.root);
    this.view.beforeFrame = () => {};
    this.root.traverse((object) => {
      const { geometry } = object as { geometry?: { dispose(): void } };
      geometry?.dispose();
    });
  }

  private update(): void {
    const { vertices, complete } = this.paths.show(
      this.pathExtent,
      this.position.entry,
      this.view.pixelsPerMm * this.view.pixelRatio.value,
      this.view.mostPathVertices,
    );
    this.pathVertices = vertices;
    if (!complete) this.view.ask();
    const fromBelow = this.view.fromBelow;
    this.root.traverse((object) => {
      if (object instanceof Line) object.layers.enable(LINES);
    });
    if (!this.stale && fromBelow === this.fromBelow) return;
    this.fromBelow = fromBelow;
    this.stale = false;
    const { entry, fraction } = this.position;
    this.now.value = entry;
    if (this.things.stock.visible) {
      this.stockMesh.show(this.stock.at(entry, fraction), fromBelow);
    }
    const [x, y, z] = this.tip();
    // A turn of the cutter is far too quick to see; it turns a little with the path instead.
    this.cutter.place(x, y, z, -0.9 * (entry + fraction));
    if (this.bending || this.bent) this.cutter.bend(this.bending);
    this.bent = this.bending !== null;
  }
}

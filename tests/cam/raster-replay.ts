/**
 * Test oracle: cuts a blank on a raster with the text of a program, knowing of the plan only what
 * plan.json says. It shares no code with src: own reader, own force, own distances, and a map of
 * heights in place of an exact front.
 *
 * The cutter goes on in steps of about one and a half cells. A step first cuts: every cell that the
 * disc covers and did not cover before is lowered. Where that took anything, the rim is looked at
 * half a degree at a time over its leading half, at a radius 0.71 cells greater than the cutter's:
 * no cell that holds such a point can have its middle inside the disc. What stands there is what the
 * next bit of travel will meet. Being 0.71 cells outside has two effects, and both are taken out:
 *
 *   - A wall that the cutter touches shows up to acos(r / R) to either side of the touch (8 deg at
 *     r = 1.5) even where it has been cut before. A stretch of less than 25 deg is kept only as far
 *     as the travel of the next 0.12 mm takes something of it; a longer one is kept whole.
 *   - The far end of a stretch is seen farther round. Along a straight wall cos(t) of the true end
 *     is R / r times that of the end seen, which is used everywhere.
 *
 * What is left is the raster's own: half a cell's diagonal of the stock's edge is 0.5 deg at an
 * engagement of 60 deg and r = 1.5 mm. Gouge and leftover are exact distances, not raster.
 */
import {
  CurveGrid,
  type OutlineEdge,
  arcCurve,
  edgeCurve,
  lineCurve,
  pointsAlong,
} from './oracle/curves.js';
import { Heightmap } from './oracle/heightmap.js';
import { TeethTable, type ToothLaw } from './oracle/mini-kienzle.js';
import { type OracleMove, arcSweep, placeAt, planLength, readMini } from './oracle/mini-rs274.js';

/** What is read of plan.json. */
export interface PlanFile {
  readonly sprocket: {
    readonly thicknessMm: number;
    readonly rootDiameterMm: number;
    readonly outline: readonly OutlineEdge[];
  };
  readonly blank: { readonly diameterMm: number; readonly thicknessMm: number };
  readonly cutter: { readonly diameterMm: number; readonly flutes: number };
  readonly limits: {
    readonly maxEngagementDeg: number;
    /** Peak of a tooth. */
    readonly peakForceN: number;
    readonly maxStepdownMm: number;
  };
}

export interface RasterOptions {
  readonly kc11: number;
  readonly mc: number;
  readonly runout?: number;
  readonly wear?: number;
  /** Side of a cell. mm */
  readonly cell?: number;
  /** Where the blank really sits. mm */
  readonly blankAt?: readonly [x: number, y: number];
  /** Measure a level that repeats the one above it only this many times; then only cut it. */
  readonly repeatsMeasured?: number;
}

type Pt = readonly [number, number];

export interface Peak {
  readonly value: number;
  readonly line: number;
}

export interface RasterReport {
  readonly engagementDeg: Peak;
  readonly forceX: Peak;
  readonly forceY: Peak;
  /** Of a tooth, in the plane. */
  readonly resultant: Peak;
  /** Averaged over a turn. */
  readonly meanX: Peak;
  readonly meanY: Peak;
  readonly axialMm: Peak;
  /** In mm; worked out where it is asked for, as leftover and islands are. */
  gouge(): Peak;
  leftoverMm(): number;
  readonly arcErrorMm: Peak;
  readonly plunges: readonly number[];
  readonly rapidsInMaterial: readonly number[];
  readonly standingSpindle: readonly number[];
  /** Material left outside the outline by more than two cells. mm3 */
  islandsMm3(): number;
  readonly removedMm3: number;
  /** Steps at which the rim was looked at. */
  readonly steps: number;
  readonly stops: number;
  readonly ended: boolean;
}

const RIM = 360;
const STEP_RAD = Math.PI / RIM;
/** Places of the rim, from a right angle before the heading on, about it. */
const PLACES = Array.from({ length: RIM }, (_, k) => (k + 0.5) * STEP_RAD - Math.PI / 2);
const COS = Float64Array.from(PLACES, Math.cos);
const SIN = Float64Array.from(PLACES, Math.sin);
/** Places of the rim on which a wall may only seem to be in the way: 25 deg. */
const SHORT = 50;
/** Travel within which a short stretch must be cut to count. mm */
const SOON_MM = 0.12;

/** What is cut of which blank with what. */
type Part = Omit<PlanFile, 'limits'>;

/** A look at the rim, waiting for what the next bit of travel takes. */
interface Look {
  readonly move: OracleMove;
  readonly x: number;
  readonly y: number;
  readonly heading: number;
  readonly depths: Float64Array;
  /** Travel at which it is decided. mm */
  readonly due: number;
}

/** Of a tooth that stands out by the runout, and of teeth alike. */
interface Tables {
  readonly uneven: TeethTable;
  readonly even: TeethTable;
}

export function rasterReplay(text: string, plan: Part, options: RasterOptions): RasterReport {
  return new RasterReplay(text, plan, options).run();
}

/** The program up to the heading of the roughing level after so many. */
export function firstLevels(text: string, levels: number): string {
  const end = text.indexOf(`(ROUGH LEVEL ${levels + 1} OF`);
  if (end < 0) throw new Error(`the program has no more than ${levels} levels`);
  return `${text.slice(0, end)}M2\n`;
}

class RasterReplay {
  private readonly plan: Part;
  private readonly options: RasterOptions;
  private readonly program: ReturnType<typeof readMini>;
  private readonly map: Heightmap;
  private readonly r: number;
  private readonly rim: number;
  private readonly law: ToothLaw;
  private readonly tables = new Map<string, Tables>();
  private readonly depths = new Float64Array(RIM);
  private waiting: Look[] = [];
  private travelled = 0;
  private readonly peaks = {
    engagement: { value: 0, line: 0 },
    x: { value: 0, line: 0 },
    y: { value: 0, line: 0 },
    resultant: { value: 0, line: 0 },
    meanX: { value: 0, line: 0 },
    meanY: { value: 0, line: 0 },
    axial: { value: 0, line: 0 },
  };
  private readonly plunges: number[] = [];
  private readonly rapids: number[] = [];
  private readonly standing: number[] = [];
  private steps = 0;

  constructor(text: string, plan: Part, options: RasterOptions) {
    this.plan = plan;
    this.options = options;
    this.program = readMini(text);
    const [cx, cy] = options.blankAt ?? [0, 0];
    const cell = options.cell ?? 0.02;
    this.map = new Heightmap(
      { radius: plan.blank.diameterMm / 2, thickness: plan.blank.thicknessMm, cx, cy },
      cell,
    );
    this.r = plan.cutter.diameterMm / 2;
    this.rim = this.r + cell * Math.SQRT1_2;
    this.law = {
      kc11: options.kc11,
      mc: options.mc,
      flutes: plan.cutter.flutes,
      runout: options.runout ?? 0,
      wear: options.wear ?? 1,
    };
  }

  run(): RasterReport {
    let lastRun: { key: string; z: number; times: number } | null = null;
    for (const moves of this.runs()) {
      const first = moves[0]!;
      const z = first.to[2];
      if (first.from[2] !== z) {
        this.decide(Infinity);
        this.changeDepth(first);
        continue;
      }
      const key = moves.map(keyOf).join(' ');
      const times: number = lastRun?.key === key && z < lastRun.z ? lastRun.times + 1 : 1;
      const known = times > (this.options.repeatsMeasured ?? Infinity);
      if (!known || !this.map.lower(um(lastRun!.z), um(z)))
        for (const move of moves) this.cut(move);
      lastRun = { key, z, times };
    }
    this.decide(Infinity);
    const { peaks, map, program } = this;
    return {
      engagementDeg: peaks.engagement,
      forceX: peaks.x,
      forceY: peaks.y,
      resultant: peaks.resultant,
      meanX: peaks.meanX,
      meanY: peaks.meanY,
      axialMm: peaks.axial,
      gouge: () => this.gouge(),
      leftoverMm: () => this.leftover(),
      arcErrorMm: this.arcError(),
      plunges: this.plunges,
      rapidsInMaterial: this.rapids,
      standingSpindle: this.standing,
      islandsMm3: () => this.islands(),
      removedMm3: (map.removedUm / 1000) * map.cell * map.cell,
      steps: this.steps,
      stops: program.stops,
      ended: program.ended,
    };
  }

  /** Moves in a row at one depth; a move that changes depth is a run of its own. */
  private runs(): OracleMove[][] {
    const runs: OracleMove[][] = [];
    let open: OracleMove[] | null = null;
    for (const move of this.program.moves) {
      if (move.from[2] !== move.to[2]) {
        runs.push([move]);
        open = null;
      } else if (open) open.push(move);
      else runs.push((open = [move]));
    }
    return runs;
  }

  private cut(move: OracleMove): void {
    const z = move.to[2];
    if (z >= 0) return;
    const { map, depths } = this;
    const zUm = um(z);
    const length = planLength(move);
    const n = Math.max(1, Math.ceil(length / (1.5 * map.cell)));
    let [px, py] = move.from;
    for (let s = 1; s <= n; s++) {
      const [x, y, heading] = placeAt(move, s / n);
      const cut = this.advance(px, py, x, y, zUm);
      px = x;
      py = y;
      if (cut === 0) continue;
      if (move.kind === 'rapid') note(this.rapids, move.line);
      if (move.rpm <= 0) note(this.standing, move.line);
      this.steps++;
      this.lookAtRim(x, y, heading, zUm, map.highestCutUm);
      if (stretches(depths).some(([from, to]) => to - from < SHORT)) {
        const due = this.travelled + (length * s) / n + SOON_MM;
        this.waiting.push({ move, x, y, heading, depths: depths.slice(), due });
      } else this.judge(move, heading, depths);
      this.decide(this.travelled + (length * s) / n);
    }
    this.travelled += length;
  }

  /** Drops from the looks that are due what no travel has taken since. */
  private decide(travelled: number): void {
    while (this.waiting.length > 0 && this.waiting[0]!.due <= travelled) {
      const { move, x, y, heading, depths } = this.waiting.shift()!;
      const zUm = um(move.to[2]);
      const along = this.alongOf(heading);
      const stillStands = (k: number): boolean => this.heightAt(x, y, along, k) > zUm;
      for (const [from, to] of stretches(depths)) {
        if (to - from >= SHORT) continue;
        let a = from;
        let b = to;
        while (a < b && stillStands(a)) a++;
        while (b > a && stillStands(b - 1)) b--;
        // Beside the cutter a wall is taken to begin at the side.
        if (b > a && from === 0) a = 0;
        if (b > a && to === RIM) b = RIM;
        depths.fill(0, from, a);
        depths.fill(0, b, to);
      }
      this.judge(move, heading, depths);
    }
  }

  private judge(move: OracleMove, heading: number, depths: Float64Array): void {
    const phi = this.engaged(depths);
    if (phi === 0) return;
    raise(this.peaks.engagement, (phi * 180) / Math.PI, move.line);
    for (const depth of depths) if (depth > 0) raise(this.peaks.axial, depth, move.line);
    if (move.rpm > 0 && move.feed > 0) {
      const { uneven, even } = this.tablesOf(move);
      const [fx, fy, whole] = uneven.peaks(depths, heading);
      raise(this.peaks.x, fx, move.line);
      raise(this.peaks.y, fy, move.line);
      raise(this.peaks.resultant, whole, move.line);
      const [mx, my] = even.means(depths, heading);
      raise(this.peaks.meanX, mx, move.line);
      raise(this.peaks.meanY, my, move.line);
    }
  }

  private tablesOf(move: OracleMove): Tables {
    const key = `${move.feed} ${move.rpm}`;
    const known = this.tables.get(key);
    if (known) return known;
    const of = (law: ToothLaw) => new TeethTable(law, RIM, move.feed, move.rpm);
    const made = { uneven: of(this.law), even: of({ ...this.law, runout: 0 }) };
    this.tables.set(key, made);
    return made;
  }

  /** Lowers the cells in the disc at (x, y) that were not in the one at (px, py). */
  private advance(px: number, py: number, x: number, y: number, zUm: number): number {
    const { map, r } = this;
    let cut = 0;
    map.highestCutUm = -Infinity;
    const last = map.index(y + r);
    for (let row = map.index(y - r); row <= last; row++) {
      const yy = map.middle(row);
      const w2 = r * r - (yy - y) * (yy - y);
      if (w2 <= 0) continue;
      const w = Math.sqrt(w2);
      const v2 = r * r - (yy - py) * (yy - py);
      const v = v2 > 0 ? Math.sqrt(v2) : -1;
      if (v < 0) cut += map.cutRow(row, x - w, x + w, zUm);
      else {
        if (x - w < px - v) cut += map.cutRow(row, x - w, Math.min(x + w, px - v), zUm);
        if (x + w > px + v) cut += map.cutRow(row, Math.max(x - w, px + v), x + w, zUm);
      }
    }
    return cut;
  }

  /** What stands at a place of the rim; `along` is the heading as far as the rim is wide. */
  private heightAt(x: number, y: number, along: Pt, k: number): number {
    const [u, v] = along;
    return this.map.heightUm(x + u * COS[k]! - v * SIN[k]!, y + v * COS[k]! + u * SIN[k]!);
  }

  private alongOf(heading: number): Pt {
    return [this.rim * Math.cos(heading), this.rim * Math.sin(heading)];
  }

  /**
   * Fills `depths`: what stands above the tip along the leading half of the rim, mm. A wall beside
   * the cut may be higher than what was cut last; it is not what is being cut.
   */
  private lookAtRim(x: number, y: number, heading: number, zUm: number, highestUm: number): void {
    const along = this.alongOf(heading);
    for (let k = 0; k < RIM; k++) {
      const above = Math.min(highestUm, this.heightAt(x, y, along, k)) - zUm;
      this.depths[k] = above > 0 ? above / 1000 : 0;
    }
  }

  /** Sum of the stretches in material, at the cutter's radius. rad */
  private engaged(depths: Float64Array): number {
    let total = 0;
    for (const [from, to] of stretches(depths)) {
      total += this.trueAngle(to * STEP_RAD) - this.trueAngle(from * STEP_RAD);
    }
    return total;
  }

  /** Angle at the cutter's radius of an end seen at the greater one. */
  private trueAngle(t: number): number {
    if (t === 0 || t === Math.PI) return t;
    return Math.acos(Math.max(-1, Math.min(1, (this.rim / this.r) * Math.cos(t))));
  }

  private changeDepth(move: OracleMove): void {
    const n = Math.max(1, Math.ceil(planLength(move) / (2 * this.map.cell)));
    for (let s = 0; s <= n; s++) {
      const [x, y] = placeAt(move, s / n);
      const z = move.from[2] + ((move.to[2] - move.from[2]) * s) / n;
      if (z >= 0) continue;
      const cut = this.advance(x + 4 * this.r, y, x, y, um(z));
      if (cut > 0) note(move.kind === 'rapid' ? this.rapids : this.plunges, move.line);
    }
  }

  /** Deepest that any move below the top face comes inside the outline. */
  private gouge(): Peak {
    const { r } = this;
    const grid = new CurveGrid(r);
    for (const edge of this.plan.sprocket.outline) {
      grid.add(edgeCurve(edge), [...pointsAlong(edge, 0.2), edge.b], 0.2);
    }
    const worst = { value: 0, line: 0 };
    const seen = new Set<string>();
    for (const move of this.program.moves) {
      if (Math.min(move.from[2], move.to[2]) >= 0) continue;
      const key = `${move.from[0]},${move.from[1]},${keyOf(move)}`;
      if (seen.has(key)) continue;
      seen.add(key);
      const n = Math.max(1, Math.ceil(planLength(move) / 0.02));
      for (let s = 0; s <= n; s++) {
        const [x, y] = placeAt(move, s / n);
        raise(worst, r - grid.distance(x, y), move.line);
      }
    }
    return worst;
  }

  /**
   * Farthest that a point of the outline is from the cutter's rim at the lower edge of the teeth:
   * what goes by deeper has cut all above it, so nothing higher up can be worse.
   */
  private leftover(): number {
    const { r } = this;
    const grid = new CurveGrid(r + 0.5);
    const bottom = -this.plan.sprocket.thicknessMm;
    for (const move of this.program.moves) {
      if (Math.max(move.from[2], move.to[2]) > bottom) continue;
      const n = Math.max(1, Math.ceil(planLength(move) / 0.2));
      const points: [number, number][] = [];
      for (let s = 0; s <= n; s++) {
        const [x, y] = placeAt(move, s / n);
        points.push([x, y]);
      }
      const [ax, ay] = move.from;
      const [bx, by] = move.to;
      const curve =
        move.kind === 'arc'
          ? arcCurve(ax, ay, bx, by, move.cx, move.cy, arcSweep(move))
          : lineCurve(ax, ay, bx, by);
      grid.add(curve, points, 0.2);
    }
    let worst = 0;
    for (const edge of this.plan.sprocket.outline) {
      for (const [x, y] of pointsAlong(edge, 0.02)) {
        worst = Math.max(worst, grid.distance(x, y) - r);
      }
    }
    return worst;
  }

  private arcError(): Peak {
    const worst = { value: 0, line: 0 };
    for (const move of this.program.moves) {
      if (move.kind !== 'arc') continue;
      const a = Math.hypot(move.from[0] - move.cx, move.from[1] - move.cy);
      const b = Math.hypot(move.to[0] - move.cx, move.to[1] - move.cy);
      raise(worst, Math.abs(a - b), move.line);
    }
    return worst;
  }

  /** Material that still stands clear of the outline when the program ends. mm3 */
  private islands(): number {
    const { map } = this;
    const clear = 2 * map.cell;
    const polygon = this.plan.sprocket.outline.flatMap((edge) => pointsAlong(edge, 0.02));
    const grid = new CurveGrid(clear);
    for (const edge of this.plan.sprocket.outline) {
      grid.add(edgeCurve(edge), [...pointsAlong(edge, 0.2), edge.b], 0.2);
    }
    const crossings = rowCrossings(polygon, map);
    const root = this.plan.sprocket.rootDiameterMm / 2 - 0.1;
    let um = 0;
    map.forEachStanding((x, y, heightUm) => {
      if (x * x + y * y < root * root) return;
      const row = crossings.get(map.index(y)) ?? [];
      let inside = false;
      for (const at of row) if (at < x) inside = !inside;
      if (!inside && grid.distance(x, y) > clear) {
        um += heightUm + this.plan.blank.thicknessMm * 1000;
      }
    });
    return (um / 1000) * map.cell * map.cell;
  }
}

/** Where the middle line of each row crosses a polygon. */
function rowCrossings(
  polygon: readonly (readonly [number, number])[],
  map: Heightmap,
): Map<number, number[]> {
  const rows = new Map<number, number[]>();
  polygon.forEach(([ax, ay], i) => {
    const [bx, by] = polygon[(i + 1) % polygon.length]!;
    const low = Math.min(ay, by);
    const high = Math.max(ay, by);
    for (let row = map.index(low); row <= map.index(high); row++) {
      const y = map.middle(row);
      if (y < low || y >= high) continue;
      const x = ax + ((bx - ax) * (y - ay)) / (by - ay);
      const list = rows.get(row);
      if (list) list.push(x);
      else rows.set(row, [x]);
    }
  });
  return rows;
}

/** Stretches of the rim in material: [first, one past last]. */
function stretches(depths: Float64Array): [number, number][] {
  const found: [number, number][] = [];
  for (let k = 0; k < RIM; k++) {
    if (depths[k] === 0) continue;
    const from = k;
    while (k < RIM && depths[k]! > 0) k++;
    found.push([from, k]);
  }
  return found;
}

function um(mm: number): number {
  return Math.round(mm * 1000);
}

function raise(peak: { value: number; line: number }, value: number, line: number): void {
  if (value <= peak.value) return;
  peak.value = value;
  peak.line = line;
}

function note(lines: number[], line: number): void {
  if (lines[lines.length - 1] !== line) lines.push(line);
}

/** Everything about a move at one depth that decides what it does. */
function keyOf(move: OracleMove): string {
  const end = `${move.to[0]},${move.to[1]},${move.feed},${move.rpm}`;
  if (move.kind !== 'arc') return `${move.kind}${end}`;
  return `${move.ccw}${end},${move.cx.toFixed(6)},${move.cy.toFixed(6)}`;
}

/**
 * The exact stock front beside an exact polygon method, by clipper-lib and by the newer clipper2-ts,
 * on the same moves: one gap of the example, cut step by step. The polygon method keeps the stock as
 * polygons, measures the rim that lies in them, and subtracts what each step sweeps.
 */
import { layPath } from '../../src/cam/sequence.js';
import { StockFront } from '../../src/cam/stock/stock-front.js';
import { pieceAt, pieceLengthMm, type PathPiece } from '../../src/cam/stock/path-piece.js';
import { wheelOf } from '../../src/profile/wheel/sprocket.js';
import { exampleJob } from '../cam/jobs.js';
import * as clipper from '../cam/oracle/clipper.js';
import * as clipper2 from '../cam/oracle/clipper2.js';
import { piecesOf } from '../cam/walk.js';
import { type Row, timed } from './measure.js';

export interface FrontsResult {
  readonly stepsPerSecond: number;
  readonly compare: readonly Row[];
}

export function benchFronts(): FrontsResult {
  const job = exampleJob('nursery-barrow');
  const profile = wheelOf(job);
  const { rough, blank } = layPath(job, profile);
  const r = job.cutter.diameterMm / 2;
  const blankRadiusMm = blank.diameterMm / 2 + blank.centringErrorMm;
  const pieces = piecesOf(rough.start, rough.moves).map(([, piece]) => piece);
  walkAll(new StockFront({ blankRadiusMm, cutterRadiusMm: r }), pieces, 0.1);
  const fine = timed(() =>
    walkAll(new StockFront({ blankRadiusMm, cutterRadiusMm: r }), pieces, 0.02),
  );

  // The first moves of the level: from air into the first gap and most of the way to its root.
  const gap = pieces.slice(0, 200);
  const exact = timed(() => gapByFront(blankRadiusMm, r, gap));
  const rowFor = (name: string, run: () => Cut): Row => {
    const polygons = timed(run);
    let apartDeg = 0;
    let touchDeg = 0;
    exact.value.rims.forEach((rim, i) => {
      const other = polygons.value.rims[i]!;
      const apart = (Math.abs(rim - other) * 180) / Math.PI;
      if (Math.max(rim, other) > TOUCH_RAD) apartDeg = Math.max(apartDeg, apart);
      else touchDeg = Math.max(touchDeg, apart);
    });
    const n = exact.value.rims.length;
    return {
      library: name,
      steps: n,
      'front steps/s': (1000 * n) / exact.ms,
      'polygon steps/s': (1000 * n) / polygons.ms,
      'front faster by': polygons.ms / exact.ms,
      'engagement apart, deg': apartDeg,
      'touches apart, deg': touchDeg,
      'area front mm2': exact.value.areaMm2,
      'area polygon mm2': polygons.value.areaMm2,
      'area apart, %': 100 * Math.abs(exact.value.areaMm2 / polygons.value.areaMm2 - 1),
    };
  };
  return {
    stepsPerSecond: (1000 * fine.value) / fine.ms,
    compare: [
      rowFor('clipper-lib', () => gapByPolygons(clipper, blankRadiusMm, r, gap)),
      rowFor('clipper2-ts', () => gapByPolygons(clipper2, blankRadiusMm, r, gap)),
    ],
  };
}

function walkAll(front: StockFront, pieces: readonly PathPiece[], stepMm: number): number {
  let steps = 0;
  for (const piece of pieces) {
    const n = Math.max(1, Math.ceil(pieceLengthMm(piece) / stepMm));
    for (let s = 1; s <= n; s++) {
      const [x, y] = pieceAt(piece, s / n);
      front.rimInMaterial(x, y, piece);
      steps++;
    }
    front.add(piece);
  }
  return steps;
}

const STEP_MM = 0.1;
/** Less rim than this is a touch along a wall that a fraction of a micrometre makes or unmakes. */
const TOUCH_RAD = (3 * Math.PI) / 180;
const SHORT_MM = 0.02;
/** Polygons stray this far from circles: 1e-4 mm would show as 2 deg of rim along a wall. */
const POLYGON_TOL_MM = 1e-5;

function stepsIn(piece: PathPiece): number {
  return Math.max(1, Math.ceil(pieceLengthMm(piece) / STEP_MM));
}

interface Cut {
  readonly rims: number[];
  readonly areaMm2: number;
}

function gapByFront(blankRadiusMm: number, r: number, pieces: readonly PathPiece[]): Cut {
  const front = new StockFront({ blankRadiusMm, cutterRadiusMm: r });
  const rims: number[] = [];
  let areaMm2 = 0;
  const look = (piece: PathPiece, f: number): { total: number; width: number } => {
    const [x, y, tx, ty] = pieceAt(piece, f);
    const heading = Math.atan2(ty, tx);
    const rim = front.rimInMaterial(x, y, piece);
    let total = 0;
    let width = 0;
    for (let i = 0; i < rim.count; i++) {
      const from = rim.angles[2 * i]!;
      const to = rim.angles[2 * i + 1]!;
      total += to - from;
      width += r * (Math.sin(to - heading) - Math.sin(from - heading));
    }
    return { total, width };
  };
  for (const piece of pieces) {
    const n = stepsIn(piece);
    const ds = pieceLengthMm(piece) / n;
    let before = look(piece, 1e-3 / n).width;
    for (let s = 1; s <= n; s++) {
      const middle = look(piece, (s - 0.5) / n).width;
      const end = look(piece, s / n);
      // Simpson's rule over the step.
      areaMm2 += (ds * (before + 4 * middle + end.width)) / 6;
      before = end.width;
      rims.push(end.total);
    }
    front.add(piece);
  }
  return { rims, areaMm2 };
}

/** What the polygon method needs of a library, on its own kind of region. */
interface Polygons<Region> {
  disc(cx: number, cy: number, radius: number): Region;
  sweptBy(points: readonly (readonly [number, number])[], r: number, tolMm: number): Region;
  minus(a: Region, b: Region): Region;
  areaOf(region: Region): number;
  lengthInside(points: readonly (readonly [number, number])[], region: Region): number;
}

function gapByPolygons<Region>(
  library: Polygons<Region>,
  blankRadiusMm: number,
  r: number,
  pieces: readonly PathPiece[],
): Cut {
  const { disc, sweptBy, minus, areaOf, lengthInside } = library;
  let stock = disc(0, 0, blankRadiusMm);
  const whole = areaOf(stock);
  const rims: number[] = [];
  for (const piece of pieces) {
    const n = stepsIn(piece);
    for (let s = 0; s < n; s++) {
      const [ax, ay] = pieceAt(piece, s / n);
      const [x, y, tx, ty] = pieceAt(piece, (s + 1) / n);
      const heading = Math.atan2(ty, tx);
      // The stock just before the end: what the rim there meets has not been cut yet.
      const [qx, qy] = pieceAt(piece, (s + 1 - Math.min(0.5, SHORT_MM / STEP_MM)) / n);
      const before = minus(
        stock,
        sweptBy(
          [
            [ax, ay],
            [qx, qy],
          ],
          r,
          POLYGON_TOL_MM,
        ),
      );
      const rim = Array.from({ length: 721 }, (_, k): [number, number] => {
        const a = heading - Math.PI / 2 + (Math.PI * k) / 720;
        return [x + r * Math.cos(a), y + r * Math.sin(a)];
      });
      rims.push(lengthInside(rim, before) / r);
      stock = minus(
        stock,
        sweptBy(
          [
            [ax, ay],
            [x, y],
          ],
          r,
          POLYGON_TOL_MM,
        ),
      );
    }
  }
  return { rims, areaMm2: whole - areaOf(stock) };
}

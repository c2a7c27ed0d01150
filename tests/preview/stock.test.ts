import { beforeAll, describe, expect, it } from 'vitest';
import { StockFront } from '../../src/cam/stock/stock-front.js';
import { signedArea } from '../../src/profile/geometry/loop.js';
import { endTimes, motionOf, pieceOf, programOf } from '../../src/preview/data/track.js';
import { capArea, surfaceOf } from '../../src/preview/stock/contour.js';
import { loopArea, wallLoops } from '../../src/preview/stock/loops.js';
import { RimAt } from '../../src/preview/stock/rim.js';
import { StockAt, type StockLayer } from '../../src/preview/stock/stock-at.js';
import { TileField, gridOver } from '../../src/preview/stock/tile-field.js';
import { type Timeline, timelineOf } from '../../src/cam/stock/timeline.js';
import { pageData, planned } from './example.js';

function areaOf({ field }: StockLayer): number {
  return field.tiles.reduce((sum, t, i) => sum + capArea(surfaceOf(t, field.grid, i)), 0);
}

/** Small generator with a seed (mulberry32), so that a failure can be run again. */
function random(seed: number): () => number {
  let a = seed;
  return () => {
    a = (a + 0x6d2b79f5) | 0;
    let t = Math.imul(a ^ (a >>> 15), 1 | a);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
}

describe('a field', () => {
  const blank = { radiusMm: 10, hole: 3 };
  const grid = gridOver(blank, 200);

  it('of a blank has the area of the ring', () => {
    const field = TileField.blank(grid, blank);
    const area = areaOf({ topMm: 0, bottomMm: -1, field });
    expect(Math.abs(area / (Math.PI * (10 ** 2 - 3 ** 2)) - 1)).toBeLessThan(2e-4);
  });

  it('loses a slot of known area', () => {
    const field = TileField.blank(grid, { radiusMm: 10, hole: null });
    const piece = { ax: -4, ay: 1, bx: 4, by: 1, cx: 0, cy: 0, radiusMm: 0, sweepRad: 0 };
    field.sweep(piece, 1.5, 7);
    const lost = Math.PI * 10 ** 2 - areaOf({ topMm: 0, bottomMm: -1, field });
    expect(Math.abs(lost / (8 * 3 + Math.PI * 1.5 ** 2) - 1)).toBeLessThan(1e-3);
  });

  it('is not changed by what is cut from its copy', () => {
    const field = TileField.blank(grid, blank);
    const before = areaOf({ topMm: 0, bottomMm: -1, field });
    const piece = { ax: 5, ay: 0, bx: 9, by: 0, cx: 0, cy: 0, radiusMm: 0, sweepRad: 0 };
    const copy = field.copy();
    copy.sweep(piece, 1, 0);
    expect(areaOf({ topMm: 0, bottomMm: -1, field })).toBe(before);
    expect(areaOf({ topMm: 0, bottomMm: -1, field: copy })).toBeLessThan(before - 7);
    field.sweep(piece, 1, 0);
    expect(areaOf({ topMm: 0, bottomMm: -1, field })).toBe(
      areaOf({ topMm: 0, bottomMm: -1, field: copy }),
    );
  });

  it('has walls that close into loops of the same area', () => {
    const field = TileField.blank(grid, blank);
    const surfaces = field.tiles.map((t, i) => surfaceOf(t, grid, i));
    const loops = wallLoops(surfaces, grid, () => 0);
    expect(loops.map((l) => Math.sign(loopArea(l))).sort()).toEqual([-1, 1]);
    const area = loops.reduce((sum, loop) => sum + loopArea(loop), 0);
    expect(Math.abs(area / (Math.PI * (10 ** 2 - 3 ** 2)) - 1)).toBeLessThan(1e-3);
    // Far fewer walls than the grid gives.
    const walls = surfaces.reduce((sum, s) => sum + s.owner.length, 0);
    expect(loops.reduce((sum, l) => sum + l.owners.length, 0)).toBeLessThan(walls / 2);
  });
});

describe('the stock of the example', () => {
  const data = pageData();
  const { track, figures } = data;
  const thicknessMm = figures.profile.thicknessMm;
  const radiusMm = figures.blank.diameterMm / 2 + figures.blank.centringErrorMm;
  const cutterRadiusMm = figures.job.cutter.diameterMm / 2;
  const last = track.line.length - 1;
  let timeline: Timeline;
  let stock: StockAt;

  beforeAll(() => {
    timeline = timelineOf(programOf(track, null), thicknessMm);
    stock = new StockAt(timeline, { blank: { radiusMm, hole: null }, cutterRadiusMm, cells: 512 });
  });

  it('is whole at the start, less in the middle, and the outline at the end, in area', () => {
    const [first] = stock.at(0, 0);
    expect(areaOf(first!) / (Math.PI * radiusMm ** 2)).toBeCloseTo(1, 4);
    const middle = stock.at(Math.round(0.4 * last), 1);
    expect(middle.length).toBeGreaterThan(1);
    const end = stock.at(last, 1);
    expect(end.length).toBe(1);
    const outline = signedArea(figures.profile.outline);
    expect(Math.abs(areaOf(end[0]!) / outline - 1)).toBeLessThan(5e-4);
  });

  it('loses the volume that the replay counted on its own', () => {
    const end = stock.at(last, 1);
    const left = end.reduce((sum, l) => sum + areaOf(l) * (l.topMm - l.bottomMm), 0);
    const lost = Math.PI * radiusMm ** 2 * thicknessMm - left;
    // The replay adds up the rim in material step by step; it states 0.08 mm steps.
    expect(lost / planned().planned.replay.removedMm3).toBeGreaterThan(0.97);
    expect(lost / planned().planned.replay.removedMm3).toBeLessThan(1.03);
  });

  it('is the same whichever way a moment is reached', () => {
    const rand = random(5);
    const other = new StockAt(timeline, {
      blank: { radiusMm, hole: null },
      cutterRadiusMm,
      cells: 256,
    });
    const fresh = () =>
      new StockAt(timeline, { blank: { radiusMm, hole: null }, cutterRadiusMm, cells: 256 });
    for (let k = 0; k < 12; k++) {
      const entry = Math.floor(rand() * last);
      const fraction = rand();
      const a = other.at(entry, fraction);
      const b = fresh().at(entry, fraction);
      expect(a.length).toBe(b.length);
      a.forEach((layer, i) => {
        expect(layer.bottomMm).toBe(b[i]!.bottomMm);
        layer.field.tiles.forEach((tile, t) => {
          const want = b[i]!.field.tiles[t]!.value;
          let worst = 0;
          tile.value.forEach((v, n) => (worst = Math.max(worst, Math.abs(v - want[n]!))));
          expect(worst).toBeLessThan(1e-6);
        });
      });
    }
  });

  it('stands where the exact stock front stands (seed 11)', () => {
    const rand = random(11);
    const entry = Math.round(0.31 * last);
    // Oracle: a stock front swept by every move at or below a depth, straight from the track.
    for (const layer of stock.at(entry, 1)) {
      const depth = (layer.topMm + layer.bottomMm) / 2;
      const front = new StockFront({ blankRadiusMm: radiusMm, cutterRadiusMm });
      for (let i = 0; i <= entry; i++) {
        const motion = motionOf(track, i);
        if (motion && motion.to[2] <= depth) front.add(pieceOf(motion));
      }
      let asked = 0;
      for (let k = 0; k < 4000; k++) {
        const r = radiusMm * Math.sqrt(rand());
        const a = 2 * Math.PI * rand();
        const [x, y] = [r * Math.cos(a), r * Math.sin(a)];
        const value = layer.field.at(x, y);
        // Within a fiftieth of a cell of the surface either answer is as good.
        if (Math.abs(value) < 0.02 * stock.grid.cellMm) continue;
        asked++;
        if (value > 0 !== front.standsAt(x, y)) {
          // A cusp between passes may be thinner than a cell.
          expect(Math.abs(front.distanceToPath(x, y) - cutterRadiusMm)).toBeLessThan(
            0.3 * stock.grid.cellMm,
          );
        }
      }
      expect(asked).toBeGreaterThan(3000);
    }
  });

  it('has the rim in material that the replay measured', () => {
    const rim = new RimAt(timeline, { blankRadiusMm: radiusMm, cutterRadiusMm, holes: [] });
    const ends = endTimes(track);
    expect(ends.length).toBe(track.line.length);
    let asked = 0;
    for (let i = 0; i < last; i += 97) {
      const measured = track.engagementRad[i]!;
      const best = Math.max(
        ...Array.from({ length: 12 }, (_, k) => rim.at(i, (k + 1) / 12)?.totalRad ?? 0),
      );
      if (measured === 0 && best === 0) continue;
      asked++;
      // Each samples at places of its own along the move.
      expect(Math.abs(best - measured)).toBeLessThan((6 * Math.PI) / 180);
    }
    expect(asked).toBeGreaterThan(100);
    const worst = track.engagementRad.indexOf(Math.max(...track.engagementRad));
    const there = rim.at(worst, rim.worstFraction(worst))!.totalRad;
    expect(there).toBeCloseTo(track.engagementRad[worst]!, 2);
  });
});

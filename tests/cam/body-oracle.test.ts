/**
 * Where nut and shank first meet something, on random programs, by two oracles that share nothing
 * with src: heights on a raster of 0.1 mm, and areas by clipper2-ts (npm, a general-purpose polygon
 * library). Both read the text with the reader of the tests. What is nearer to a touch than the
 * raster or the polygons can tell is left open: either answer is right.
 *
 * Blank 12 mm in radius; cutter 3 mm with 2 mm of flutes, 4.5 mm out of a nut of 11 mm radius.
 */
import { describe, expect, it } from 'vitest';
import { replay } from '../../src/cam/stock/replay.js';
import { findMachine } from '../../src/machines/machines.js';
import { readProgram } from '../../src/post/rs274/reader.js';
import { cutter3, steel } from '../machines/fixtures.js';
import {
  type Met,
  agree,
  along,
  metByPlaces,
  nothingMet,
  randomPasses,
  wayOf,
} from './oracle/body-program.js';
import { areaOf, disc, minus, sweptBy } from './oracle/clipper2.js';
import { type OracleMove, readMini } from './oracle/mini-rs274.js';
import { LONG, runs } from './oracle/runs.js';

const [BLANK, NUT, R, FLUTES, OUT] = [12, 11, 1.5, 2, 4.5];
const DEEPEST = 4.8;

/** Every third no deeper than the flutes are long: there is nothing to find. */
const deepest = (seed: number): number => (seed % 3 === 0 ? FLUTES - 0.1 : DEEPEST);

/** First lines at which the replay finds nut and shank. */
function found(text: string, shank: number) {
  const { ops, errors } = readProgram(text);
  expect(errors).toEqual([]);
  const cutter = { ...cutter3, fluteLengthMm: FLUTES, stickOutMm: OUT, shankDiameterMm: shank };
  const { findings } = replay(ops, {
    machine: findMachine('screw-gantry-stiff'),
    conditions: { material: steel, cutter, runoutMm: 0, wearFactor: 1 },
    blankRadiusMm: BLANK,
    thicknessMm: 8,
    holes: [],
    field: null,
    outlinePoints: new Float64Array(0),
  });
  const first = (wanted: string) => findings.find(({ code }) => code === wanted)?.line ?? Infinity;
  return { nut: first('holder'), shank: first('shank') };
}

/** The nut over the blank as it was laid on: places alone. */
const nutOf = (moves: readonly OracleMove[]): Met =>
  metByPlaces(moves, { radiusMm: BLANK, toolMm: NUT, floorMm: -OUT });

const CELL = 0.1;
const SIDE = Math.ceil((2 * BLANK) / CELL);

/** Heights of the stock: whatever the shank stands in above the flutes. */
function shankByRaster(moves: readonly OracleMove[], radius: number): Met {
  const met = nothingMet();
  const height = new Float64Array(SIDE * SIDE).fill(-Infinity);
  const middle = (i: number) => (i + 0.5) * CELL - BLANK;
  const within = (x: number, y: number, r: number, visit: (cell: number) => void): void => {
    const [low, high] = [x - r, x + r].map((v) => Math.floor((v + BLANK) / CELL));
    const [down, up] = [y - r, y + r].map((v) => Math.floor((v + BLANK) / CELL));
    for (let i = Math.max(0, low!); i <= Math.min(SIDE - 1, high!); i++) {
      for (let j = Math.max(0, down!); j <= Math.min(SIDE - 1, up!); j++) {
        if ((middle(i) - x) ** 2 + (middle(j) - y) ** 2 <= r * r) visit(i * SIDE + j);
      }
    }
  };
  within(0, 0, BLANK, (cell) => (height[cell] = 0));
  /** Cells that stand higher than the flutes reach, at the worst of every tenth place. */
  const standing = (move: OracleMove, r: number, spare: number): number =>
    along(move)
      .filter((_, i, all) => i % 5 === 0 || i === all.length - 1)
      .reduce((most, [x, y, z]) => {
        let count = 0;
        within(x, y, r, (cell) => (count += height[cell]! > z + FLUTES + spare ? 1 : 0));
        return Math.max(most, count);
      }, 0);
  for (const move of moves) {
    // 0.4 mm2 of it: thinner slivers may lie between the places at which the replay looks.
    if (met.maybe === Infinity && standing(move, radius + 0.15, -0.01) > 0) met.maybe = move.line;
    if (standing(move, radius - 0.1, 0.05) > 40) {
      met.sure = move.line;
      return met;
    }
    for (const [x, y, z] of along(move)) {
      within(x, y, R, (cell) => (height[cell] = Math.min(height[cell]!, z)));
    }
  }
  return met;
}

/** Areas of what stands at the height to which the flutes reach, under the shank's whole way. */
function shankByAreas(moves: readonly OracleMove[], radius: number): Met {
  const met = nothingMet();
  const swept: OracleMove[] = [];
  for (const move of moves) {
    const z = Math.min(move.from[2], move.to[2]);
    if (along(move).length === 0) continue;
    if (z + FLUTES < 0) {
      const stands = swept
        .filter(({ from, to }) => Math.min(from[2], to[2]) <= z + FLUTES)
        .reduce((left, other) => minus(left, sweptBy(wayOf(other), R, 1e-3)), disc(0, 0, BLANK));
      const under = (r: number): number =>
        areaOf(stands) - areaOf(minus(stands, sweptBy(wayOf(move), r, 1e-3)));
      if (met.maybe === Infinity && under(radius + 0.02) > 0) met.maybe = move.line;
      if (under(radius - 0.02) > 0.4) {
        met.sure = move.line;
        return met;
      }
    }
    swept.push(move);
  }
  return met;
}

describe('nut and shank on random paths', () => {
  const count = runs(32);
  for (const shank of LONG ? [3, 5] : [5]) {
    it(`a shank of ${shank} mm, by raster and by areas`, { timeout: 6e6 }, () => {
      const met = { nut: 0, shank: 0, neither: 0 };
      for (let k = 0; k < count; k++) {
        const level = k % 2 === 0;
        const seed = 7100 + k;
        // Every second pair with arcs, helices and rapids among the lines.
        const [arcs, rapids] = [k % 4 > 1, k % 4 > 1];
        const text = randomPasses(seed, { level, arcs, rapids, deepestMm: deepest(seed) });
        const { moves } = readMini(text);
        const first = found(text, shank);
        const what = `program ${seed}`;
        agree(first.nut, nutOf(moves), `${what}, nut`);
        // Where the nut is found on a line, the shank is not looked for.
        const before = moves.filter(({ line }) => line < first.nut);
        const atShank = first.shank < first.nut ? first.shank : Infinity;
        agree(atShank, shankByRaster(before, shank / 2), `${what}, shank by raster`);
        if (level) agree(atShank, shankByAreas(before, shank / 2), `${what}, shank by areas`);
        if (first.nut < Infinity) met.nut++;
        if (atShank < Infinity) met.shank++;
        if (atShank === Infinity && first.nut === Infinity) met.neither++;
      }
      // All of it must have happened, or nothing has been tried.
      expect(Math.min(met.nut, met.shank, met.neither)).toBeGreaterThan(0);
    });
  }
});

/**
 * Force of stretches of rim, against a cutter that is turned in fine steps in the part plane: places,
 * ways and dot products only. Whether a cut is climb or conventional comes out by itself there.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fromTheWall, rimForce, sweptWidth } from '../../src/cam/stock/replay/rim-load.js';
import { type RimStretches, rimTotalRad } from '../../src/cam/stock/stock-front.js';
import { cutter3, steel } from '../machines/fixtures.js';
import { runs } from './oracle/runs.js';

const TURN = 2 * Math.PI;
const CUT = {
  material: steel,
  cutter: cutter3,
  runoutMm: 0,
  wearFactor: 1,
  spindleRpm: 9000,
  axialDepthMm: 1,
};
const FZ = 0.01;

const rimOf = (...stretches: (readonly [number, number])[]): RimStretches => ({
  count: stretches.length,
  angles: Float64Array.from(stretches.flat()),
});
const force = (heading: number, ...stretches: (readonly [number, number])[]) =>
  rimForce(CUT, FZ * 3 * 9000, rimOf(...stretches), heading);

/** Peaks of three teeth in 6000 steps a pitch and more; chips are thin, so Fr = Ft = kc1.1 h^(1-mc). */
function brute(heading: number, stretches: readonly (readonly [number, number])[]) {
  const out = { x: 0, y: 0, whole: 0, thickest: 0 };
  const inRim = (a: number): boolean =>
    stretches.some(([from, to]) =>
      [-2, -1, 0, 1, 2, 3].some((n) => a + n * TURN > from && a + n * TURN < to),
    );
  const pitch = TURN / 3;
  const places = Array.from({ length: 6000 }, (_, i) => ((i + 0.5) * pitch) / 6000);
  // A hair to either side of every place where a tooth comes in or goes out.
  for (const end of [...stretches.flat(), heading - Math.PI / 2, heading + Math.PI / 2]) {
    for (const a of [end - 1e-9, end + 1e-9]) places.push(((a % pitch) + pitch) % pitch);
  }
  for (const start of places) {
    let fx = 0;
    let fy = 0;
    for (let k = 0; k < 3; k++) {
      const a = start + k * pitch;
      const h = FZ * Math.cos(a - heading);
      if (h <= 0 || !inRim(a)) continue;
      out.thickest = Math.max(out.thickest, h);
      const ft = steel.kc11NPerMm2 * h ** (1 - steel.mc);
      // Clockwise: the tooth goes to (sin a, -cos a); its force is against that and inwards.
      fx += -ft * Math.sin(a) - ft * Math.cos(a);
      fy += ft * Math.cos(a) - ft * Math.sin(a);
    }
    out.x = Math.max(out.x, Math.abs(fx));
    out.y = Math.max(out.y, Math.abs(fy));
    out.whole = Math.max(out.whole, Math.hypot(fx, fy));
  }
  return out;
}

describe('force of the rim', () => {
  it('property: that of teeth going over it, on either side, over any number of stretches', () => {
    let cutting = 0;
    const angle = fc.integer({ min: 0, max: 6_283_000 }).map((v) => v / 1e6);
    fc.assert(
      fc.property(
        fc.array(angle, { minLength: 2, maxLength: 6 }),
        fc.integer({ min: -4000, max: 4000 }).map((v) => v / 1000),
        fc.constantFrom(0, 2, 5),
        (ends, heading, offset) => {
          ends.sort((a, b) => a - b);
          const stretches: [number, number][] = [];
          for (let i = 0; i + 1 < ends.length; i += 2) {
            if (ends[i + 1]! - ends[i]! > 0.05) {
              stretches.push([ends[i]! + offset, ends[i + 1]! + offset]);
            }
          }
          const got = force(heading, ...stretches);
          const expected = brute(heading, stretches);
          if (expected.whole > 0) cutting++;
          // 0.4 %: force grows with infinite slope where a chip begins, between the oracle's steps.
          const within = 4e-3 * expected.whole + 1e-9;
          expect(Math.abs(got.resultantN - expected.whole)).toBeLessThan(within);
          expect(Math.abs(got.xN - expected.x)).toBeLessThan(within);
          expect(Math.abs(got.yN - expected.y)).toBeLessThan(within);
          expect(Math.abs(got.hMaxMm - expected.thickest)).toBeLessThan(1e-5);
        },
      ),
      { numRuns: Math.max(60, runs(200)) },
    );
    expect(cutting).toBeGreaterThan(30);
  });

  it('power is that of the mean chip over what lies ahead, whichever side it is on', () => {
    // Ahead of a heading of 0.7 rad lie 0.7 - pi/2 to 0.7 + pi/2; the stretch reaches behind.
    const arcs = [
      [0.7 - 2, 0.7 - 0.5],
      [0.7 + 0.5, 0.7 + 2],
    ] as const;
    for (const [from, to] of arcs) {
      const [a, b] = [Math.max(from - 0.7, -Math.PI / 2), Math.min(to - 0.7, Math.PI / 2)];
      const mean = (FZ * (Math.sin(b) - Math.sin(a))) / (b - a);
      const fm = steel.kc11NPerMm2 * mean ** (1 - steel.mc);
      const teeth = (3 * (b - a)) / TURN;
      const speedMPerS = (Math.PI * 3 * 9000) / 60_000;
      expect(force(0.7, [from, to]).powerW).toBeCloseTo(fm * teeth * speedMPerS, 6);
    }
  });

  it('none behind, none without stretches, none of a move without a feed', () => {
    const none = { resultantN: 0, xN: 0, yN: 0, hMaxMm: 0, powerW: 0 };
    expect(force(0, [2, 4])).toEqual(none);
    expect(force(0)).toEqual(none);
    expect(rimForce(CUT, 0, rimOf([0, 1]), 0)).toEqual(none);
  });
});

describe('rim in material', () => {
  it('in all, and the width of what is swept of it', () => {
    const rim = rimOf([0.1, 0.4], [1, 3]);
    expect(rimTotalRad(rim)).toBeCloseTo(2.3, 12);
    expect(rimTotalRad(rimOf())).toBe(0);
    // Along 0: sin(0.4) - sin(0.1) + sin(3) - sin(1); a slot is two radii wide.
    const width = Math.sin(0.4) - Math.sin(0.1) + Math.sin(3) - Math.sin(1);
    expect(sweptWidth(rim, 0)).toBeCloseTo(width, 12);
    expect(sweptWidth(rimOf([0.5, 0.5 + Math.PI]), 0.5 + Math.PI / 2)).toBeCloseTo(2, 12);
    expect(sweptWidth(rimOf(), 1)).toBe(0);
  });
});

describe('on which side the wall is', () => {
  it('in every heading: on the right it is climb, and angles count from the normal on that side', () => {
    for (const heading of [0, 0.7, 1.9, 3, 4.4, 6.1]) {
      // Half the rim before the cutter, less 0.2 rad on one side.
      const right = rimOf([heading - Math.PI / 2, heading + Math.PI / 2 - 0.2]);
      const left = rimOf([heading - Math.PI / 2 + 0.2, heading + Math.PI / 2]);
      for (const [rim, climb] of [
        [right, true],
        [left, false],
      ] as const) {
        const wall = fromTheWall(rim, heading);
        expect(wall.climb, `${heading}`).toBe(climb);
        expect(wall.intervals).toHaveLength(1);
        expect(wall.intervals[0]!.fromRad).toBeCloseTo(0, 9);
        expect(wall.intervals[0]!.toRad).toBeCloseTo(Math.PI - 0.2, 9);
      }
    }
  });
});

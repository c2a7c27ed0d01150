import { describe, expect, it } from 'vitest';
import { toothFeedsMm, effectiveFeedPerToothMm } from '../../src/machines/load/chip.js';
import { peakForce } from '../../src/machines/load/force.js';
import {
  alongAxis,
  axisInWallRad,
  forceSpectrum,
  swingsOf,
} from '../../src/machines/load/spectrum.js';
import { DEG, cutter3, steel } from './fixtures.js';
import { seeded } from './random.js';

const cond = {
  material: steel,
  cutter: cutter3,
  runoutMm: 0.01,
  wearFactor: 1.3,
  spindleRpm: 10_000,
  axialDepthMm: 0.5,
};

/** Force on the cutter at a turn's angle, from the head of force.ts alone: teeth one by one. */
function forceAt(turn: number, feeds: readonly number[], from: number, to: number) {
  let [normal, feed] = [0, 0];
  feeds.forEach((fz, k) => {
    const u = turn - k / feeds.length;
    const t = 2 * Math.PI * (u - Math.floor(u));
    if (t < from || t > to) return;
    const h = fz * Math.sin(t);
    const ft = 2500 * 0.5 * 1.3 * Math.pow(h, 0.74);
    // Kr of thin chips is 1 to 15 um, then falls as h^-0.5: chip.ts, from the measured constants.
    const fr = ft * (h <= 0.015 ? 1 : Math.sqrt(0.015 / h));
    normal -= ft * Math.sin(t) + fr * Math.cos(t);
    feed += ft * Math.cos(t) - fr * Math.sin(t);
  });
  return { normal, feed };
}

describe('spectrum of the cutting force', () => {
  it('is the Fourier series of the force, summed by brute force over 20,000 places of a turn', () => {
    for (const [from, to] of [
      [0, 60 * DEG],
      [20 * DEG, 100 * DEG],
      [0, Math.PI],
    ] as const) {
      const fz = 0.014;
      const spectrum = forceSpectrum(cond, fz * 30_000, [{ fromRad: from, toRad: to }]);
      const feeds = [0, 1, 2].map((k) => fz + 0.01 * Math.cos((2 * Math.PI * k) / 3));
      const n = 20_000;
      const sums = Array.from({ length: 7 }, () => [0, 0, 0, 0]);
      for (let i = 0; i < n; i++) {
        const u = (i + 0.5) / n;
        const f = forceAt(u, feeds, from, to);
        sums.forEach((sum, m) => {
          const [c, s] = [Math.cos(2 * Math.PI * m * u), -Math.sin(2 * Math.PI * m * u)];
          sum[0]! += (2 * f.normal * c) / n;
          sum[1]! += (2 * f.normal * s) / n;
          sum[2]! += (2 * f.feed * c) / n;
          sum[3]! += (2 * f.feed * s) / n;
        });
      }
      const size = Math.hypot(sums[0]![0]!, sums[0]![2]!);
      expect(Math.abs(spectrum.meanNormalN - sums[0]![0]! / 2)).toBeLessThan(1e-3 * size);
      expect(Math.abs(spectrum.meanFeedN - sums[0]![2]! / 2)).toBeLessThan(1e-3 * size);
      expect(swingsOf(spectrum)).toBe(6);
      for (let m = 1; m <= 6; m++) {
        for (let j = 0; j < 4; j++) {
          const got = spectrum.swingsN[4 * (m - 1) + j]!;
          expect(Math.abs(got - sums[m]![j]!), `${m} ${j}`).toBeLessThan(2e-3 * size);
        }
      }
    }
  });

  it('has only multiples of the teeth without runout, and the mean that deflection is planned with', () => {
    const even = { ...cond, runoutMm: 0 };
    const arcs = [{ fromRad: 0, toRad: 75 * DEG }];
    const spectrum = forceSpectrum(even, 300, arcs);
    const size = Math.abs(spectrum.meanNormalN);
    for (const m of [1, 2, 4, 5]) {
      for (let j = 0; j < 4; j++) {
        expect(Math.abs(spectrum.swingsN[4 * (m - 1) + j]!)).toBeLessThan(1e-9 * size);
      }
    }
    expect(-spectrum.meanNormalN).toBeCloseTo(peakForce(even, 300, arcs).meanNormalN, 2);
  });

  it('projects on axes as force does', () => {
    const { even } = seeded(3);
    for (let i = 0; i < 40; i++) {
      const [heading, climb] = [2 * Math.PI * even(), even() < 0.5];
      const spectrum = forceSpectrum(
        cond,
        300 + 300 * even(),
        [{ fromRad: 0, toRad: (20 + 160 * even()) * DEG }],
        climb,
      );
      const [hx, hy] = [Math.cos(heading), Math.sin(heading)];
      // Right-hand normal (hy, -hx), left-hand its opposite (force.ts).
      const hand = climb ? 1 : -1;
      const mean = {
        x: spectrum.meanFeedN * hx + hand * spectrum.meanNormalN * hy,
        y: spectrum.meanFeedN * hy - hand * spectrum.meanNormalN * hx,
      };
      for (const axis of ['x', 'y'] as const) {
        const out = new Float64Array(7);
        alongAxis(spectrum, axisInWallRad(axis, heading, climb), out);
        expect(out[0]).toBeCloseTo(mean[axis], 9);
      }
    }
  });
});

describe('feed of each tooth of an eccentric cutter', () => {
  it('is what the surface left by the teeth before leaves it: turned by brute force', () => {
    const { even } = seeded(5);
    for (let i = 0; i < 60; i++) {
      const flutes = 1 + Math.floor(6 * even());
      const [fz, runout] = [0.004 + 0.02 * even(), 0.04 * even()];
      const got = new Float64Array(flutes);
      toothFeedsMm(fz, runout, got);
      // Reach of each tooth: steps that follow a cosine, summed up. A surface stands where the
      // deepest of all teeth so far left it; the cutter moves on by fz a tooth.
      const step = (k: number) => (flutes > 1 ? runout * Math.cos((2 * Math.PI * k) / flutes) : 0);
      let [surface, reach] = [0, 0];
      const taken: number[] = [];
      for (let n = 1; n <= 20 * flutes; n++) {
        reach += step(n);
        const bottom = n * fz + reach;
        taken.push(Math.max(0, bottom - surface));
        surface = Math.max(surface, bottom);
      }
      for (let n = 19 * flutes + 1; n <= 20 * flutes; n++) {
        expect(got[n % flutes]).toBeCloseTo(taken[n - 1]!, 12);
      }
      expect(got.reduce((a, b) => a + b, 0)).toBeCloseTo(flutes * fz, 12);
      if (flutes > 1) {
        const most = effectiveFeedPerToothMm(fz, runout, flutes);
        expect(Math.max(...got)).toBeLessThanOrEqual(most + 1e-12);
      }
    }
  });
});

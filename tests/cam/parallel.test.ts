/** Parallel curves: arcs and lines, clipper-lib, and clipper2-ts as a third method. */
import { GeometryError } from '../../src/profile/geometry/loop.js';
import { Clipper, EndType, JoinType } from 'clipper2-ts';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parallelCurve } from '../../src/cam/parallel.js';
import { offsetsApartMm } from '../../src/cam/polygon-offset.js';

import type { Loop, Pt } from '../../src/model/edges.js';
import { loopFlatten, perimeter, signedArea } from '../../src/profile/geometry/loop.js';
import { offsetLoop } from '../../src/profile/geometry/offset.js';
import { wheelOf } from '../../src/profile/wheel/sprocket.js';
import { exampleJob, exampleNames } from './jobs.js';
import { areaOf, offsetRegion, polygon } from './oracle/clipper.js';
import { gapCaseArb, profileOf } from './random-gap.js';
import { LONG, runs } from './oracle/runs.js';
import { translateLoop } from '../profile/shapes.js';

const barrow = exampleJob('nursery-barrow');
const { outline } = wheelOf(barrow);
const { teeth } = barrow.sprocket;

function corners(loop: Loop): Pt[] {
  const flat = loopFlatten(loop, 1e-4);
  return Array.from({ length: flat.length / 2 }, (_, i): Pt => [flat[2 * i]!, flat[2 * i + 1]!]);
}

describe('parallel curve', () => {
  it('agrees with the polygon on random wheels of all forms', () => {
    let compared = 0;
    fc.assert(
      fc.property(gapCaseArb, (c) => {
        const shape = profileOf(c);
        if (!shape) return;
        try {
          parallelCurve(shape.outline, c.cutterRadiusMm, c.teeth);
          parallelCurve(shape.outline, c.allowanceMm, c.teeth);
          compared++;
        } catch (error) {
          // No parallel curve at all: the cutter does not fit. A difference is a Refusal.
          if (!(error instanceof GeometryError)) throw error;
        }
      }),
      { numRuns: runs(40) },
    );
    expect(compared).toBeGreaterThan(runs(40) / 4);
  });

  it('is refused where it is not the offset of the outline', () => {
    const curve = offsetLoop(outline, 1.5);
    expect(offsetsApartMm(outline, curve, 1.5, teeth)).toBeLessThan(0.4 * 0.001);
    const off = offsetLoop(outline, 1.502);
    expect(offsetsApartMm(outline, off, 1.5, teeth)).toBeCloseTo(0.002, 3);
    const aside = translateLoop(curve, 0, 0.01);
    expect(offsetsApartMm(outline, aside, 1.5, teeth)).toBeGreaterThan(0.005);
    const [first] = curve;
    expect(offsetsApartMm(outline, [first!], 1.5, teeth)).toBeGreaterThan(1);
    expect(offsetsApartMm(outline, [], 1.5, teeth)).toBe(Infinity);
  });

  it('encloses the same area as both libraries find', { timeout: 60_000 }, () => {
    // Wheels of many teeth take the libraries seconds: by night.
    for (const name of LONG ? exampleNames() : ['barrow-winch-9t-08b', 'tray-line-11t-c2040']) {
      const job = exampleJob(name);
      const profile = wheelOf(job);
      const d = job.cutter.diameterMm / 2;
      const area = signedArea(parallelCurve(profile.outline, d, job.sprocket.teeth));
      const points = corners(profile.outline);
      const byPolygon = areaOf(offsetRegion(polygon(points), d));
      const path = points.map(([x, y]) => ({ x: Math.round(x * 1e6), y: Math.round(y * 1e6) }));
      const second = Clipper.inflatePaths([path], d * 1e6, JoinType.Round, EndType.Polygon, 2, 100);
      const bySecond = second.reduce((sum, p) => sum + Clipper.area(p), 0) / 1e12;
      // Chords and round corners are each within 1e-4 mm, all along the curve.
      const most = 2e-4 * perimeter(profile.outline);
      expect(Math.abs(byPolygon - area), name).toBeLessThan(most);
      expect(Math.abs(bySecond - area), name).toBeLessThan(most);
    }
  });
});

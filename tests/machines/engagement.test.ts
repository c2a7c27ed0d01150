import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import {
  engagementConcaveRad,
  largestCutterRadiusMm,
  stepForEngagementConcaveMm,
  stepForEngagementConvexMm,
  stepForEngagementStraightMm,
} from '../../src/machines/load/engagement.js';
import { DEG, tables } from './fixtures.js';
import {
  type WallShape,
  effectiveRadialDepthMm,
  engagementConvexRad,
  engagementStraightRad,
} from './walls.js';

function engagementRad(shape: WallShape, ae: number, r: number, R: number): number {
  if (shape === 'straight') return engagementStraightRad(ae, r);
  return shape === 'concave' ? engagementConcaveRad(ae, r, R) : engagementConvexRad(ae, r, R);
}

/**
 * Brute force: the cutter walks along its path in small steps; what its disc has covered is gone.
 * Counts the rim points at the last position that are still in stock. Knows nothing of the
 * formulas: only distances to the wall, to the stock's edge and to earlier cutter centres.
 */
function bruteForceDeg(shape: WallShape, ae: number, r: number, R: number): number {
  const rim = 14_400;
  const stepMm = 1e-3;
  const rho = shape === 'concave' ? R - r : R + r;
  // Last position at the origin side; earlier ones reached by going back along the path.
  const centre = (back: number): [number, number] => {
    if (shape === 'straight') return [-back, 0];
    const angle = back / rho;
    return [-rho * Math.sin(angle), rho * Math.cos(angle)];
  };
  const [x0, y0] = centre(0);
  // Farther back in steps of a fiftieth: what lies between two such discs is far below a micrometre wide.
  const farthest = shape === 'straight' ? 2.2 * r : Math.min(2.2 * r, Math.PI * rho);
  const earlier: [number, number][] = [];
  for (let back = stepMm; back <= farthest; back += Math.max(stepMm, back / 50)) {
    earlier.push(centre(back));
  }
  let inStock = 0;
  for (let i = 0; i < rim; i++) {
    const a = ((i + 0.5) / rim) * 2 * Math.PI;
    const [x, y] = [x0 + r * Math.cos(a), y0 + r * Math.sin(a)];
    // Stock: straight, wall at y = -r, stock up to y = -r + ae; arcs about the origin, the wall
    // outside the path for a concave one and inside it for a convex one.
    const d = Math.hypot(x, y);
    const solid =
      shape === 'straight' ? y <= -r + ae : shape === 'concave' ? d >= R - ae : d <= R + ae;
    if (solid && !earlier.some(([cx, cy]) => (x - cx) ** 2 + (y - cy) ** 2 < r * r)) inStock++;
  }
  return (360 * inStock) / rim;
}

describe('engagement against the rim-sampling table', () => {
  // Source: tables.engagement.source.
  for (const [shape, R, r, ae, formulaDeg, bruteDeg] of tables.engagement.rows) {
    it(`${shape} R ${R} r ${r} ae ${ae}`, () => {
      const deg = engagementRad(shape, ae, r, R ?? Infinity) / DEG;
      expect(Math.abs(deg - bruteDeg)).toBeLessThan(0.1);
      expect(Math.abs(deg - formulaDeg)).toBeLessThan(0.001);
    });
  }
});

describe('engagement against brute force of this test', () => {
  for (const [shape, R, r, ae] of tables.engagement.rows) {
    it(`${shape} R ${R} r ${r} ae ${ae}`, () => {
      const deg = engagementRad(shape, ae, r, R ?? Infinity) / DEG;
      expect(Math.abs(deg - bruteForceDeg(shape, ae, r, R ?? Infinity))).toBeLessThan(0.1);
    });
  }
});

test('sprocket seats: engagement, effective depth and rim speed ratio', () => {
  // Source: tables.sprocketSeats.source. The printed radius is rounded; 0.505 d1 is used.
  for (const row of tables.sprocketSeats.rows) {
    const [, d1, , r, ae, straightDeg, seatDeg, aeEff, ratio] = row;
    const R = 0.505 * d1;
    expect(engagementStraightRad(ae, r) / DEG).toBeCloseTo(straightDeg, 0);
    expect(Math.abs(engagementConcaveRad(ae, r, R) / DEG - seatDeg)).toBeLessThan(0.06);
    expect(Math.abs(effectiveRadialDepthMm(ae, r, 'concave', R) / aeEff - 1)).toBeLessThan(0.003);
    expect(Math.abs(R / (R - r) / ratio - 1)).toBeLessThan(0.005);
  }
});

test('effective depth is the thread-milling formula in diameters', () => {
  // Source: Sandvik Coromant, Threading manual p. 117: (Dm^2 - Dw^2) / (4 (Dm - Dc)) inside,
  // (Dw^2 - Dm^2) / (4 (Dm + Dc)) outside.
  for (const [dm, dc, ae] of [
    [20, 6, 0.2],
    [8.596, 6, 0.2],
    [30, 16, 1.1],
  ] as const) {
    const inside = (dm ** 2 - (dm - 2 * ae) ** 2) / (4 * (dm - dc));
    const outside = ((dm + 2 * ae) ** 2 - dm ** 2) / (4 * (dm + dc));
    expect(effectiveRadialDepthMm(ae, dc / 2, 'concave', dm / 2)).toBeCloseTo(inside, 12);
    expect(effectiveRadialDepthMm(ae, dc / 2, 'convex', dm / 2)).toBeCloseTo(outside, 12);
  }
});

test('corners against simulation', () => {
  // Source: tables.corners.source. Tolerance 1.1 deg: the simulation's own last digit is 1 deg in
  // the sharp cases.
  for (const [R, ae, turnDeg, formulaDeg, simulatedDeg] of tables.corners.rows) {
    // A sharp corner adds the whole turn; a rounded one no more than following its arc does.
    const sharp = engagementStraightRad(ae, 3) + turnDeg * DEG;
    const deg = Math.min(sharp, R === null ? Math.PI : engagementConcaveRad(ae, 3, R)) / DEG;
    expect(Math.abs(deg - formulaDeg)).toBeLessThan(0.06);
    expect(Math.abs(deg - simulatedDeg)).toBeLessThan(1.1);
  }
});

test('limits: air, full slot, a wall no larger than the cutter', () => {
  expect(engagementStraightRad(0, 3)).toBe(0);
  expect(engagementStraightRad(-1, 3)).toBe(0);
  expect(engagementStraightRad(6, 3)).toBe(Math.PI);
  expect(engagementStraightRad(9, 3)).toBe(Math.PI);
  expect(engagementConcaveRad(0.1, 3, 3)).toBe(Math.PI);
  expect(engagementConcaveRad(0, 3, 3)).toBe(0);
  expect(engagementConcaveRad(20, 3, 4)).toBe(Math.PI);
  expect(stepForEngagementConcaveMm(1, 3, 3)).toBe(0);
});

const radius = fc.double({ min: 0.5, max: 5, noNaN: true });
const angle = fc.double({ min: 0.02, max: 3.1, noNaN: true });

test('property: steps invert engagement, and concave > straight > convex', () => {
  fc.assert(
    fc.property(radius, fc.double({ min: 1.02, max: 50, noNaN: true }), angle, (r, times, phi) => {
      const R = r * times;
      const straight = stepForEngagementStraightMm(phi, r);
      const concave = stepForEngagementConcaveMm(phi, r, R);
      const convex = stepForEngagementConvexMm(phi, r, R);
      expect(engagementStraightRad(straight, r)).toBeCloseTo(phi, 6);
      expect(engagementConvexRad(convex, r, R)).toBeCloseTo(phi, 6);
      if (concave < R * 0.999) expect(engagementConcaveRad(concave, r, R)).toBeCloseTo(phi, 6);
      expect(concave).toBeLessThan(straight * (1 + 1e-12));
      expect(convex).toBeGreaterThan(straight * (1 - 1e-12));
    }),
  );
});

test('property: the largest cutter meets the limit and a larger one breaks it', () => {
  let found = 0;
  fc.assert(
    fc.property(
      fc.double({ min: 2, max: 10, noNaN: true }),
      fc.double({ min: 0.01, max: 0.5, noNaN: true }),
      fc.double({ min: 0.4, max: 1.6, noNaN: true }),
      (R, ae, limit) => {
        const r = largestCutterRadiusMm(R, ae, limit);
        if (r === null) {
          // No radius at all stays inside: the best is r = R / 2.
          expect(engagementConcaveRad(ae, R / 2, R)).toBeGreaterThan(limit * (1 - 1e-9));
          return;
        }
        found++;
        expect(engagementConcaveRad(ae, r, R)).toBeCloseTo(limit, 6);
        expect(engagementConcaveRad(ae, Math.min(r * 1.01, R * 0.9999), R)).toBeGreaterThan(limit);
      },
    ),
  );
  expect(found).toBeGreaterThan(20);
});

describe('walls at the ends of the range', () => {
  it('without a curve the depth is the allowance, whatever the shape is called', () => {
    expect(effectiveRadialDepthMm(0.3, 1.5, 'concave')).toBeCloseTo(0.3, 12);
    // The same as an arc that is very large.
    for (const shape of ['concave', 'convex'] as const) {
      expect(effectiveRadialDepthMm(0.3, 1.5, shape, 1e9)).toBeCloseTo(0.3, 6);
    }
  });

  it('an inside arc no larger than the cutter cannot be followed at all', () => {
    for (const wallMm of [1.5, 1.4]) {
      expect(engagementConcaveRad(0, 1.5, wallMm)).toBe(0);
      expect(engagementConcaveRad(0.1, 1.5, wallMm)).toBe(Math.PI);
      expect(stepForEngagementConcaveMm(1, 1.5, wallMm)).toBe(0);
    }
    expect(engagementConcaveRad(0.1, 1.5, 1.6)).toBeLessThan(Math.PI);
  });

  it('a whole width of cut is half a turn, and no more', () => {
    expect(engagementStraightRad(3, 1.5)).toBe(Math.PI);
    expect(engagementStraightRad(9, 1.5)).toBe(Math.PI);
    expect(engagementStraightRad(0, 1.5)).toBe(0);
    expect(engagementStraightRad(-1, 1.5)).toBe(0);
  });

  it('a wall of twice the cutter lets the whole circle be taken in one full width', () => {
    // Rim from the centre of the arc to its wall: R = 2 r, so a full width reaches the centre.
    for (let r = 0.5; r < 5; r += 0.01) {
      expect(stepForEngagementConcaveMm(Math.PI, r, 2 * r)).toBeCloseTo(2 * r, 6);
    }
    expect(largestCutterRadiusMm(2, 2, Math.PI)).toBe(1);
    expect(largestCutterRadiusMm(2, 2, 3.1)).toBe(null);
  });
});

/**
 * Moves as pieces of path. Arcs by RS274/NGC 3.5.3: G3 turns counter-clockwise seen from the
 * positive end of the axis across the plane, so from X to Y, from Z to X and from Y to Z.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type ArcOp,
  type Motion,
  arcPasses,
  isLevel,
  isMotion,
  pieceOf,
  planeAxes,
  slopeOf,
} from '../../src/cam/stock/replay/motion.js';
import type { CanonicalOp, Pt3 } from '../../src/model/op.js';
import { runs } from './oracle/runs.js';

const TURN = 2 * Math.PI;
const PLANES = ['xy', 'xz', 'yz'] as const;
/** Axis that the sense of G3 turns from, the one it turns to, and the one across. */
const SENSE = { xy: [0, 1, 2], xz: [2, 0, 1], yz: [1, 2, 0] } as const;
const BASE = { line: 1, feedMmPerMin: 100, spindleRpm: 9000 };

const feed = (from: Pt3, to: Pt3): Motion => ({ ...BASE, op: 'feed', from, to });

/** An arc by angles in the sense of G3, and where it is at a share of itself. */
function arcBy(
  plane: ArcOp['plane'],
  ccw: boolean,
  radius: number,
  start: number,
  sweep: number,
  rise = 0,
): { readonly op: ArcOp; readonly at: (share: number) => number[] } {
  const [u, v, w] = SENSE[plane];
  const middle = [3, -4, 5];
  const at = (share: number): number[] => {
    const angle = start + (ccw ? share : -share) * sweep;
    const p = [...middle];
    p[u] = middle[u]! + radius * Math.cos(angle);
    p[v] = middle[v]! + radius * Math.sin(angle);
    p[w] = middle[w]! + share * rise;
    return p;
  };
  const [first, second] = planeAxes(plane);
  const op: ArcOp = {
    ...BASE,
    op: 'arc',
    from: at(0) as unknown as Pt3,
    to: at(1) as unknown as Pt3,
    center: [middle[first]!, middle[second]!],
    plane,
    ccw,
    radiusErrorMm: 0,
  };
  return { op, at };
}

/** Even over a range: doubles would crowd about its ends. */
const within = (min: number, max: number) =>
  fc.integer({ min: Math.ceil(min * 1e6), max: Math.floor(max * 1e6) }).map((v) => v / 1e6);
const anyArc = fc.record({
  plane: fc.constantFrom(...PLANES),
  ccw: fc.boolean(),
  radius: within(0.5, 30),
  start: within(-4, 4),
  sweep: within(0.01, TURN - 0.01),
  rise: within(-3, 3),
});

const close = (got: readonly number[], expected: readonly number[]): void => {
  got.forEach((value, i) => expect(value).toBeCloseTo(expected[i]!, 9));
};

describe('which operations move', () => {
  it('rapids, feeds, arcs and probes; nothing else', () => {
    const kinds = ['rapid', 'feed', 'arc', 'probe', 'dwell', 'spindle', 'end', 'message', 'units'];
    const moving = kinds.filter((op) => isMotion({ op } as unknown as CanonicalOp));
    expect(moving).toEqual(['rapid', 'feed', 'arc', 'probe']);
  });

  it('level is within 0.0001 mm; an upright arc never is', () => {
    expect(isLevel(feed([0, 0, 1], [5, 5, 1]))).toBe(true);
    expect(isLevel(feed([0, 0, 0], [5, 5, -1e-4]))).toBe(true);
    expect(isLevel(feed([0, 0, 0], [5, 5, 1e-4]))).toBe(true);
    for (const z of [1.1e-4, -1.1e-4, 3]) expect(isLevel(feed([0, 0, 0], [5, 5, z]))).toBe(false);
    expect(isLevel(arcBy('xy', true, 2, 0, 3).op)).toBe(true);
    expect(isLevel(arcBy('xy', true, 2, 0, 3, 1).op)).toBe(false);
    // From one height back to the same, over the top.
    expect(isLevel(arcBy('xz', true, 2, 0, TURN).op)).toBe(false);
    expect(isLevel(arcBy('yz', true, 2, 0, TURN).op)).toBe(false);
  });
});

describe('axes of a plane', () => {
  it('in the order of the centre', () => {
    expect(PLANES.map(planeAxes)).toEqual([
      [0, 1],
      [0, 2],
      [1, 2],
    ]);
  });
});

describe('directions that an arc passes', () => {
  it('property: those between its ends on the way it turns', () => {
    let passed = 0;
    let missed = 0;
    const direction = within(0, TURN);
    fc.assert(
      fc.property(anyArc, direction, ({ plane, ccw, radius, start, sweep }, angle) => {
        const { op } = arcBy(plane, ccw, radius, start, sweep);
        const turned = ccw ? angle - start : start - angle;
        const along = ((turned % TURN) + TURN) % TURN;
        // A hair from an end either answer is right.
        if (Math.min(along, Math.abs(along - sweep), TURN - along) < 1e-6) return;
        const v = [0, 0, 0];
        v[SENSE[plane][0]] = Math.cos(angle);
        v[SENSE[plane][1]] = Math.sin(angle);
        const [first, second] = planeAxes(plane);
        const expected = along < sweep;
        if (expected) passed++;
        else missed++;
        expect(arcPasses(op, v[first]!, v[second]!)).toBe(expected);
      }),
      { numRuns: Math.max(200, runs(1000)) },
    );
    expect(Math.min(passed, missed)).toBeGreaterThan(30);
  });

  it('its own ends are passed, and a full circle passes all', () => {
    for (const plane of PLANES) {
      for (const ccw of [true, false]) {
        // Along the axes, so that no rounding decides.
        const quarter = arcBy(plane, ccw, 2, 0, Math.PI / 2).op;
        const whole = { ...quarter, to: quarter.from };
        const [i, j] = planeAxes(plane);
        for (const [a, b] of [
          [1, 0],
          [0, 1],
          [-1, 0],
          [0, -1],
        ] as const) {
          expect(arcPasses(whole, a, b)).toBe(true);
        }
        for (const end of [quarter.from, quarter.to]) {
          const [a, b] = [end[i] - quarter.center[0], end[j] - quarter.center[1]];
          expect(arcPasses(quarter, Math.round(a / 2), Math.round(b / 2))).toBe(true);
        }
      }
    }
  });
});

describe('path of a level move', () => {
  it('none where X and Y stand still, a line, an arc with its own sweep', () => {
    expect(pieceOf(feed([1, 2, 3], [1, 2, 3]))).toBeNull();
    expect(pieceOf(feed([1, 2, 3], [1, 2, -3]))).toBeNull();
    expect(pieceOf(feed([1, 2, 0], [1, 5, 0]))).toMatchObject({ ax: 1, ay: 2, bx: 1, by: 5 });
    expect(pieceOf(feed([1, 2, 0], [4, 2, 0]))).toMatchObject({ bx: 4, by: 2, radiusMm: 0 });
    for (const ccw of [true, false]) {
      for (const sweep of [0.3, Math.PI, 5, TURN]) {
        const piece = pieceOf(arcBy('xy', ccw, 2, 1, sweep).op)!;
        expect(piece.sweepRad).toBeCloseTo(ccw ? sweep : -sweep, 9);
        expect(piece).toMatchObject({ cx: 3, cy: -4 });
        expect(piece.radiusMm).toBeCloseTo(2, 12);
      }
    }
    // Upright: a line as seen from above.
    expect(pieceOf(arcBy('xz', true, 2, 0, 2).op)!.radiusMm).toBe(0);
  });
});

describe('moves that change depth', () => {
  it('lines go in proportion; straight down there is no way to see from above', () => {
    const slant = slopeOf(feed([1, 2, 3], [4, 6, -9]));
    expect(slant.planLengthMm).toBeCloseTo(5, 12);
    expect(slant.lengthMm).toBeCloseTo(13, 12);
    close(slant.at(0), [1, 2, 3]);
    close(slant.at(0.25), [1.75, 3, 0]);
    expect(slant.at(1)).toEqual([4, 6, -9]);
    expect(slant.piece(0.25, 0.5)).toMatchObject({ radiusMm: 0, sweepRad: 0 });
    const { ax, ay, bx, by } = slant.piece(0.25, 0.5);
    close([ax, ay, bx, by], [1.75, 3, 2.5, 4]);
    const down = slopeOf(feed([1, 2, 3], [1, 2, -4]));
    expect(down.planLengthMm).toBe(0);
    expect(down.lengthMm).toBe(7);
    close(down.at(0.5), [1, 2, -0.5]);
    expect(down.piece(0, 1)).toMatchObject({ ax: 1, ay: 2, bx: 1, by: 2, radiusMm: 0 });
  });

  it('property: arcs in any plane are where their angle says, and their pieces end there', () => {
    const shares = fc.tuple(
      fc.double({ min: 0, max: 1, noNaN: true }),
      fc.double({ min: 0, max: 1, noNaN: true }),
    );
    fc.assert(
      fc.property(anyArc, shares, ({ plane, ccw, radius, start, sweep, rise }, [s, t]) => {
        const { op, at } = arcBy(plane, ccw, radius, start, sweep, rise);
        const slope = slopeOf(op);
        close(slope.at(s), at(s));
        expect(slope.at(1)).toEqual(op.to);
        expect(slope.lengthMm).toBeCloseTo(Math.hypot(radius * sweep, rise), 9);
        const [a, b] = [Math.min(s, t), Math.max(s, t)];
        const piece = slope.piece(a, b);
        close([piece.ax, piece.ay], at(a));
        close([piece.bx, piece.by], at(b));
        if (plane === 'xy') {
          expect(piece.sweepRad).toBeCloseTo((b - a) * (ccw ? sweep : -sweep), 9);
          expect(slope.planLengthMm).toBeCloseTo(radius * sweep, 9);
        } else {
          expect(piece.radiusMm).toBe(0);
        }
      }),
      { numRuns: Math.max(200, runs(600)) },
    );
  });

  it('an upright arc that ends where it began is a full turn', () => {
    for (const plane of ['xz', 'yz'] as const) {
      for (const ccw of [true, false]) {
        const quarter = arcBy(plane, ccw, 2, 0.3, 1).op;
        const slope = slopeOf({ ...quarter, to: quarter.from });
        expect(slope.lengthMm).toBeCloseTo(TURN * 2, 9);
        const { at } = arcBy(plane, ccw, 2, 0.3, TURN);
        for (const share of [0.1, 0.4, 0.7]) close(slope.at(share), at(share));
      }
    }
  });
});

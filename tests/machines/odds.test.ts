/** The odds of a cut: every figure by hand from tables of the normal distribution. */
import { describe, expect, it } from 'vitest';
import { cutterHolds } from '../../src/machines/bear/cutter.js';
import { edgeHolds } from '../../src/machines/bear/edge.js';
import { type Asked, oddsBand, oddsOf } from '../../src/machines/bear/odds.js';

const ASKED: Asked = {
  driveHolds: 0.99,
  cutterShare: 1,
  livesAnEdge: 1,
  servedLives: 0,
  edges: 1,
  minutes: 60,
};

describe('odds of a cut', () => {
  it('of the cutter and of the edge are log-normal', () => {
    // Half of all cutters break at 0.73 of the rupture strength, planned are 0.3 of it: z = ln(0.73 / 0.3)
    // / 0.27 = 3.294, and tables have Phi(3.294) = 0.99951.
    expect(cutterHolds(1)).toBeCloseTo(0.99951, 4);
    expect(cutterHolds(0.73 / 0.3)).toBeCloseTo(0.5, 9);
    expect(cutterHolds(0)).toBe(1);
    // An edge is gone at two lives: z = ln 2 / 0.35 = 1.980, Phi = 0.9761.
    expect(edgeHolds(1)).toBeCloseTo(0.9761, 3);
    expect(edgeHolds(2)).toBeCloseTo(0.5, 9);
    expect(edgeHolds(0)).toBe(1);
  });

  it('are the product of what can end it, each with its own', () => {
    const odds = oddsOf(ASKED);
    expect(odds.drive).toBe(0.99);
    expect(odds.cutter).toBeCloseTo(0.99951, 4);
    expect(odds.edge).toBeCloseTo(0.9761, 3);
    // One loss in a hundred hours: exp(-0.01) in an hour.
    expect(odds.other).toBeCloseTo(0.99005, 5);
    expect(odds.all).toBeCloseTo(0.99 * 0.99951 * 0.9761 * 0.99005, 3);
    expect(oddsOf({ ...ASKED, minutes: 0 }).other).toBe(1);
  });

  it('with several edges every one of them has to hold', () => {
    const one = oddsOf(ASKED);
    const three = oddsOf({ ...ASKED, edges: 3 });
    expect(three.edge).toBeCloseTo(one.edge ** 3, 12);
    expect(three.cutter).toBeCloseTo(one.cutter ** 3, 12);
    expect([three.drive, three.other]).toEqual([one.drive, one.other]);
  });

  it('of an edge that has served are those of one that is known to have held so far', () => {
    // From half a life to one: z = ln 4 / 0.35 = 3.961, Phi = 0.99996; at one 0.9761.
    expect(oddsOf({ ...ASKED, servedLives: 0.5 }).edge).toBeCloseTo(0.9761 / 0.99996, 3);
    expect(oddsOf({ ...ASKED, servedLives: 1 }).edge).toBe(1);
    // Of two edges only the first.
    const two = oddsOf({ ...ASKED, edges: 2, servedLives: 1.5, livesAnEdge: 2 });
    expect(two.edge).toBeCloseTo(0.25 / edgeHolds(1.5), 9);
  });

  it('lie between those with every figure a sigma worse and a sigma better', () => {
    const drive = (sigmas: number): number => 0.99 + 0.009 * sigmas;
    const [low, high] = oddsBand(ASKED, drive);
    expect(low).toBeLessThan(oddsOf(ASKED).all);
    expect(high).toBeGreaterThan(oddsOf(ASKED).all);
    // A sigma worse: z of the cutter 2.294 (0.98910), of the edge 0.980 (0.8365).
    expect(low).toBeCloseTo(0.981 * 0.9891 * 0.8365 * 0.99005, 3);
    // A sigma better: 4.294 (0.99999), 2.980 (0.99856).
    expect(high).toBeCloseTo(0.999 * 0.99999 * 0.99856 * 0.99005, 3);
  });
});

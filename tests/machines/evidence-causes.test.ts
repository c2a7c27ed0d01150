import { describe, expect, it } from 'vitest';
import { likelyCauses } from '../../src/machines/learn/causes.js';
import { NO_LOAD, tallyOf } from '../../src/machines/learn/load-history.js';
import { Belief } from '../../src/machines/learn/belief.js';
import { otherCause } from '../../src/machines/learn/posterior.js';
import type { Evidence } from '../../src/machines/learn/run-evidence.js';

const prior = Belief.before({
  x: { thrustN: 280, sigma: 0.4 },
  y: { thrustN: 280, sigma: 0.4 },
});
const steel = { material: 'steel', bar: null, edge: null };
const none = { ...steel, held: { x: NO_LOAD, y: NO_LOAD } };

function moves(xN: number[], seconds: number[], travelX = xN.map(() => 0)) {
  const zero = new Float64Array(xN.length);
  return {
    demandN: { x: Float64Array.from(xN), y: zero },
    seconds: Float64Array.from(seconds),
    travel: { x: Float64Array.from(travelX), y: zero },
  };
}

describe('likely moves', () => {
  it('add up to the whole with the other causes, as the posterior sees them', () => {
    const m = moves([150, 180, 120], [10, 5, 20]);
    const causes = likelyCauses(prior, none, m, 'x', null);
    expect(causes.byMove.reduce((a, b) => a + b, 0) + causes.other).toBeCloseTo(1, 12);
    const suspect = {
      x: tallyOf([
        [150, 10],
        [180, 5],
        [120, 20],
      ]),
      y: NO_LOAD,
    };
    const run: Evidence = { ...none, outcome: 'lost', suspect, axis: 'x', otherHeld: false };
    // Two ways to the same figure: move by move, and over the whole stretch.
    expect(causes.other).toBeCloseTo(otherCause(prior, run)!, 3);
  });

  it('are the first that ask more than all before', () => {
    const held = { ...steel, held: { x: tallyOf([[120, 600]]), y: NO_LOAD } };
    const m = moves([120, 120, 200, 200, 120], [30, 30, 2, 2, 30]);
    const { byMove } = likelyCauses(prior, held, m, 'x', null);
    expect(byMove[2]).toBeGreaterThan(5 * byMove[3]!);
    expect(byMove[2]).toBeGreaterThan(10 * byMove[0]!);
  });

  it('lie against the direction in which the machine ended up off', () => {
    // Common practice, no source: a motor that loses its step falls behind.
    const m = moves([200, 200], [2, 2], [1, -1]);
    const off = (d: '+' | '-' | null) => likelyCauses(prior, none, m, 'x', d).byMove;
    const ratio = (d: '+' | '-' | null) => off(d)[0]! / off(d)[1]!;
    expect(ratio('-') / ratio(null)).toBeCloseTo(0.9 / 0.1, 6);
    expect(ratio(null) / ratio('+')).toBeCloseTo(0.9 / 0.1, 6);
  });

  it('say which axis when that is not known', () => {
    const zero = new Float64Array(1);
    const m = {
      demandN: { x: Float64Array.of(90), y: Float64Array.of(220) },
      seconds: Float64Array.of(10),
      travel: { x: zero, y: zero },
    };
    const { axis } = likelyCauses(prior, none, m, null, null);
    expect(axis.y).toBeGreaterThan(10 * axis.x);
  });
});

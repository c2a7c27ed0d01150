import { describe, expect, it } from 'vitest';
import { type SideError, shiftsFromSides } from '../../src/machines/learn/offsets.js';
import { findMachine } from '../../src/machines/machines.js';

const screw = findMachine('screw-gantry-light');
const belt = findMachine('belt-gantry-light');

/**
 * A disc cut by a tool that runs shifted: the error on each side by brute force, from the farthest
 * point of the shifted disc in that direction.
 */
function sidesOfShiftedDisc(dx: number, dy: number): SideError[] {
  const radius = 20;
  const reach = (nx: number, ny: number): number => {
    let best = -Infinity;
    for (let i = 0; i < 3600; i++) {
      const a = (2 * Math.PI * i) / 3600;
      best = Math.max(best, (radius * Math.cos(a) + dx) * nx + (radius * Math.sin(a) + dy) * ny);
    }
    return best;
  };
  return [
    { side: '+x', errorMm: radius - reach(1, 0) },
    { side: '-x', errorMm: radius - reach(-1, 0) },
    { side: '+y', errorMm: radius - reach(0, 1) },
    { side: '-y', errorMm: radius - reach(0, -1) },
  ];
}

describe('a wrong part', () => {
  it('tells the shift that made it', () => {
    const [x, y] = shiftsFromSides(sidesOfShiftedDisc(-1.5, 0.4), screw, 0.02);
    expect(x).toMatchObject({ axis: 'x', off: true, sidesAgree: true });
    expect(x!.shiftMm).toBeCloseTo(-1.5, 4);
    expect(y!.shiftMm).toBeCloseTo(0.4, 4);
  });

  it('has one side cut too far and the opposite side left by the same amount', () => {
    // Common practice, no source: that is how a loss shows, as the control carries on regardless.
    const both = shiftsFromSides(
      [
        { side: '+x', errorMm: 1.5 },
        { side: '-x', errorMm: -1.5 },
      ],
      screw,
      0.05,
    );
    expect(both[0]).toMatchObject({ shiftMm: -1.5, sumMm: 0, sidesAgree: true, off: true });
    // A part that is under size all round is no shift.
    const small = shiftsFromSides(
      [
        { side: '+x', errorMm: 0.4 },
        { side: '-x', errorMm: 0.4 },
      ],
      screw,
      0.05,
    );
    expect(small[0]).toMatchObject({ shiftMm: 0, off: false, sidesAgree: false });
  });

  it('counts full steps, slips of four and belt teeth', () => {
    // 8 mm lead over 200 steps is 0.04 mm a step; the profile's 4 mm lead gives 0.02.
    const [s] = shiftsFromSides([{ side: '+x', errorMm: 0.8 }], screw, 0.005);
    expect(s!.fullSteps).toBeCloseTo(0.8 / (4 / 200), 9);
    expect(s).toMatchObject({ cycles: 10, cyclesTell: true, beltTeeth: null, sidesAgree: null });
    const [b] = shiftsFromSides([{ side: '-y', errorMm: 4.05 }], belt, 0.05);
    expect(b).toMatchObject({ axis: 'y', wholeTeeth: true });
    expect(b!.shiftMm).toBeCloseTo(4.05, 9);
    expect(b!.beltTeeth).toBeCloseTo(2.025, 9);
    const [no] = shiftsFromSides([{ side: '-y', errorMm: 3 }], belt, 0.05);
    expect(no!.wholeTeeth).toBe(false);
  });

  it('turns the signs round in a bore, and takes an untouched side as no figure', () => {
    const [out] = shiftsFromSides([{ side: '+x', errorMm: 1 }], screw, 0.05);
    const [inside] = shiftsFromSides([{ side: '+x', errorMm: 1 }], screw, 0.05, true);
    expect(inside!.shiftMm).toBe(-out!.shiftMm);
    const [one] = shiftsFromSides(
      [
        { side: '+x', errorMm: 1 },
        { side: '-x', errorMm: 'untouched' },
      ],
      screw,
      0.05,
    );
    expect(one).toMatchObject({ shiftMm: -1, sumMm: null, sidesAgree: true, way: '-' });
  });

  it('a side that was not reached tells the way; both, or one that contradicts, no shift', () => {
    const of = (sides: SideError[], inside = false) =>
      shiftsFromSides(sides, screw, 0.05, inside)[0]!;
    const left: SideError = { side: '-x', errorMm: 'untouched' };
    // Outside the cutter ran off towards the side it did not reach; in a bore, away from it.
    expect(of([left])).toMatchObject({ off: true, amountKnown: false, way: '-', sidesAgree: null });
    expect(of([left], true)).toMatchObject({ off: true, way: '+' });
    expect(of([left, { side: '+x', errorMm: 0 }])).toMatchObject({ sidesAgree: false });
    expect(of([left, { side: '+x', errorMm: -0.5 }])).toMatchObject({ sidesAgree: false });
    expect(of([left, { side: '+x', errorMm: 'untouched' }])).toMatchObject({
      off: false,
      sidesAgree: false,
      way: null,
    });
  });
});

/** What stands under the whole face of the cutter, not only at its rim. */
import { describe, expect, it } from 'vitest';
import { holdsMaterial, runsBelow } from '../../src/cam/stock/replay/motion.js';
import { StockFront } from '../../src/cam/stock/stock-front.js';

const TOUCH = 0.02;

/** Asked as the replay does: on the rim, then inside it. */
const meetsMaterial = (front: StockFront, x: number, y: number, r: number, touchRad: number) =>
  front.engagedRad(x, y) > touchRad || holdsMaterial(front, x, y, r);

describe('what the disc of the cutter holds', () => {
  it('finds an island smaller than the cutter anywhere under it', () => {
    // An island of radius 0.4 mm under a cutter of radius 1.5 mm: the rim is in air all round.
    const front = new StockFront({ blankRadiusMm: 0.4, cutterRadiusMm: 1.5 });
    for (const away of [0, 0.3, 0.6, 0.9, 1.05]) {
      for (let deg = 0; deg < 360; deg += 15) {
        const x = away * Math.cos((deg * Math.PI) / 180);
        const y = away * Math.sin((deg * Math.PI) / 180);
        expect(front.engagedRad(x, y)).toBe(0);
        expect(meetsMaterial(front, x, y, 1.5, TOUCH), `${away} mm, ${deg} deg`).toBe(true);
      }
    }
    // Astride the rim it is found by the rim, beyond it not at all.
    expect(meetsMaterial(front, 1.5, 0, 1.5, TOUCH)).toBe(true);
    expect(meetsMaterial(front, 1.95, 0, 1.5, TOUCH)).toBe(false);
    expect(meetsMaterial(front, 0, -1.95, 1.5, TOUCH)).toBe(false);
  });

  it('a graze of the rim below the mark is none', () => {
    const front = new StockFront({ blankRadiusMm: 20, cutterRadiusMm: 1.5 });
    expect(meetsMaterial(front, 21.6, 0, 1.5, TOUCH)).toBe(false);
    expect(meetsMaterial(front, 21.4, 0, 1.5, TOUCH)).toBe(true);
    expect(meetsMaterial(front, 21.4, 0, 1.5, Math.PI)).toBe(false);
    expect(meetsMaterial(front, 0, 0, 1.5, 7)).toBe(true);
  });
});

describe('parts of a slanted move', () => {
  it('below a depth, as runs of shares; touching it is not below', () => {
    const shares = Float64Array.of(0, 0.25, 0.5, 0.75, 1);
    const runs = (...depths: number[]) => runsBelow(Float64Array.from(depths), shares, -1);
    expect(runs(0, -2, -2, 0, -2)).toEqual([
      { from: 0.25, to: 0.5 },
      { from: 1, to: 1 },
    ]);
    expect(runs(-2, -2, -2, -2, -2)).toEqual([{ from: 0, to: 1 }]);
    expect(runs(-1, -1, 0, -1, -1)).toEqual([]);
  });
});

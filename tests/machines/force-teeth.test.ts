/**
 * Peaks of the sum of teeth, to the accuracy that teeth.ts states: 3e-4 of the greatest force at worst. The
 * oracle turns the cutter in 3000 even steps a pitch, looks a hair to either side of every place
 * where a tooth enters or leaves, so that it misses no jump, and in finer steps round what it found.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ALONG_X, ALONG_Y, PUSH_OFF, RESULTANT, ToothSum } from '../../src/machines/load/teeth.js';
import { runs } from '../cam/oracle/runs.js';

interface Cut {
  /** kc1.1 ap wear, N at a chip of 1 mm. */
  readonly scale: number;
  readonly mc: number;
  readonly fzMm: number;
  readonly flutes: number;
  readonly climb: boolean;
  readonly heading: number;
  /** Arcs in which a tooth makes a chip, apart from each other, within 0..pi. */
  readonly arcs: readonly (readonly [number, number])[];
}

const QUANTITIES = [RESULTANT, PUSH_OFF, ALONG_X, ALONG_Y];
const TURN = 2 * Math.PI;
const HAIR = 1e-9;

/** Radial share as kienzle.ts states it: the steps 1, 0.6 and 0.4, joined by h^-0.5. */
function share(h: number): number {
  if (h <= 0.015) return 1;
  if (h <= 0.05) return Math.max(0.6, Math.sqrt(0.015 / h));
  return Math.max(0.4, 0.6 * Math.sqrt(0.05 / h));
}

/** Force of one tooth along the travel and away from the wall. N */
function tooth(cut: Cut, t: number): readonly [along: number, off: number] {
  const h = cut.fzMm * Math.sin(t);
  if (!cut.arcs.some(([from, to]) => t > from && t < to) || h <= 0) return [0, 0];
  const ft = cut.scale * h ** (1 - cut.mc);
  const fr = ft * share(h);
  // The tooth goes backwards over the rim on the side of the wall in climb, forwards in the other.
  return cut.climb
    ? [ft * Math.cos(t) - fr * Math.sin(t), ft * Math.sin(t) + fr * Math.cos(t)]
    : [-ft * Math.cos(t) - fr * Math.sin(t), -ft * Math.sin(t) + fr * Math.cos(t)];
}

/** Greatest of each quantity over a turn, and the mean push off the wall. */
function brute(cut: Cut): { readonly peaks: number[]; readonly mean: number } {
  const pitch = TURN / cut.flutes;
  const places = Array.from({ length: 3000 }, (_, i) => ((i + 0.5) * pitch) / 3000);
  for (const end of [...cut.arcs.flat(), Math.PI / 2]) {
    for (const t of [end - HAIR, end + HAIR]) places.push(((t % pitch) + pitch) % pitch);
  }
  // Unit vectors of travel and of the way off the wall, the wall on the right hand or the left.
  const go = [Math.cos(cut.heading), Math.sin(cut.heading)] as const;
  const off = cut.climb ? [-go[1], go[0]] : [go[1], -go[0]];
  const peaks = [0, 0, 0, 0];
  const at = [0, 0, 0, 0];
  /** Notes what happens with the leading tooth at an angle; returns the push off the wall. */
  const look = (start: number): number => {
    let along = 0;
    let away = 0;
    for (let k = 0; k < cut.flutes; k++) {
      const [a, o] = tooth(cut, start + k * pitch);
      along += a;
      away += o;
    }
    const x = Math.abs(along * go[0] + away * off[0]!);
    const y = Math.abs(along * go[1] + away * off[1]!);
    [Math.hypot(along, away), away, x, y].forEach((value, q) => {
      if (value <= peaks[q]!) return;
      peaks[q] = value;
      at[q] = start;
    });
    return away;
  };
  let mean = 0;
  places.forEach((start, i) => {
    const away = look(start);
    if (i < 3000) mean += away / 3000;
  });
  // Closer round each of the places found.
  for (const q of QUANTITIES) {
    const middle = at[q]!;
    for (let i = -200; i <= 200; i++) look((pitch + middle + (i / 200) * (pitch / 3000)) % pitch);
  }
  return { peaks, mean };
}

function summed(cut: Cut, quantities: readonly number[] = QUANTITIES): ToothSum {
  const sum = new ToothSum();
  sum.setTooth(cut.scale, 1 - cut.mc, cut.fzMm, cut.flutes);
  sum.setTravel(cut.climb, cut.heading);
  sum.arcs.set(cut.arcs.map(([fromRad, toRad]) => ({ fromRad, toRad })));
  sum.findPeaks(quantities);
  return sum;
}

/** 2e-5 where nothing else is said: what the common cases reach. */
function same(cut: Cut, within = 2e-5): void {
  const expected = brute(cut).peaks;
  const { peaks } = summed(cut);
  const whole = expected[RESULTANT]!;
  for (const q of QUANTITIES) {
    const off = (peaks[q]! - expected[q]!) / whole;
    expect(Math.abs(off), `${q} of ${JSON.stringify(cut)}`).toBeLessThan(within);
  }
}

const BASE: Cut = {
  scale: 1000,
  mc: 0.26,
  fzMm: 0.01,
  flutes: 3,
  climb: true,
  heading: 0.4,
  arcs: [[0, 1]],
};

describe('peaks', () => {
  it('one tooth at a time: at the end of the arc, at the top, at a knee of the radial share', () => {
    for (const climb of [true, false]) {
      for (const fzMm of [0.004, 0.02, 0.03, 0.06, 0.2]) {
        for (const arcs of [
          [[0, 0.3]],
          [[0.9, 2]],
          [[2, 3.1]],
          [
            [0.1, 0.2],
            [1.3, 1.9],
          ],
        ] as const)
          same({ ...BASE, climb, fzMm, arcs });
      }
    }
  });

  it('several teeth at once, over every part of a pitch', () => {
    for (const climb of [true, false]) {
      for (const flutes of [2, 3, 4, 5, 8]) {
        for (const fzMm of [0.006, 0.04, 0.12]) {
          for (const to of [1.7, 2.2, 2.9, Math.PI])
            same({ ...BASE, climb, flutes, fzMm, arcs: [[0, to]] });
        }
      }
    }
  });

  it('property: any arcs, any heading, either side', () => {
    let several = 0;
    const angle = fc.double({ min: 0, max: Math.PI, noNaN: true });
    fc.assert(
      fc.property(
        fc.record({
          scale: fc.constant(1000),
          mc: fc.double({ min: 0.14, max: 0.3, noNaN: true }),
          fzMm: fc.double({ min: 0.002, max: 0.2, noNaN: true }),
          flutes: fc.integer({ min: 1, max: 8 }),
          climb: fc.boolean(),
          heading: fc.double({ min: -4, max: 4, noNaN: true }),
          ends: fc.oneof(
            fc.array(angle, { minLength: 2, maxLength: 6 }),
            // Most of a half turn: several teeth for sure, from three flutes on.
            fc.double({ min: 2.2, max: Math.PI, noNaN: true }).map((to) => [0, to]),
          ),
        }),
        ({ ends, ...rest }) => {
          ends.sort((a, b) => a - b);
          const arcs: [number, number][] = [];
          for (let i = 0; i + 1 < ends.length; i += 2) {
            const [from, to] = [ends[i]!, ends[i + 1]!];
            // Far apart and long enough for the oracle's hair.
            const clear = to - from > 1e-3 && (arcs.length === 0 || from - arcs.at(-1)![1] > 1e-3);
            if (clear) arcs.push([from, to]);
          }
          if (arcs.length === 0) return;
          if (arcs.at(-1)![1] - arcs[0]![0] > TURN / rest.flutes) several++;
          same({ ...rest, arcs }, 3e-4);
        },
      ),
      { numRuns: Math.max(50, runs(300)) },
    );
    expect(several).toBeGreaterThan(5);
  });

  it('closed form: one tooth in the wall up to 90 degrees is heaviest where it leaves', () => {
    // Ft = 1000 h^0.74, Fr the same below 15 um, so the resultant is sqrt(2) Ft at the end.
    const ft = 1000 * (0.01 * Math.sin(1)) ** 0.74;
    const { peaks } = summed(BASE, [RESULTANT]);
    expect(peaks[RESULTANT]).toBeCloseTo(Math.SQRT2 * ft, 9);
    // What has not been asked for is not looked for.
    expect([...peaks].slice(1)).toEqual([0, 0, 0]);
    // Four teeth a quarter turn apart in a slot: at 45 and 135 degrees two are in at a time.
    const two = summed({ ...BASE, flutes: 4, arcs: [[0, Math.PI]], mc: 0 });
    const h = 0.01 * Math.SQRT1_2;
    // With mc = 0 each Ft is 1000 h; Ft and Fr of both add up to 2 Ft sqrt(1/2) on either axis.
    const each = 2 * 1000 * h * Math.SQRT1_2;
    expect(two.peaks[RESULTANT]!).toBeCloseTo(Math.hypot(each, each), 6);
  });

  it('are those of the last cut alone, and 0 where nothing is cut', () => {
    const sum = summed({ ...BASE, flutes: 4, arcs: [[0, Math.PI]] });
    expect(sum.peaks[RESULTANT]).toBeGreaterThan(0);
    sum.arcs.set([]);
    sum.findPeaks(QUANTITIES);
    expect([...sum.peaks]).toEqual([0, 0, 0, 0]);
    expect(sum.meanPushOffN(0.01)).toBeCloseTo(0, 12);
    sum.arcs.set([{ fromRad: 0, toRad: 1 }]);
    sum.setTooth(1000, 0.74, 0.01, 3);
    sum.findPeaks([RESULTANT]);
    expect(sum.peaks[RESULTANT]).toBeCloseTo(Math.SQRT2 * 1000 * (0.01 * Math.sin(1)) ** 0.74, 9);
  });
});

describe('mean push off the wall', () => {
  it('is the mean of the oracle, at the feed it is given', () => {
    for (const climb of [true, false]) {
      for (const [flutes, from, to] of [
        [3, 0, 0.7],
        [4, 0.5, 2.8],
        [2, 1.4, 1.7],
      ] as const) {
        const cut = { ...BASE, climb, flutes, fzMm: 0.03, arcs: [[from, to]] as const };
        const { mean } = brute(cut);
        // Set up with another feed, which must not count.
        const got = summed({ ...cut, fzMm: 0.002 }).meanPushOffN(0.03);
        // 2e-3: kinks of the radial share inside an arc, and the steps of the oracle at its ends.
        expect(Math.abs(got / mean - 1)).toBeLessThan(2e-3);
      }
    }
  });
});

describe('flutes', () => {
  it('1 to 32, both included', () => {
    const sum = new ToothSum();
    for (const flutes of [1, 32]) expect(() => sum.setTooth(1, 0.7, 0.01, flutes)).not.toThrow();
    for (const flutes of [0.5, 0, 33, NaN]) {
      expect(() => sum.setTooth(1, 0.7, 0.01, flutes)).toThrow(RangeError);
    }
    // All of them in the cut at once.
    same({ ...BASE, flutes: 32, arcs: [[0, Math.PI]] }, 1e-4);
  });
});

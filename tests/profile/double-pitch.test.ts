/** Wheels for chains whose rollers are two gaps apart. */
import { describe, expect, test } from 'vitest';
import { chainFromTable } from '../../src/job/chain.js';
import type { ToothForm, WheelCut } from '../../src/model/job.js';
import { Refusal } from '../../src/model/refusal.js';
import { driveSections } from '../../src/profile/drive/drive.js';
import { inPitches } from '../../src/profile/drive/speed.js';
import { fitsChain } from '../../src/profile/fit/fit.js';
import { distanceToEdge, pointAt } from '../../src/profile/geometry/edge.js';
import { overPinsMm } from '../../src/profile/standard/limits.js';
import { chainOnWheel, pitchesPerTurn } from '../../src/profile/wheel/cut.js';
import { type Wheel, sprocketProfile } from '../../src/profile/wheel/sprocket.js';

function wheel(
  teeth: number,
  cut: WheelCut,
  chain = 'C2040',
  toothForm: ToothForm = 'iso606-mid',
): Wheel {
  return sprocketProfile({
    ...chainOnWheel(chainFromTable(chain, 0), teeth, cut),
    teeth,
    toothForm,
    thicknessMm: null,
    tipRoundingMm: 0.2,
    flankReliefMm: 0,
    tipDiameterMm: null,
  });
}

/** Distance of a point from an outline. */
function offOutline({ outline }: Wheel, p: readonly [number, number]): number {
  return Math.min(...outline.map((edge) => distanceToEdge(edge, p[0], p[1])));
}

const at = (radiusMm: number, rad: number): [number, number] => [
  radiusMm * Math.cos(rad),
  radiusMm * Math.sin(rad),
];

describe('double-pitch wheels', () => {
  // d = p / sin(360 deg / N): the gathered notes, 1.5 (12 to 40 teeth cut), and the oracle "double-duty
  // wheel with an odd tooth count" (19).
  test.each([
    [12, 50.8],
    [15, 62.448],
    [19, 78.226],
    [20, 82.196],
    [30, 122.167],
    [40, 162.368],
  ])('%i gaps at 25.4 mm: pitch diameter %f mm', (teeth, mm) => {
    const { pitchDiameterMm, rootDiameterMm } = wheel(teeth, 'double');
    expect(pitchDiameterMm).toBeCloseTo(mm, 3);
    expect(pitchDiameterMm - rootDiameterMm).toBeCloseTo(7.95, 9);
    // The base chain's wheel is smaller by cos(180 deg / N): the same table, 49.069 of 50.8.
    const base = 12.7 / Math.sin(Math.PI / teeth);
    expect(base).toBeCloseTo(pitchDiameterMm * Math.cos(Math.PI / teeth), 9);
  });

  test('rollers 25.4 mm apart lie in the seats, in every gap in turn where the count is odd', () => {
    for (const [teeth, cut, step] of [
      [15, 'double', 2],
      [10, 'single', 1],
    ] as const) {
      const made = wheel(teeth, cut);
      const seats = new Set<number>();
      for (let k = 0, gap = 0; k < teeth; k++, gap = (gap + step) % teeth) seats.add(gap);
      expect(seats.size).toBe(teeth);
      const stepRad = (2 * Math.PI * step) / teeth;
      const r = made.pitchDiameterMm / 2;
      const [a, b] = [at(r, 0), at(r, stepRad)];
      expect(Math.hypot(a[0] - b[0], a[1] - b[1])).toBeCloseTo(25.4, 9);
      for (const p of [a, b]) expect(offOutline(made, p)).toBeCloseTo(7.95 / 2, 6);
    }
  });

  test('single cut leaves every second gap of the double cut out, and long lands in their place', () => {
    const [single, double] = [wheel(10, 'single'), wheel(20, 'double')];
    expect(single.rootDiameterMm).toBeCloseTo(double.rootDiameterMm, 9);
    expect(single.tipDiameterMm).toBe(double.tipDiameterMm);
    // Between two gaps that are left, one gap and the other land: half a turn of the tip circle over ten.
    const more = (Math.PI * single.tipDiameterMm) / 20;
    expect(single.tipLandMm).toBeCloseTo(double.tipLandMm + more, 9);
    const land = at(single.tipDiameterMm / 2, Math.PI / 10);
    expect(offOutline(single, land)).toBeCloseTo(0, 9);
    expect(offOutline(double, land)).toBeGreaterThan(3);
  });

  test('a large roller has no room for a gap in every place', () => {
    // 15.88 mm rollers, gaps 13 mm apart: the gathered notes, 1.5.
    expect(() => wheel(20, 'double', 'C2042')).toThrow(Refusal);
    expect(wheel(10, 'single', 'C2042').pitchDiameterMm).toBeCloseTo(82.196, 3);
    expect(() => wheel(9, 'double')).toThrow(/9 gaps, 4.5 pitches/);
  });

  test('what the flank has in the way of a roller on its long link, by brute force', () => {
    // The roller swings about the next seated one, 25.4 mm away and two gaps on.
    const foul = (made: Wheel): number => {
      const r = made.pitchDiameterMm / 2;
      const next = at(r, (4 * Math.PI) / 11);
      const start = Math.atan2(-next[1], r - next[0]);
      let deepest = 0;
      for (let turn = 0; turn < 1.2; turn += 0.002) {
        const c = [
          next[0] + 25.4 * Math.cos(start + turn),
          next[1] + 25.4 * Math.sin(start + turn),
        ] as const;
        for (const edge of made.gap) {
          for (let t = 0; t <= 1; t += 0.02) {
            const p = pointAt(edge, t);
            deepest = Math.max(deepest, 7.95 / 2 - Math.hypot(p[0] - c[0], p[1] - c[1]));
          }
        }
      }
      return deepest;
    };
    const noteOf = (made: Wheel) => made.notes.find((n) => n.code === 'roller-fouls-flank');
    const mid = wheel(11, 'double');
    expect(noteOf(mid)!.value).toBeCloseTo(foul(mid), 2);
    const swept = wheel(11, 'double', 'C2040', 'link-sweep');
    expect(noteOf(swept)).toBeUndefined();
    expect(foul(swept)).toBeLessThan(0.001);
  });

  test('the fit swings rollers on the long link, too', () => {
    // Drawn for the link, link-sweep lets it out without a touch and iso606-mid on eleven gaps does not.
    const at = { ...chainOnWheel(chainFromTable('C2040', 0), 11, 'double'), teeth: 11 };
    const rest = { thicknessMm: null, tipRoundingMm: 0.2, flankReliefMm: 0, tipDiameterMm: null };
    expect(fitsChain({ ...at, ...rest, toothForm: 'link-sweep' }).free).toBe(true);
    expect(fitsChain({ ...at, ...rest, toothForm: 'iso606-mid' }).free).toBe(false);
  });

  test('over pins from the gaps as they lie', () => {
    const made = wheel(15, 'double');
    const { pitchMm } = chainOnWheel(chainFromTable('C2040', 0), 15, 'double');
    // Pins in the two gaps nearest to opposite, seven apart.
    const r = made.pitchDiameterMm / 2;
    const across = 2 * r * Math.sin((7 * Math.PI) / 15) + 7.95;
    expect(overPinsMm(pitchMm, 15, 7.95)).toBeCloseTo(across, 9);
  });

  test('a drive counts in pitches of the chain', () => {
    const chain = chainOnWheel(chainFromTable('C2040', 0), 15, 'double');
    const input = {
      ...inPitches(chain, 15, 15),
      powerKw: 0.05,
      speedRpm: 60,
      centreDistanceMm: 508,
      service: 'smooth' as const,
      oldTeeth: null,
      links: null,
      lubrication: null,
      stallTorqueNm: null,
      fixedCentres: false,
    };
    const figures = driveSections(input).flatMap((s) => s.figures);
    const value = (key: string): number => figures.find((f) => f.key === key)!.value;
    expect(pitchesPerTurn(15, chain)).toBe(7.5);
    // One turn a second takes 7.5 links of 25.4 mm: 0.1905 m/s.
    expect(value('chainSpeedMPerS')).toBeCloseTo(0.1905, 6);
    // Two spans of 20 pitches and half a wheel of 7.5 at each end.
    expect(value('lengthPitches')).toBeCloseTo(47.5, 9);
    // Rated as No. 40 on 15 teeth: 0.004 x 15^1.08 x 60^0.9 x 0.5^(3 - 0.035) hp.
    const hp = 0.004 * 15 ** 1.08 * 60 ** 0.9 * 0.5 ** 2.965;
    expect(value('ansiPlateKw')).toBeCloseTo(hp * 0.7457, 3);
  });
});

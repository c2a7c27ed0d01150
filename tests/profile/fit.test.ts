import { LONG } from '../cam/oracle/runs.js';
import { describe, expect, test } from 'vitest';
import { edgeRadius, pointAt, polar } from '../../src/profile/geometry/edge.js';
import type { Edge, Pt } from '../../src/model/edges.js';
import { elongationLimit } from '../../src/profile/chain/wear.js';
import { solveRelief } from '../../src/profile/fit/relief.js';
import { jumpElongation, rideOn } from '../../src/profile/fit/ride.js';
import { NO_ERRORS, type Strand, swing, tightPlace } from '../../src/profile/fit/swing.js';
import { fitWheel, flankContact } from '../../src/profile/fit/wheel.js';
import { fitOf } from '../../src/profile/fit/fit.js';
import { rollerSwingFoulMm } from '../../src/profile/tooth/roller-swing.js';
import { type SprocketSpec, sprocketProfile } from '../../src/profile/wheel/sprocket.js';
import { TOOTH_FORMS, type ToothForm } from '../../src/model/job.js';
import { ORACLES } from './oracle-data.js';

function spec(toothForm: ToothForm, teeth: number, more: Partial<SprocketSpec> = {}) {
  return {
    pitchMm: 12.7,
    rollerDiameterMm: 7.77,
    innerWidthMm: 6.35,
    teeth,
    toothForm,
    tipRoundingMm: 0.2,
    flankReliefMm: 0,
    tipDiameterMm: null,
    thicknessMm: null,
    ...more,
  };
}

const DEG = Math.PI / 180;

/** Distance of a point from an outline by dense sampling, mm. */
function bruteDistance(edges: readonly Edge[], [x, y]: Pt): number {
  let least = Infinity;
  for (const edge of edges) {
    for (let i = 0; i <= 4000; i++) {
      const p = pointAt(edge, i / 4000);
      least = Math.min(least, Math.hypot(p[0] - x, p[1] - y));
    }
  }
  return least;
}

describe('where the rollers ride', () => {
  test.each(TOOTH_FORMS)('%s: a new chain sits on the pitch circle, at the root', (form) => {
    for (const teeth of [9, 12, 23, 60]) {
      const ride = rideOn(fitWheel(spec(form, teeth)), 0)!;
      expect(ride.riseMm).toBeCloseTo(0, 6);
      expect(ride.stepRad).toBeCloseTo((2 * Math.PI) / teeth, 6);
      expect(ride.wheelOverMm).toBeCloseTo(0, 6);
    }
  });

  test.each(TOOTH_FORMS)('%s: a worn chain climbs by R e and touches, by brute force', (form) => {
    for (const teeth of [12, 30]) {
      const s = spec(form, teeth);
      const wheel = fitWheel(s);
      const { gap } = sprocketProfile(s);
      for (const e of [0.005, 0.015, 0.03]) {
        const ride = rideOn(wheel, e)!;
        // Chord of the circle on which rollers of pitch p (1 + e) sit alike: definition.
        const chord = 2 * ride.radiusMm * Math.sin(Math.PI / teeth);
        expect(chord).toBeCloseTo(12.7 * (1 + e), 9);
        // From the circle of a new chain, as a maker prints its diameter for a pitch of 1 (to
        // 0.001, which is 0.0002 mm here), to the circle found.
        const printed = ORACLES.unitPitchDiameter.rows.find(({ z }) => z === teeth)!.d;
        expect(ride.riseMm).toBeCloseTo((12.7 / 2) * printed * e, 3);
        const centre = polar(ride.radiusMm, ride.offsetRad);
        expect(bruteDistance(gap, centre)).toBeCloseTo(7.77 / 2, 4);
        // Nothing is in the way at less lean.
        const less = polar(ride.radiusMm, 0.9 * ride.offsetRad);
        expect(bruteDistance(gap, less)).toBeGreaterThan(7.77 / 2 + 1e-4);
      }
    }
  });

  test('pressure angle of the ASME form, as Tsubaki prints it', () => {
    // New chain 35 - 120/N, least 17 - 64/N degrees: Tsubaki technical data, drive sprocket tooth
    // form (tests/oracles/drive.json). They hold for rollers in the middle of the gap; here the
    // rollers lean by `offsetRad`, which turns the link by as much.
    for (const teeth of [12, 18, 28, 40]) {
      const wheel = fitWheel(spec('asme-b29.1', teeth));
      const least = 17 - 64 / teeth;
      const fresh = 35 - 120 / teeth;
      let before = Infinity;
      let onStraight = 0;
      for (let e = 0.001; e <= 0.06; e += 0.001) {
        const ride = rideOn(wheel, e);
        if (!ride || ride.contact.height > 1) break;
        const angle = (ride.pressureRad + ride.offsetRad) / DEG;
        expect(angle).toBeLessThan(fresh + 0.05);
        expect(angle).toBeGreaterThan(least - 0.05);
        if (Math.abs(angle - least) < 0.02) onStraight++;
        else if (onStraight === 0) {
          expect(angle).toBeLessThan(before + 1e-9);
          before = angle;
        } else break;
      }
      // The straight part yz is reached by a worn chain on every one of these wheels.
      expect(onStraight, `${teeth} teeth`).toBeGreaterThan(0);
    }
  });

  test('the limit of 200 / z % for large wheels is what the geometry gives', () => {
    // Diamond Chain FAQ: over 67 teeth the chain may lengthen by 200 / z %. The rollers leave the
    // flank a little later, and on smaller wheels far later than 3 %.
    for (const form of ['iso606-min', 'iso606-mid', 'asme-b29.1'] as const) {
      for (const teeth of [70, 90, 114, 150]) {
        const ratio = jumpElongation(fitWheel(spec(form, teeth))) / elongationLimit(teeth);
        expect(ratio, `${form} ${teeth}`).toBeGreaterThan(1);
        expect(ratio, `${form} ${teeth}`).toBeLessThan(1.6);
      }
      expect(jumpElongation(fitWheel(spec(form, 30)))).toBeGreaterThan(0.05);
    }
  });

  test('metal left on the seat makes the wheel too large: pitch over by 2 d sin(180 deg / z)', () => {
    // Seat centre moves out by the form error d when the seat has the roller's own radius.
    const wheel = fitWheel(spec('iso606-max', 20));
    const ride = rideOn(wheel, 0, 0.05)!;
    const seatRoom = edgeRadius(wheel.seat) - 7.77 / 2;
    expect(seatRoom).toBeGreaterThan(0.05);
    expect(ride.radiusMm).toBeCloseTo(wheel.pitchRadiusMm + 0.05, 4);
    expect(ride.wheelOverMm).toBeCloseTo(2 * 0.05 * Math.sin(Math.PI / 20), 5);
    // A chain as much longer rides without it.
    const worn = rideOn(wheel, 0.05 / wheel.pitchRadiusMm + 1e-4, 0.05)!;
    expect(worn.wheelOverMm).toBeCloseTo(0, 9);
  });
});

describe('entry and exit', () => {
  test('a link-sweep flank has radius pitch minus half the roller, and is touched all along', () => {
    // Common practice, no source.
    for (const teeth of [9, 12, 17]) {
      const wheel = fitWheel(spec('link-sweep', teeth));
      expect(edgeRadius(wheel.upper[0]!)).toBeCloseTo(12.7 - 7.77 / 2, 9);
      const ride = rideOn(wheel, 0)!;
      for (const strand of ['tight', 'slack'] as const) {
        const flank = swing(wheel, ride, strand).filter(
          (s) => s.roller === 1 && s.height > 0.02 && s.height < 0.98,
        );
        expect(flank.length).toBeGreaterThan(20);
        for (const sample of flank) expect(Math.abs(sample.clearanceMm)).toBeLessThan(1e-6);
      }
    }
  });

  test('agrees with the closed form of the swing', () => {
    // rollerSwingFoulMm takes the metal farthest from the seated roller, outwards of the line between
    // the two. The simulation counts the metal inwards of it too, so it never finds more room; where
    // the flank stands in the way, the place is outwards and the two must agree.
    let fouls = 0;
    for (const form of TOOTH_FORMS) {
      for (const teeth of [6, 7, 9, 11, 15, 20]) {
        for (const rollerDiameterMm of [6.5, 7.77, 8.51]) {
          const wheel = fitWheel(spec(form, teeth, { rollerDiameterMm, tipRoundingMm: 0 }));
          const foul = rollerSwingFoulMm(
            [wheel.seat, ...wheel.upper],
            12.7,
            rollerDiameterMm,
            teeth,
          );
          const samples = swing(wheel, rideOn(wheel, 0)!, 'tight');
          const least = Math.min(
            ...samples.filter((s) => s.roller === 1).map((s) => s.clearanceMm),
          );
          const label = `${form} ${teeth} ${rollerDiameterMm}`;
          expect(least, label).toBeLessThanOrEqual(-foul + 1e-4); // 240 steps of turn
          if (foul > 1e-6) {
            fouls++;
            expect(least, label).toBeGreaterThan(-foul - 0.002);
          }
        }
      }
    }
    expect(fouls).toBeGreaterThan(0);
  });

  test('the strands are mirror images for a new chain', () => {
    for (const form of TOOTH_FORMS) {
      const wheel = fitWheel(spec(form, 13));
      const ride = rideOn(wheel, 0)!;
      const [a, b] = (['tight', 'slack'] as Strand[]).map((s) => swing(wheel, ride, s));
      expect(a!.length).toBe(b!.length);
      a!.forEach((sample, i) => {
        expect(b![i]!.clearanceMm).toBeCloseTo(sample.clearanceMm, 3);
        expect(b![i]!.roller).toBe(sample.roller);
      });
    }
  });

  test('clearances by brute force, on the wheel as a whole', () => {
    const s = spec('iso606-mid', 12);
    const { outline } = sprocketProfile(s);
    const wheel = fitWheel(s);
    const ride = rideOn(wheel, 0.015)!;
    const pivot = polar(ride.radiusMm, ride.offsetRad);
    const gap = (2 * Math.PI) / 12;
    const seated = polar(ride.radiusMm, ride.offsetRad + gap);
    for (const turn of [0.05, 0.2, 0.4]) {
      const sample = swing(wheel, ride, 'tight').reduce((best, x) =>
        x.roller === 1 && Math.abs(x.articulationRad - turn) < Math.abs(best.articulationRad - turn)
          ? x
          : best,
      );
      const a = -sample.articulationRad;
      const [dx, dy] = [seated[0] - pivot[0], seated[1] - pivot[1]];
      const centre: Pt = [
        pivot[0] + dx * Math.cos(a) - dy * Math.sin(a),
        pivot[1] + dx * Math.sin(a) + dy * Math.cos(a),
      ];
      // The tooth between the pivot's gap and the roller's: its middle lies at half a gap.
      const tooth = outline.filter((edge) => {
        const angle = Math.atan2(...([...pointAt(edge, 0.5)].reverse() as [number, number]));
        return angle > 0.5 * gap && angle < 0.97 * gap;
      });
      expect(bruteDistance(tooth, centre) - 7.77 / 2).toBeCloseTo(sample.clearanceMm, 3);
    }
  });

  test('a more open form leaves more room, and wear opens the entry', () => {
    const outer = (form: ToothForm, e: number) => {
      const wheel = fitWheel(spec(form, 15));
      return tightPlace(wheel, rideOn(wheel, e)!, 'tight', NO_ERRORS)!.clearanceMm;
    };
    expect(outer('iso606-min', 0)).toBeLessThan(outer('iso606-mid', 0));
    expect(outer('iso606-mid', 0)).toBeLessThan(outer('iso606-max', 0));
    expect(outer('link-sweep', 0)).toBeLessThan(outer('iso606-min', 0));
    for (const form of TOOTH_FORMS) {
      expect(outer(form, 0.01)).toBeGreaterThan(outer(form, 0));
      expect(outer(form, 0.03)).toBeGreaterThan(outer(form, 0.01));
    }
  });

  test('an error takes its own size off the clearance, in the gap that faces it', () => {
    const wheel = fitWheel(spec('iso606-mid', 12));
    const ride = rideOn(wheel, 0)!;
    const clear = tightPlace(wheel, ride, 'tight', NO_ERRORS)!;
    expect(clear.gap).toBeNull();
    for (const offsetMm of [
      [0.1, 0],
      [0, 0.1],
    ] as const) {
      const shifted = tightPlace(wheel, ride, 'tight', { formErrorMm: 0, offsetMm })!;
      const lost = clear.clearanceMm - shifted.clearanceMm;
      expect(lost).toBeGreaterThan(0.095);
      expect(lost).toBeLessThanOrEqual(0.1 + 1e-9);
      expect(shifted.gap).toBeGreaterThanOrEqual(1);
      expect(shifted.gap).toBeLessThanOrEqual(12);
    }
  });
});

describe('relief', () => {
  test('small errors ask a link-sweep flank for about 0.25 mm more towards the tip', () => {
    // Common practice, no source: "about 0.25 mm" for "small position errors". What error asks for
    // it is found here, not set: 0.05 mm left by finishing, or a shift of 0.06 mm.
    const need = (formErrorMm: number, shift: number): number =>
      solveRelief(spec('link-sweep', 12), { formErrorMm, offsetMm: [shift, 0] }).reliefMm!;
    const [left, shifted, half] = [need(0.05, 0), need(0, 0.06), need(0, 0.03)];
    expect(left).toBeGreaterThan(0.2);
    expect(left).toBeLessThan(0.3);
    expect(shifted).toBeGreaterThan(0.2);
    expect(shifted).toBeLessThan(0.3);
    expect(need(0, 0)).toBe(0);
    // Grows with the error, and about as four times of it: the square law at half height.
    expect(half / 0.03).toBeGreaterThan(3);
    expect(half / 0.03).toBeLessThan(5);
    expect(need(0.05, 0.06)).toBeGreaterThan(shifted);
  });

  test('the relief found does free the chain, and a step less does not', () => {
    for (const teeth of LONG ? [9, 14, 25] : [9]) {
      const base = spec('link-sweep', teeth);
      const errors = { formErrorMm: 0.02, offsetMm: [0.04, 0] as const };
      const { reliefMm, settable, free } = solveRelief(base, errors);
      expect(settable).toBe(true);
      expect(free).toBe(false);
      const after = (relief: number) =>
        solveRelief({ ...base, flankReliefMm: relief }, errors).free;
      expect(after(reliefMm!)).toBe(true);
      expect(after(reliefMm! - 0.006)).toBe(false);
    }
  });

  test('a standard form is free with usual errors and says what it lacks with large ones', () => {
    const small = fitOf(spec('iso606-mid', 12), { formErrorMm: 0.05, offsetMm: [0.08, 0] });
    expect(small.relief.free).toBe(true);
    expect(small.tightest!.clearanceMm).toBeGreaterThan(0);
    const large = fitOf(spec('iso606-min', 9), { formErrorMm: 0.1, offsetMm: [0.6, 0] });
    expect(large.relief).toMatchObject({ free: false, settable: false });
    expect(large.relief.reliefMm!).toBeGreaterThan(0);
    expect(large.tightest!.clearanceMm).toBeLessThan(0);
  });

  test('errors that no relief can free are said to be so', () => {
    const { reliefMm } = solveRelief(spec('link-sweep', 12), {
      formErrorMm: 0,
      offsetMm: [1.5, 0],
    });
    expect(reliefMm).toBeNull();
  });
});

test('the report has every elongation, with and without errors, and says where it is tightest', () => {
  const report = fitOf(spec('link-sweep', 11), { formErrorMm: 0.03, offsetMm: [0.05, 0] });
  expect(report.drawn.map((d) => d.elongation)).toEqual([0, 0.005, 0.01, 0.015, 0.02, 0.025, 0.03]);
  expect(report.made).toHaveLength(7);
  const outers = report.made.flatMap((m) => [m.tight!, m.slack!]);
  const least = Math.min(...outers.map((o) => o.clearanceMm));
  expect(report.tightest!.clearanceMm).toBe(least);
  expect(report.pitchesToBind).not.toBeNull();
  expect(fitOf(spec('link-sweep', 11)).pitchesToBind).toBeNull();
});

test('a roller between two flanks: sides are told apart', () => {
  const wheel = fitWheel(spec('iso606-mid', 12));
  const centre = polar(wheel.pitchRadiusMm + 0.3, 0.01);
  const upper = flankContact(wheel, 'upper', centre);
  const lower = flankContact(wheel, 'lower', centre);
  expect(upper.point[1]).toBeGreaterThan(0);
  expect(lower.point[1]).toBeLessThan(0);
  expect(upper.clearanceMm).toBeLessThan(lower.clearanceMm);
});

test('a wheel of 110 teeth is looked at up to its own wear limit, and touching is not striking', () => {
  // 200 / z %: Diamond Chain FAQ. Up to it the rollers ride on the flanks, so the clearance is nought.
  const report = fitOf(spec('iso606-mid', 110));
  expect(report.drawn.at(-1)!.elongation).toBeCloseTo(2 / 110, 12);
  expect(report.tightest!.clearanceMm).toBeGreaterThanOrEqual(0);
  expect(report.jumpElongation).toBeGreaterThan(2 / 110);
});

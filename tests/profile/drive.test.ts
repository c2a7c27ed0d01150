import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { driveSections } from '../../src/profile/drive/drive.js';
import { exactLengthPitches, smallWrapRad } from '../../src/profile/drive/length.js';
import type { DriveInput } from '../../src/profile/drive/speed.js';
import { KW_PER_HP } from '../../src/text/units.js';
import { elongationLimit, wearAdvice } from '../../src/profile/chain/wear.js';
import { keepsLimit } from '../../src/model/figure.js';
import { pitchDiameterMm } from '../../src/profile/standard/limits.js';
import { DRIVE_ORACLES as O } from './drive-oracles.js';

const DEG = Math.PI / 180;

const INPUT: DriveInput = {
  chain: {
    designation: '420',
    pitchMm: 12.7,
    plateDepthMm: 12,
    minTensileN: 15600,
    elongation: 0.004,
  },
  teeth: 12,
  otherTeeth: 40,
  centreDistanceMm: 380,
  powerKw: 1.1,
  speedRpm: 2600,
  service: 'moderate-shock',
  oldTeeth: 11,
  links: null,
  stallTorqueNm: null,
  fixedCentres: false,
  lubrication: null,
};
const all = (input: DriveInput) => driveSections(input).flatMap((s) => s.figures);
const maybe = (input: DriveInput, key: string) => all(input).find((f) => f.key === key)?.value;
const value = (input: DriveInput, key: string) => maybe(input, key)!;
const remarks = (input: DriveInput) =>
  driveSections(input)
    .flatMap((s) => s.remarks)
    .join(' ');

/** Two wheels with their centres so many pitches apart. */
const wheels = (teeth: number, otherTeeth: number, centre: number, pitchMm = 12.7): DriveInput => ({
  ...INPUT,
  chain: { ...INPUT.chain, pitchMm },
  teeth,
  otherTeeth,
  centreDistanceMm: centre * pitchMm,
});
/** A wheel on a chain of a designation and a pitch. */
const rated = (designation: string | null, pitchMm: number, teeth: number, speedRpm: number) => ({
  ...INPUT,
  chain: { ...INPUT.chain, designation, pitchMm },
  teeth,
  speedRpm,
});

describe('chain length', () => {
  test('21/84 teeth', () => {
    const { z1, z2, centreIn, pitchIn, ...e } = O.chainLength[0];
    const x = value(wheels(z1, z2, centreIn / pitchIn, pitchIn * 25.4), 'lengthPitches');
    expect(Math.abs(x - e.lengthPitches)).toBeLessThan(e.tolerancePitches);
    expect(Math.abs(x * pitchIn - e.lengthIn)).toBeLessThan(e.toleranceIn);
  });

  test('35/70 teeth: even length, its centre distance, pitch diameters', () => {
    const { z1, z2, centreIn, pitchIn, ...e } = O.chainLength[1];
    const input = wheels(z1, z2, centreIn / pitchIn, pitchIn * 25.4);
    expect(value(input, 'links')).toBe(e.evenLinks);
    const centre = value(input, `centreFor${e.evenLinks}Mm`) / (pitchIn * 25.4);
    expect(Math.abs(centre - e.centrePitchesForEven)).toBeLessThan(e.toleranceCentre);
    [z1, z2].forEach((z, i) => {
      const d = pitchDiameterMm(pitchIn, z);
      expect(Math.abs(d - e.pitchDiametersIn[i]!)).toBeLessThan(e.toleranceDiameterIn);
    });
  });

  test('20/63 teeth: length from centre and centre from length', () => {
    const { z1, z2, ...e } = O.chainLength[2];
    const input = wheels(z1, z2, e.centrePitches);
    const x = value(input, 'lengthPitches');
    expect(Math.abs(x - e.lengthFromCentre)).toBeLessThan(e.tolerancePitches);
    const c = value(input, `centreFor${e.links}Mm`) / 12.7;
    expect(Math.abs(c - e.centreFromLinks)).toBeLessThan(e.tolerancePitches);
  });

  test('kart chain laid flat', () => {
    const { links, pitchMm, plateDepthMm, overallMm, toleranceMm } = O.flatChain;
    // Equal wheels of 20 teeth: links = 2 C + 20 pitches.
    const drive = wheels(20, 20, (links - 20) / 2, pitchMm);
    const flat = value({ ...drive, chain: { ...drive.chain, plateDepthMm } }, 'flatLengthMm');
    expect(Math.abs(flat - overallMm)).toBeLessThan(toleranceMm);
  });

  test('the series against tangents and arcs: within 0.05 pitch at the usual 30 to 80 pitches of centres', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 9, max: 40 }),
        fc.integer({ min: 9, max: 80 }),
        fc.double({ min: 30, max: 80, noNaN: true }),
        (z1, z2, c) => {
          const input = wheels(z1, z2, c);
          const apart = value(input, 'exactLengthPitches') - value(input, 'lengthPitches');
          expect(Math.abs(apart)).toBeLessThan(0.05);
        },
      ),
    );
  });

  test('length and centre distance undo each other', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 9, max: 40 }),
        fc.integer({ min: 9, max: 80 }),
        fc.double({ min: 20, max: 80, noNaN: true }),
        (z1, z2, c) => {
          const links = value(wheels(z1, z2, c), 'links');
          const centre = value(wheels(z1, z2, c), `centreFor${links}Mm`) / 12.7;
          expect(value(wheels(z1, z2, centre), 'lengthPitches')).toBeCloseTo(links, 6);
        },
      ),
    );
  });

  test('exact length by walking round the two circles', () => {
    // Perimeter of the convex hull of the two pitch circles, sampled, with arcs counted in teeth:
    // equal wheels are the plain case 2 C + z.
    expect(exactLengthPitches(20, 20, 30)).toBeCloseTo(80, 9);
    // Wheels that overlap so far that one lies in the other have no tangent.
    expect(exactLengthPitches(10, 80, 5)).toBeNull();
  });

  test('even lengths enclose what is asked for; fixed centres take the longer one', () => {
    const choices = all(INPUT).filter((f) => /^centreFor/.test(f.key));
    expect(choices.map((f) => f.key)).toEqual(['centreFor86Mm', 'centreFor87Mm', 'centreFor88Mm']);
    expect(choices.map((f) => f.label.includes('odd'))).toEqual([false, true, false]);
    expect(value(INPUT, 'links')).toBe(86);
    expect(value({ ...INPUT, fixedCentres: true }, 'links')).toBe(88);
    expect(choices[0]!.value).toBeLessThan(380);
    expect(choices[2]!.value).toBeGreaterThan(380);
  });

  test('take-up: nearly half of the stretch where the strands run parallel', () => {
    // Up to 3 % of wear, the limit of wheels under 67 teeth; 20 + 20 teeth at 30 pitches take 80.
    expect(value(wheels(20, 20, 30), 'takeUpMm')).toBeCloseTo((80 * 0.03 * 12.7) / 2, 9);
    expect(value(INPUT, 'takeUpMm')).toBeGreaterThan((86 * 0.03 * 12.7) / 2);
  });

  test('wrap', () => {
    expect(smallWrapRad(17, 17, 40)).toBeCloseTo(Math.PI, 12);
    // theta = 180 - 2 asin((D2 - D1) / (2 C)) with the diameters of the 35/70 example, C = 40 in.
    const [d1, d2] = O.chainLength[1].pitchDiametersIn;
    const byHand = 180 - (2 * Math.asin((d2 - d1) / 80)) / DEG;
    expect(smallWrapRad(35, 70, 40)! / DEG).toBeCloseTo(byHand, 1);
  });
});

describe('speed', () => {
  test('angle of articulation', () => {
    for (const { teeth, deg } of O.articulation.rows) {
      expect(Math.abs(value({ ...INPUT, teeth }, 'articulationRad') / DEG - deg)).toBeLessThan(
        O.articulation.toleranceDeg,
      );
    }
  });

  test('polygon effect against the speed of a rotating polygon, sampled', () => {
    for (const z of [9, 12, 17, 25, 60]) {
      // Speed of the strand over one tooth: omega R cos(a), a from -180/z to 180/z.
      const speeds = Array.from({ length: 20001 }, (_, i) =>
        Math.cos((Math.PI / z) * ((2 * i) / 20000 - 1)),
      );
      const greatest = Math.max(...speeds);
      const mean = speeds.reduce((s, v) => s + v, 0) / speeds.length;
      const swing = greatest - Math.min(...speeds);
      expect(value({ ...INPUT, teeth: z }, 'polygonVariation')).toBeCloseTo(swing / greatest, 8);
      expect(value({ ...INPUT, teeth: z }, 'polygonVariationOfMean')).toBeCloseTo(swing / mean, 5);
    }
  });

  test('chain speed: pitches that pass in a minute', () => {
    expect(value({ ...INPUT, teeth: 21, speedRpm: 600 }, 'chainSpeedMPerS')).toBeCloseTo(
      (21 * 600 * 0.0127) / 60,
      12,
    );
  });
});

describe('pull', () => {
  test('by power and by torque agree but for the polygon', () => {
    // d on the pitch circle is longer than z p / pi by (pi / z) / sin(pi / z).
    const torque = value(INPUT, 'ratedTorqueNm');
    expect(torque).toBeCloseTo((1100 * 60) / (2 * Math.PI * 2600), 12);
    const byPower = value(INPUT, 'ratedPullN');
    const byTorque = value({ ...INPUT, stallTorqueNm: torque }, 'stallPullN');
    expect(byPower / byTorque).toBeCloseTo(Math.PI / 12 / Math.sin(Math.PI / 12), 9);
  });

  test('pull by its own mass, chains from 08A to 16A within 10 %: makers tables, from memory', () => {
    for (const [p, m] of [
      [12.7, 0.62],
      [15.875, 1.02],
      [19.05, 1.5],
      [25.4, 2.6],
    ] as const) {
      const input = rated(null, p, 12, 2600);
      const pullN = m * value(input, 'chainSpeedMPerS') ** 2;
      expect(Math.abs(value(input, 'centrifugalN') / pullN - 1)).toBeLessThan(0.1);
    }
  });
});

describe('ratings', () => {
  test('roller-limited power of No. 25, 40 cells of a maker table', () => {
    const { rows, pitchIn, toleranceHp } = O.rollerLimitedPower;
    expect(rows).toHaveLength(40);
    for (const { teeth, rpm, hp } of rows) {
      const input = rated('04C (25)', pitchIn * 25.4, teeth, rpm);
      const ours = value(input, 'ansiRollerKw') / KW_PER_HP;
      expect(Math.abs(ours - hp), `${teeth} teeth, ${rpm} rpm`).toBeLessThan(toleranceHp);
    }
  });

  test('the link-plate formula is on the safe side of the same table', () => {
    // 2008 table of No. 25, same catalogue: 11 teeth at 900 rpm 0.53 hp, 17 teeth 0.82 hp.
    for (const [teeth, hp] of [
      [11, 0.53],
      [17, 0.82],
    ] as const) {
      const input = rated('04C (25)', 0.25 * 25.4, teeth, 900);
      const ratio = hp / (value(input, 'ansiPlateKw') / KW_PER_HP);
      expect(ratio).toBeGreaterThan(1.25);
      expect(ratio).toBeLessThan(1.47);
    }
  });

  test('ISO and ANSI formulas agree within 1 %: two memories of one thing', () => {
    for (const p of [12.7, 15.875, 19.05, 25.4]) {
      const input = rated('08A (40)', p, 19, 500);
      for (const part of ['Plate', 'Roller']) {
        const ratio = value(input, `iso${part}Kw`) / value(input, `ansi${part}Kw`);
        expect(Math.abs(ratio - 1)).toBeLessThan(0.01);
      }
    }
    expect(KW_PER_HP).toBeCloseTo(0.74569987158, 10); // NIST SP 811, B.8
  });

  test('light and bush chains have constants of their own', () => {
    const usual = value(rated('420', 12.7, 19, 500), 'ansiRollerKw');
    const k2 = (name: string | null) =>
      (17 * value(rated(name, 12.7, 19, 500), 'ansiRollerKw')) / usual;
    expect(k2('085 (41)')).toBeCloseTo(3.4, 12);
    expect(k2('06C (35)')).toBeCloseTo(29, 12);
    expect(k2(null)).toBeCloseTo(17, 12);
    // Those two have no ISO rating.
    expect(maybe(rated('085 (41)', 12.7, 19, 500), 'isoPlateKw')).toBeUndefined();
  });

  test('corrected power: a wheel of 19 teeth needs no correction', () => {
    const corrected = (service: DriveInput['service'], teeth: number) =>
      value({ ...INPUT, powerKw: 2, service, teeth }, 'correctedPowerKw');
    expect(corrected('smooth', 19)).toBe(2);
    expect(corrected('moderate-shock', 19)).toBeCloseTo(2.8, 12);
    expect(corrected('smooth', 38)).toBeCloseTo(2 / 2 ** 1.08, 12);
  });
});

test('wear: 3 %, and 200 / z % beyond 66 teeth', () => {
  expect(elongationLimit(40)).toBe(0.03);
  expect(elongationLimit(66)).toBe(0.03);
  expect(elongationLimit(100)).toBe(0.02);
  expect(['keep', 'watch', 'replace', 'worn-out']).toEqual(
    [0.002, 0.01, 0.02, 0.031].map(wearAdvice),
  );
});

describe('figures of a drive', () => {
  test('every figure has a formula, a source, a finite value and a key of its own in its section', () => {
    for (const section of driveSections(INPUT)) {
      expect(new Set(section.figures.map((f) => f.key)).size).toBe(section.figures.length);
      for (const f of section.figures) {
        expect(f.formula).not.toBe('');
        expect(f.source).not.toBe('');
        expect(Number.isFinite(f.value), f.key).toBe(true);
      }
    }
  });

  test('more teeth turn the other wheel faster with less torque', () => {
    expect(value(INPUT, 'speedChange')).toBeCloseTo(12 / 11 - 1, 12);
    expect(value(INPUT, 'torqueChange')).toBeCloseTo(11 / 12 - 1, 12);
    // Speed and torque change cancel: power passes unchanged.
    const [s, t] = [value(INPUT, 'speedChange'), value(INPUT, 'torqueChange')];
    expect((1 + s) * (1 + t)).toBeCloseTo(1, 12);
  });

  test('links come out or go in', () => {
    expect(remarks({ ...INPUT, oldTeeth: 17 })).toMatch(/2 links come out/);
    expect(remarks({ ...INPUT, links: 84 })).toMatch(/2 links go in/);
    expect(remarks({ ...INPUT, links: 86 })).toMatch(/no link has to come out/);
    expect(remarks({ ...INPUT, links: 85 })).toMatch(/1 link goes in/);
  });

  test('what is not known is said', () => {
    const chain = { ...INPUT.chain, minTensileN: null, designation: null };
    const text = remarks({ ...INPUT, chain });
    expect(text).toMatch(/breaking load of this chain is not known/);
    expect(text).toMatch(/Stall torque is not given/);
    expect(text).toMatch(/outside the rated series/);
    expect(all({ ...INPUT, chain }).some((f) => f.key === 'runningSafety')).toBe(false);
  });

  test('a given stall torque is taken', () => {
    const stall = { ...INPUT, stallTorqueNm: 30 };
    const d = pitchDiameterMm(12.7, 12);
    expect(value(stall, 'stallPullN')).toBeCloseTo(60000 / d, 9);
    expect(value(stall, 'stallSafety')).toBeCloseTo((15600 * d) / 60000, 9);
    expect(remarks(stall)).not.toMatch(/Stall torque/);
  });

  test('a drive out of its limits shows it', () => {
    const bad = { ...INPUT, otherTeeth: 130, powerKw: 15, centreDistanceMm: 450 };
    const broken = all(bad).filter((f) => keepsLimit(f) === false);
    expect(broken.map((f) => f.key)).toEqual(
      expect.arrayContaining(['ratio', 'otherTeeth', 'ansiRollerKw', 'runningSafety']),
    );
    // Pitch circles of 12 and 40 teeth touch at (49.07 + 161.87) / 2 = 105.47 mm.
    const centre = (mm: number) =>
      all({ ...INPUT, centreDistanceMm: mm }).find((f) => f.key === 'centrePitches')!;
    expect(centre(105.6).limit).toMatchObject({ rule: 'at least', weight: 'must' });
    expect(12.7 * centre(105.6).limit!.value).toBeCloseTo(105.47, 2);
    expect(keepsLimit(centre(105.6))).toBe(true);
    expect(keepsLimit(centre(105.4))).toBe(false);
    expect(remarks({ ...INPUT, centreDistanceMm: 80 })).toMatch(/overlap/);
  });
});

/**
 * Loads at the limits and a hair over them. The replay's report is made up, so every figure is known;
 * limits are worked out by hand from the machine's figures.
 */
import { describe, expect, it } from 'vitest';
import type { OpLoads, Replay } from '../../../src/cam/stock/replay.js';
import { eachLoad } from '../../../src/cam/stock/replay/report.js';
import { type CutLimits, limitsOf } from '../../../src/machines/bear/limits.js';
import { loadFindings } from '../../../src/plan/check/loads.js';
import type { Job } from '../../../src/model/job.js';
import type { CanonicalOp, Pt3 } from '../../../src/model/op.js';
import { arc, exampleJob, feed, found, rapid } from './ops.js';

const BARROW = exampleJob('nursery-barrow');
/** Thrust 300 N on X and 200 N on Y at any feed to 1000, two in three within a factor of 1.1; friction
 *  20 N, 5 kg at 200 mm/s2: 1 N. The risk is such that each drive may take that of three sigmas. */
const JOB: Job = {
  ...BARROW,
  // 0.3 of it for the drives: normal tables have 0.00135 below -3 sigmas.
  riskShare: 0.0013499 / 0.3,
  machine: {
    ...BARROW.machine,
    maxFeedMmPerMin: 1000,
    thrustN: {
      x: [
        [0, 300],
        [1000, 300],
      ],
      y: [
        [0, 200],
        [1000, 200],
      ],
      z: [[0, 300]],
    },
    frictionN: { x: 20, y: 20, z: 20 },
    movingMassKg: { x: 5, y: 5, z: 5 },
    accelerationMmPerS2: { x: 200, y: 200, z: 200 },
    thrustSpread: { x: 1.1, y: 1.1, z: 1.1 },
    drive: { ...BARROW.machine.drive, rotorInertiaGCm2: { x: 0, y: 0, z: 0 } },
    limits: {
      ...BARROW.machine.limits,
      maxEngagementDeg: 50,
      maxStepdownMm: 0.4,
    },
    spindle: { ...BARROW.machine.spindle, powerW: 400, efficiency: 0.5, maxRpm: 10_000 },
  },
  cutter: {
    ...BARROW.cutter,
    ...{ fluteLengthMm: 8, diameterMm: 3, shankDiameterMm: 3, stickOutMm: 12 },
    material: 'carbide',
  },
  material: { ...BARROW.material, chipLoad3mmMm: 0.02 },
};

describe('limits', () => {
  it('are those of the machine where the job gives none', () => {
    const limits = limitsOf(JOB);
    expect(limits).toMatchObject({
      maxEngagementDeg: 50,
      maxEngagementRad: (5 * Math.PI) / 18,
      // A catalogue's feed in a cut of no depth: 1.25 times that of half a diameter.
      chipCapMm: 0.025,
      maxStepdownMm: 0.4,
    });
    // 300 / 1.1^3 - 20 - 5 x 0.2, and the same with 200 N.
    expect(limits.driveForceN.x).toBeCloseTo(204.39, 1);
    expect(limits.driveForceN.y).toBeCloseTo(129.26, 1);
    // 0.3 x 2400 N/mm2 over 32 (8 - 0.2) / (pi 2.4^3) = 5.747 for each newton, at the end of the flutes;
    // at the collet it is 32 (12 - 0.2) / (pi 3^3) = 4.452.
    expect(limits.cutterForceN).toBeCloseTo(125.28, 1);
  });

  it('are those of the job where it gives them, and never deeper than the flutes', () => {
    const own = { ...JOB, limits: { ...JOB.limits, maxEngagementDeg: 70, maxStepdownMm: 1.5 } };
    expect(limitsOf(own)).toMatchObject({ maxEngagementDeg: 70, maxStepdownMm: 1.5 });
    const short = { ...own, cutter: { ...own.cutter, fluteLengthMm: 1.2 } };
    expect(limitsOf(short)).toMatchObject({ maxStepdownMm: 1.2 });
  });
});

const O: Pt3 = [0, 0, 0];
const OPS: readonly CanonicalOp[] = [
  feed(11, O, [1, 0, 0]),
  feed(12, O, [2, 0, 0]),
  { op: 'dwell', line: 13, seconds: 1 },
  arc(14, [2, 0, 0], [-2, 0, 0], [0, 0], { spindleRpm: 5000 }),
  rapid(15, O, [3, 0, 0]),
  feed(16, O, [4, 0, 0], 100, 0),
];
/** Round figures for what the limits above come to. */
const LIMITS: CutLimits = {
  ...limitsOf(JOB),
  cutterForceN: 125,
  driveForceN: { x: 139.5, y: 89.5 },
  chipCapMm: 0.02,
};
const DEG = Math.PI / 180;

/** A report in which all is well, but for what is said. */
function report(
  loads: Partial<Record<keyof OpLoads, readonly number[]>> = {},
  more: Partial<Replay> = {},
): Replay {
  const values = (name: keyof OpLoads): Float64Array =>
    Float64Array.from(OPS, (_, i) => loads[name]?.[i] ?? 0);
  return {
    loads: eachLoad(values),
    gougesMm: new Float64Array(OPS.length),
    removedMm3: 1,
    leftoverMm: 0,
    findings: [],
    ...more,
  } as Replay;
}

const judged = (r: Replay, inInches?: boolean) =>
  found((findings) => loadFindings(findings, OPS, r, JOB, LIMITS, inInches));

describe('loads over the limits', () => {
  it('none at the limits', () => {
    const at = report({
      // One degree for the rounding of positions, 5 % for that of headings, 0.002 mm of depths.
      engagementRad: [(51 * Math.PI) / 180],
      driveXN: [139.5],
      driveYN: [89.5],
      // 2 % for that of headings.
      resultantN: [127.5],
      chipMm: [0.02 * 1.05],
      axialMm: [0.402],
      // Half of 400 W at full speed, half of that at half speed.
      powerW: [180, 180, 0, 100],
    });
    expect(judged(at)).toEqual([]);
  });

  it('each with its line, severity, figure and limit', () => {
    const one = (name: keyof OpLoads, values: readonly number[], inInches?: boolean) =>
      judged(report({ [name]: values }), inInches);
    expect(one('engagementRad', [0, 55.5 * DEG])).toEqual([
      {
        line: 12,
        severity: 'error',
        code: 'engagement',
        text: 'engaged over 56 deg; the limit is 50 deg',
        value: expect.closeTo(55.5, 9),
        limit: 50,
      },
    ]);
    // 2 deg for a corner, and on a cutter of 3 mm a skin of 0.001 mm, acos(1 - 0.001 / 1.5) = 2.09 deg;
    // of 0.0001 in, acos(1 - 0.00254 / 1.5) = 3.33 deg.
    for (const [deg, inInches] of [
      [51.1, false],
      [54.0, false],
      [55.2, true],
    ] as const) {
      const unsure = [{ severity: 'warning', code: 'engagement', limit: 50 }];
      expect(one('engagementRad', [0, deg * DEG], inInches)).toMatchObject(unsure);
    }
    for (const [deg, inInches] of [
      [54.2, false],
      [55.4, true],
    ] as const) {
      const [told] = one('engagementRad', [0, deg * DEG], inInches);
      expect(told).toMatchObject({ severity: 'error' });
    }
    const drive = { severity: 'error', code: 'drive' };
    expect(one('driveXN', [0, 139.6])).toEqual([
      {
        ...drive,
        line: 12,
        text: 'asks 140 N of the X drive, which is sure of 140 N for the cut: steps may be lost',
        value: 139.6,
        limit: 139.5,
      },
    ]);
    expect(one('driveYN', [100.2])).toEqual([
      {
        ...drive,
        line: 11,
        text: 'asks 100 N of the Y drive, which is sure of 90 N for the cut: steps may be lost',
        value: 100.2,
        limit: 89.5,
      },
    ]);
    // What a tooth pushes along an axis is no matter; what it pushes at all, bends the cutter.
    expect(one('xN', [1e6])).toEqual([]);
    expect(one('yN', [1e6])).toEqual([]);
    expect(one('resultantN', [0, 0, 0, 127.6])).toEqual([
      {
        line: 14,
        severity: 'error',
        code: 'cutter',
        text: 'a tooth pushes with 128 N; this cutter bears 125 N',
        value: 127.6,
        limit: 125,
      },
    ]);
    expect(one('chipMm', [0, 0, 0, 0.0215])).toEqual([
      {
        line: 14,
        severity: 'warning',
        code: 'chip',
        text: 'takes chips of 21.5 um; this cutter should get 20.0 um at most',
        value: 0.0215,
        limit: 0.02,
      },
    ]);
    expect(one('axialMm', [0.45])).toEqual([
      {
        line: 11,
        severity: 'warning',
        code: 'stepdown',
        text: 'cuts 0.45 mm deep at once; the limit is 0.4 mm',
        value: 0.45,
        limit: 0.4,
      },
    ]);
    const gouged = report({}, { gougesMm: Float64Array.of(0, 0, 0, 0, 0, 0.0123) });
    expect(judged(gouged)).toEqual([
      {
        line: 16,
        severity: 'error',
        code: 'gouge',
        text: 'cuts 0.012 mm into the finished outline',
        value: 0.0123,
        limit: 0.005,
      },
    ]);
    const touched = report({}, { gougesMm: Float64Array.of(0, 0, 0, 0, 0, 0.005) });
    expect(judged(touched)).toEqual([]);
  });

  it('power by the speed of the move; what does not turn is told of elsewhere', () => {
    // 200 W at 10 000 rpm: 180 W at 9000, 100 W at 5000.
    const over = judged(report({ powerW: [180.5, 170, 0, 101, 500, 500] }));
    const power = { severity: 'error', code: 'power' };
    expect(over).toEqual([
      {
        ...power,
        line: 11,
        text: 'needs 181 W of the spindle, which has 180 W',
        value: 180.5,
        limit: 180,
      },
      {
        ...power,
        line: 14,
        text: 'needs 101 W of the spindle, which has 100 W',
        value: 101,
        limit: 100,
      },
    ]);
  });

  it('where there are many of a kind the ten worst are listed, the first of equals', () => {
    const many = Array.from({ length: 14 }, (_, i) => feed(i + 1, O, [i, 0, 0]));
    const values = many.map((_, i) => (i < 4 ? 140 : 150 + (i % 3)));
    const r = { ...report(), loads: { ...report().loads, driveXN: Float64Array.from(values) } };
    const listed = found((findings) => loadFindings(findings, many, r, JOB, LIMITS));
    expect(listed.map((f) => f.line)).toEqual([5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 0]);
    const equal = many.map(() => 140);
    const same = { ...r, loads: { ...r.loads, driveXN: Float64Array.from(equal) } };
    const first = found((findings) => loadFindings(findings, many, same, JOB, LIMITS));
    expect(first.map((f) => f.line)).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 0]);
  });

  it('what the replay found is handed on, but for travel, which has been judged', () => {
    const findings = [
      { line: 12, code: 'plunge', text: 'down into it', value: -1 },
      { line: 11, code: 'travel', text: 'too far', value: 400 },
    ] as const;
    expect(judged(report({}, { findings }))).toEqual([
      { line: 12, severity: 'error', code: 'plunge', text: 'down into it', value: -1, limit: null },
    ]);
  });
});

describe('what is left', () => {
  const travel = { line: 1, code: 'travel', text: 'far', value: 1 } as const;
  const plunge = { line: 1, code: 'plunge', text: 'down', value: 1 } as const;
  const left = (more: Partial<Replay>) =>
    judged(report({}, more)).filter((f) => f.severity === 'warning');

  it('nothing cut is said so, unless something worse was found', () => {
    const nothing = {
      line: 0,
      severity: 'warning',
      code: 'cuts-nothing',
      value: null,
      limit: null,
    };
    const text = 'the program cuts nothing of this blank';
    expect(left({ removedMm3: 0 })).toEqual([{ ...nothing, text }]);
    expect(left({ removedMm3: 0, findings: [travel] })).toEqual([{ ...nothing, text }]);
    const part = { removedMm3: 0, leftoverMm: 2 };
    expect(left({ ...part, findings: [plunge] })).toMatchObject([{ code: 'leftover' }]);
    expect(left({ ...part, findings: [travel, plunge] })).toMatchObject([{ code: 'leftover' }]);
    expect(left({ removedMm3: 0, findings: [plunge] })).toEqual([]);
  });

  it('stock on the outline over 0.01 mm, or no way near it at all', () => {
    const leftover = { line: 0, severity: 'warning', code: 'leftover', limit: 0.01 };
    expect(left({ leftoverMm: 0.01 })).toEqual([]);
    expect(left({ leftoverMm: 0.0124 })).toEqual([
      { ...leftover, text: '0.012 mm of stock is left on the outline', value: 0.0124 },
    ]);
    expect(left({ leftoverMm: Infinity })).toEqual([
      { ...leftover, text: 'part of the outline is never cut', value: null },
    ]);
  });
});

/**
 * What lies round the stock. The barrow's pinion: hub 26 mm, teeth and blank 6 mm here, cutter 3 mm;
 * heights and radii by hand.
 */
import { describe, expect, it } from 'vitest';
import { aroundFindings } from '../../../src/plan/check/around.js';
import type { CheckSetup } from '../../../src/plan/start.js';
import type { Job } from '../../../src/model/job.js';
import type { CanonicalOp, Pt3 } from '../../../src/model/op.js';
import { arc, exampleJob, feed, found, rapid } from './ops.js';

const JOB = exampleJob('nursery-barrow');
const BOLTED: Job = { ...JOB, hub: null, blank: { ...JOB.blank, heldBy: 'through-bolt' } };
const FREE: Job = { ...JOB, hub: null };
/** Only what the checks read. */
const SETUP = {
  target: 'teeth',
  depthMm: 6,
  blank: { diameterMm: 56, thicknessMm: 6, centringErrorMm: 0 },
  replay: { blankRadiusMm: 28 },
} as unknown as CheckSetup;

/** Findings of a move, which ends high up again. */
const of = (job: Job, ops: readonly CanonicalOp[], setup: Partial<CheckSetup> = {}) =>
  found((findings) =>
    aroundFindings(findings, [...ops, rapid(99, [90, 90, 20], [90, 90, 20])], job, {
      ...SETUP,
      ...(job.blank.heldBy === 'through-bolt' && { spacerRadiusMm: 12 }),
      ...setup,
    } as CheckSetup),
  );
const codes = (...args: Parameters<typeof of>): string[] =>
  of(...args).map((f) => `${f.line} ${f.severity} ${f.code}`);

// As wide as the spacer below it, 24 mm.
describe('the bolt: 8 mm high within 12 mm of its axis, and the cutter is 3 mm', () => {
  const across = (y: number, z: number) => [feed(3, [30, y, z], [-30, y, z])];

  it('is met below its head within 13.5 mm of the axis', () => {
    expect(of(BOLTED, across(13.4, 7.9))).toEqual([
      {
        line: 3,
        severity: 'error',
        code: 'bolt',
        text: 'passes over the middle at Z 7.90, where the bolt that holds the blank stands 8 mm high',
        value: 7.9,
        limit: 8,
      },
    ]);
    for (const [y, z] of [
      [13.6, 7.9],
      [13.4, 8],
      [0, 9],
    ] as const) {
      expect(codes(BOLTED, across(y, z))).toEqual([]);
    }
    expect(codes(FREE, across(0, 1))).toEqual([]);
    // The first of several, once.
    const two = [...across(20, 1), feed(4, [13.5, 0, 2], [0, 0, 2]), feed(5, [0, 0, 2], [5, 0, 2])];
    expect(codes(BOLTED, two)).toEqual(['4 error bolt']);
  });

  it('by arcs, and by moves that change height at the lowest place over it', () => {
    const round = (radius: number) => [arc(3, [radius, 0, 1], [radius, 0, 1], [0, 0])];
    expect(codes(BOLTED, round(13.4))).toEqual(['3 error bolt']);
    expect(codes(BOLTED, round(13.6))).toEqual([]);
    // Straight down beside it, and beside the limit.
    const down = (x: number, z: number) => [rapid(3, [x, 0, 20], [x, 0, z])];
    expect(of(BOLTED, down(13.4, 5))).toMatchObject([{ code: 'bolt', value: 5 }]);
    expect(codes(BOLTED, down(13.6, 5))).toEqual([]);
    expect(codes(BOLTED, down(0, 8))).toEqual([]);
    // No way at all, but there.
    expect(codes(BOLTED, [feed(3, [13, 0, 7], [13, 0, 7])])).toEqual(['3 error bolt']);
    expect(codes(BOLTED, [feed(3, [14, 0, 7], [14, 0, 7])])).toEqual([]);
    // Rising from 6 mm at X20 to 10 mm over the axis: at 13.5 mm it is 6 + 4 x 6.5 / 20 = 7.3 mm up.
    const [rising] = of(BOLTED, [feed(3, [20, 0, 6], [0, 0, 10])]);
    expect(rising!.value).toBeGreaterThan(7.3 - 1e-9);
    expect(rising!.value).toBeLessThan(7.3 + 0.025);
    const [falling] = of(BOLTED, [feed(3, [20, 0, 10], [0, 0, 6])]);
    expect(falling!.value).toBe(6);
    expect(codes(BOLTED, [feed(3, [20, 0, 2], [13.6, 0, 10])])).toEqual([]);
  });
});

describe('its washer, where the wheel is large: about twice the hole, never over the spacer', () => {
  // Bore 14 mm with its keyway: 9.63 mm from the axis, 2 x 2 x 9.63 = 38 mm; 3 mm thick.
  const at = (y: number, z: number, spacerRadiusMm: number) =>
    codes(BOLTED, [feed(3, [40, y, z], [-40, y, z])], { spacerRadiusMm });

  it('is met below 3 mm within 19 + 1.5 mm, or within the spacer of a small wheel', () => {
    expect(at(20.4, 2.9, 25)).toEqual(['3 error bolt']);
    expect(at(20.6, 2.9, 25)).toEqual([]);
    expect(at(20.4, 3, 25)).toEqual([]);
    // Wheels of 7 teeth: 15 mm are all that the gaps leave, and the head is no wider.
    expect(at(8.9, 2, 7.5)).toEqual(['3 error bolt']);
    expect(at(9.1, 2, 7.5)).toEqual([]);
  });

  it('by the nut where that comes down to it: 12 mm over the tip, 19 + 11 mm from the axis', () => {
    expect(at(29.9, -9.01, 25)).toContain('3 error nut-meets-bolt');
    expect(at(29.9, -8.99, 25)).not.toContain('3 error nut-meets-bolt');
    expect(at(30.1, -9.01, 25)).not.toContain('3 error nut-meets-bolt');
  });
});

describe('the datum pin: 6 mm at X60 Y10, 10 mm high; flutes of 8 mm, shank 3 mm, 12 mm out', () => {
  const PINNED: Job = {
    ...JOB,
    datum: { xMm: 60, yMm: 10, pin: { diameterMm: 6, topMm: 10 } },
    cutter: { ...JOB.cutter, fluteLengthMm: 8, shankDiameterMm: 3, stickOutMm: 12 },
  };
  const past = (y: number, z: number, job = PINNED) =>
    codes(job, [feed(3, [50, y, z], [70, y, z]), feed(4, [50, y, z], [70, y, z])]);

  it('is met below its top within 3 + 1.5 mm, once', () => {
    expect(past(14.4, 9.9)).toEqual(['3 error datum-pin']);
    expect(past(14.6, 9.9)).toEqual([]);
    expect(past(14.4, 10)).toEqual([]);
    expect(past(14.4, 9.9, JOB)).toEqual([]);
    expect(codes(PINNED, [rapid(3, [60, 10, 30], [60, 10, 9])])).toEqual(['3 error datum-pin']);
  });

  it('by a wide shank where the flutes are past it, and by the nut', () => {
    const wide = { ...PINNED, cutter: { ...PINNED.cutter, shankDiameterMm: 6 } };
    expect(past(15.9, 1.9, wide)).toEqual(['3 error datum-pin']);
    expect(past(15.9, 2.1, wide)).toEqual([]);
    expect(past(23.9, -2.1)).toEqual(['3 error datum-pin']);
    expect(past(23.9, -1.9)).toEqual([]);
    expect(past(24.1, -2.1)).toEqual([]);
  });

  it('may be touched by probing, and left after it', () => {
    const probe = { op: 'probe', from: [52, 10, 0], to: [56, 10, 0], feedMmPerMin: 30 } as const;
    const away = feed(4, [56, 10, 0], [50, 10, 0]);
    expect(codes(PINNED, [{ ...probe, line: 3 }, away])).toEqual([]);
    expect(codes(PINNED, [{ ...probe, line: 3 }, away, feed(5, [50, 10, 0], [56, 10, 0])])).toEqual(
      ['5 error datum-pin'],
    );
  });
});

describe('a stop low at the work of 56 mm: 20 mm over it or 10 mm beside it are left for a hand', () => {
  const STOP: CanonicalOp = { op: 'stop', line: 4, optional: false, message: '' };
  const stop = (x: number, z: number, ...more: CanonicalOp[]) =>
    codes(FREE, [feed(3, [60, 0, z], [x, 0, z]), ...more, STOP, { ...STOP, line: 5 }]);

  it('is told at the first, and not where it is high, beside the work, or before all moves', () => {
    // 28 + 1.5 + 10 mm.
    expect(stop(39.4, 19.9)).toEqual(['4 warning stop-low']);
    expect(stop(39.6, 19.9)).toEqual([]);
    expect(stop(0, 20)).toEqual([]);
    expect(stop(0, 5, rapid(3, [0, 0, 5], [0, 0, 30]))).toEqual([]);
    expect(codes(FREE, [STOP])).toEqual([]);
    const referenced = { ...FREE, datum: { xMm: 35, yMm: 0, pin: null } };
    expect(codes(referenced, [feed(3, [60, 0, 5], [35, 0, 5]), STOP])).toEqual([]);
  });
});

describe('screws of a plate: heads of 5 mm, out to the ring of 15 mm radius', () => {
  const PLATE: Job = { ...FREE, blank: { ...JOB.blank, heldBy: 'plate' } };
  const ring = { spacerRadiusMm: 15 };
  const at = (x: number, z: number) => codes(PLATE, [feed(3, [40, 0, z], [x, 0, z])], ring);

  it('are not in the bore of 14 mm: whatever stays in it, by lines or by arcs of any plane', () => {
    const inBore = (x: number) => codes(PLATE, [feed(3, [x, 0, 1], [-x, 0, 1])], ring);
    expect(inBore(5)).toEqual([]);
    // Keyway of 5 x 2.3 mm (DIN 6885, from memory): hypot(9.3, 2.5) + 1 mm - 1.5 mm = 9.13 mm.
    expect(inBore(9.1)).toEqual([]);
    expect(inBore(9.2)).toEqual(['3 warning screws']);
    const round = (x: number) => codes(PLATE, [arc(3, [x, 0, 1], [-x, 0, 1], [0, 0])], ring);
    expect(round(5)).toEqual([]);
    expect(round(9.2)).toEqual(['3 warning screws']);
    const over = arc(3, [2, 0, 1], [-2, 0, 1], [0, 1], { plane: 'xz' });
    expect(codes(PLATE, [over], ring)).toEqual([]);
  });

  it('may be met by the nut, 12 mm over the tip and 22 mm across', () => {
    expect(at(25.9, -7.01)).toEqual(['3 warning nut-over-screws', '3 warning below-blank']);
    expect(at(25.9, -7)).not.toContain('3 warning nut-over-screws');
    expect(at(26.1, -7.01)).toEqual(['3 warning below-blank']);
    expect(codes(FREE, [feed(3, [40, 0, -7.01], [25.9, 0, -7.01])], ring)).toEqual([
      '3 warning below-blank',
    ]);
  });
});

describe('the hub: 26 mm under the teeth', () => {
  // Teeth 6 mm, overrun 0.1 mm, 0.002 mm to spare: from Z-6.102 down, within 14.5 mm of the axis.
  const at = (x: number, z: number) => [feed(3, [40, 0, z], [x, 0, z])];

  it('is met below the teeth and what the cutter runs over them', () => {
    expect(of(JOB, at(14.4, -6.11))).toEqual([
      {
        line: 3,
        severity: 'error',
        code: 'hub',
        text: 'cuts the hub under the teeth: Z -6.11 within 13.00 mm of the axis',
        value: -6.11,
        limit: expect.closeTo(-6.102, 12),
      },
    ]);
    expect(codes(JOB, at(14.6, -6.11))).toEqual([]);
    expect(codes(JOB, at(14.4, -6.1015))).toEqual([]);
    expect(codes(FREE, at(14.4, -6.11))).toEqual([]);
    // The bore goes through the hub: that is what it is for.
    expect(codes(JOB, at(1, -6.9), { target: 'bore' })).toEqual([]);
  });
});

describe('the room under the blank', () => {
  // 1 mm below the blank, or the teeth where they are thicker, out to 28 + 1.5 mm.
  const low = (x: number, z: number) => [feed(3, [60, 0, z], [x, 0, z])];

  it('is asked for where the cutter goes 1 mm below it', () => {
    expect(of(FREE, low(29.4, -7.25))).toEqual([
      {
        line: 3,
        severity: 'warning',
        code: 'below-blank',
        text: 'goes 1.25 mm below the blank: is there room under it?',
        value: -7.25,
        limit: -7,
      },
    ]);
    expect(codes(FREE, low(29.6, -7.25))).toEqual([]);
    expect(codes(FREE, low(0, -7))).toEqual([]);
    const thick = { blank: { ...SETUP.blank, thicknessMm: 9 } };
    expect(codes(FREE, low(0, -9.9), thick)).toEqual([]);
    expect(of(FREE, low(0, -10.5), thick)).toMatchObject([{ value: -10.5, limit: -10 }]);
    expect(codes(FREE, low(0, -9.9), { depthMm: 9 })).toEqual([]);
    expect(of(FREE, low(0, -10.5), { depthMm: 9 })).toMatchObject([{ limit: -10 }]);
  });
});

describe('the bolt and the nut: 11 mm in radius, 12 mm over the tip', () => {
  const at = (y: number, z: number) => codes(BOLTED, [feed(3, [60, y, z], [-60, y, z])]);

  it('the nut comes down to 8 mm over the face where the tip is at Z-4, 12 + 11 mm from the axis', () => {
    expect(at(22.9, -4.01)).toEqual(['3 error nut-meets-bolt']);
    expect(at(23.1, -4.01)).toEqual([]);
    expect(at(22.9, -4)).toEqual([]);
    const [nut] = of(BOLTED, [rapid(3, [20, 0, 9], [20, 0, -6])]);
    expect(nut).toMatchObject({ code: 'nut-meets-bolt', value: -6 });
    expect(nut!.text).toMatch(/nut is 6.00 mm over the face .* stands 8 mm high/);
    const long: Job = { ...BOLTED, cutter: { ...JOB.cutter, stickOutMm: 14.1 } };
    expect(codes(long, [rapid(3, [20, 0, 9], [20, 0, -6])])).toEqual([]);
  });
});

/** On a spacer of 34 mm. */
const codesOn = (job: Job, ops: readonly CanonicalOp[], setup: Partial<CheckSetup> = {}) =>
  codes(job, ops, { spacerRadiusMm: 17, ...setup });

describe('the screws of a plate: heads of 5 mm between bore and spacer', () => {
  const PLATE: Job = { ...FREE, blank: { ...JOB.blank, heldBy: 'plate' } };
  const across = (y: number, z: number) => [feed(3, [60, y, z], [-60, y, z])];

  it('may be met below 5 mm within 17 + 1.5 mm of the axis, and not inside the bore', () => {
    expect(codesOn(PLATE, across(18.4, 4.9))).toEqual(['3 warning screws']);
    expect(codesOn(PLATE, across(18.6, 4.9))).toEqual([]);
    expect(codesOn(PLATE, across(18.4, 5))).toEqual([]);
    expect(codesOn(FREE, across(18.4, 4.9))).toEqual([]);
    // The keyed bore reaches 7 mm and more: a cutter of 1.5 mm about 5 mm stays in it.
    expect(codesOn(PLATE, [feed(3, [5, 0, 1], [-5, 0, 1])])).toEqual([]);
    expect(codesOn(PLATE, [arc(3, [5, 0, 1], [5, 0, 1], [0, 0])])).toEqual([]);
    expect(codesOn(PLATE, [arc(3, [5, 0, 1], [5, 0, 1], [12, 0])])).toEqual(['3 warning screws']);
    // About X3, out to 5 mm.
    expect(codesOn(PLATE, [arc(3, [5, 0, 1], [5, 0, 1], [3, 0])])).toEqual([]);
    // Below the blank there is no ring in the bore either.
    expect(codesOn(FREE, [feed(3, [5, 0, -6.5], [-5, 0, -6.5])])).toEqual([]);
    // So on the way to the bore.
    expect(codesOn(PLATE, across(0, 1), { target: 'bore' })).toEqual(['3 warning screws']);
  });
});

describe('what the teeth rest on, 34 mm wide, and the table', () => {
  const low = (x: number, z: number) => [feed(3, [60, 0, z], [x, 0, z])];

  it('is cut 0.1 mm of overrun below the teeth, within 17 + 1.5 mm', () => {
    expect(codesOn(FREE, low(18.4, -6.11))).toEqual(['3 error spacer']);
    expect(codesOn(FREE, low(18.6, -6.11))).toEqual([]);
    expect(codesOn(FREE, low(18.4, -6.1))).toEqual([]);
    expect(codesOn(JOB, low(18.4, -6.11))).toEqual(['3 error spacer']);
    expect(codesOn(FREE, low(18.4, -6.11), { target: 'bore' })).toEqual([]);
  });

  it('the table, anywhere: 3 mm under the blank, or under the hub of 8 mm', () => {
    expect(codesOn(FREE, low(59, -9.01))).toEqual(['3 error table']);
    expect(codesOn(FREE, low(59, -9))).toEqual([]);
    expect(codesOn(JOB, low(59, -14.01))).toEqual(['3 error table']);
    expect(codesOn(JOB, low(59, -14))).toEqual([]);
    expect(codesOn(FREE, [rapid(3, [300, 0, 5], [300, 0, -60])])).toEqual(['3 error table']);
  });
});

describe('rapids at the face', () => {
  const over = (z: number, x = 0, height?: number) =>
    found((findings) =>
      aroundFindings(
        findings,
        [rapid(3, [60, 20, z], [x, 20, z]), rapid(9, [x, 20, z], [x, 20, 20])],
        FREE,
        SETUP,
        height,
      ),
    ).map((f) => `${f.line} ${f.severity} ${f.code}`);

  it('are told on it, and nearer than 1 mm or what is asked for, over the blank only', () => {
    expect(over(0)).toEqual(['3 error rapid-at-face']);
    expect(over(0.5)).toEqual(['3 warning rapid-near-face']);
    expect(over(0.99)).toEqual(['3 warning rapid-near-face']);
    expect(over(1)).toEqual([]);
    expect(over(1.5, 0, 2)).toEqual(['3 warning rapid-near-face']);
    expect(over(0.5, 0, 0.4)).toEqual([]);
    // The blank is 28 mm, the cutter 1.5: at Y20 it is reached inside X21.70.
    expect(over(0.5, 21.8)).toEqual([]);
    expect(over(0.5, 21.6)).toEqual(['3 warning rapid-near-face']);
  });

  it('down to it and slanted; straight up is the way out, and a feed may be there', () => {
    expect(codes(FREE, [rapid(3, [0, 0, 9], [0, 0, 0.5])])).toEqual(['3 warning rapid-near-face']);
    expect(codes(FREE, [rapid(3, [0, 0, 9], [20, 0, 0.5])])).toEqual(['3 warning rapid-near-face']);
    expect(codes(FREE, [feed(3, [0, 0, 9], [0, 0, 0]), rapid(4, [0, 0, 0], [0, 0, 9])])).toEqual(
      [],
    );
  });
});

describe('the end', () => {
  const end = (...ops: CanonicalOp[]) => found((f) => aroundFindings(f, ops, FREE, SETUP));
  const up: Pt3 = [90, 0, 5];

  it('is at the face or above it', () => {
    expect(end(rapid(1, up, [90, 0, -0.5]))).toEqual([
      {
        line: 1,
        severity: 'warning',
        code: 'ends-low',
        text: 'the program ends with the cutter at Z -0.50, below the face; move Z up before the end',
        value: -0.5,
        limit: 0,
      },
    ]);
    expect(end(rapid(1, up, [90, 0, 0]))).toEqual([]);
    expect(end(rapid(1, up, [90, 0, -1]), rapid(2, [90, 0, -1], up))).toEqual([]);
    // What is no move ends nothing.
    const low = end(rapid(7, up, [90, 0, -1]), { op: 'end', line: 8 });
    expect(low).toMatchObject([{ line: 7, code: 'ends-low' }]);
    expect(end({ op: 'end', line: 1 })).toEqual([]);
    expect(end()).toEqual([]);
  });
});

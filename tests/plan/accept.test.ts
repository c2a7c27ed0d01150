/** The gate before a program is written: each figure at its limit passes, a hair over it does not. */
import { Refusal } from '../../src/model/refusal.js';
import { describe, expect, it } from 'vitest';
import type { Replay } from '../../src/cam/stock/replay.js';
import { acceptReplay, type AcceptLimits } from '../../src/plan/accept.js';

const LIMITS: AcceptLimits = {
  maxEngagementDeg: 60,
  cutterForceN: 150,
  driveForceN: { x: 129, y: 126 },
  chipCapMm: 0.02,
};

const rad = (deg: number): number => (deg * Math.PI) / 180;
const at = (value: number, line = 7) => ({ value, line });

const SOUND: Replay = {
  loads: {} as Replay['loads'],
  peakEngagementRad: at(rad(60)),
  // Peaks of a tooth on an axis are no limit of their own.
  peakForceN: { x: at(1e6), y: at(1e6) },
  peakResultantN: at(150),
  peakDriveN: { x: at(129, 11), y: at(126, 12) },
  peakChipMm: at(0.02),
  peakPowerW: at(1e6),
  peakAxialMm: at(1e6),
  gougeMm: at(0),
  gougesMm: new Float64Array(),
  leftoverMm: 0,
  leftoverAt: null,
  worstArcRadiusErrorMm: at(0),
  removedMm3: 1,
  findings: [],
  samples: 1,
};

function refusal(change: Partial<Replay>, what?: string): Refusal {
  try {
    acceptReplay({ ...SOUND, ...change }, LIMITS, what);
  } catch (error) {
    expect(error).toBeInstanceOf(Refusal);
    return error as Refusal;
  }
  throw new Error('accepted');
}

describe('acceptReplay', () => {
  it('passes a program that is within all limits', () => {
    expect(() => acceptReplay(SOUND, LIMITS)).not.toThrow();
  });

  const HAIR = 1e-9;
  const { x, y } = SOUND.peakDriveN;
  // The allowances are the gate's own; 0.002 mm is RS274/NGC 3.5.3.2.
  const rows: readonly [
    code: string,
    limit: number,
    words: RegExp,
    change: (v: number) => Partial<Replay>,
  ][] = [
    ['engagement', 61, /line 7 is engaged over 61\.0 deg/, (v) => ({ peakEngagementRad: at(rad(v)) })],
    // 2 % over 150 N for the rounding of headings.
    ['cutter', 153, /a tooth pushes with 153 N in line 7/, (v) => ({ peakResultantN: at(v) })],
    ['drive', 129, /the cut of line 9 asks 129 N of the X drive/, (v) => ({ peakDriveN: { x: at(v, 9), y } })],
    ['drive', 126, /the cut of line 9 asks 126 N of the Y drive/, (v) => ({ peakDriveN: { x, y: at(v, 9) } })],
    ['chip', 0.021, /chip in line 7 is 21\.0 um/, (v) => ({ peakChipMm: at(v) })],
    ['gouge', 0.005, /line 7 cuts 0\.0050 mm into the outline/, (v) => ({ gougeMm: at(v) })],
    ['leftover', 0.01, /0\.0100 mm is left on the outline/, (v) => ({ leftoverMm: v })],
    ['arc', 0.002, /arc in line 7 has radii that differ by 0\.0020 mm/, (v) => ({ worstArcRadiusErrorMm: at(v) })],
  ]; // prettier-ignore

  it.each(rows)('%s: %d is the most', (code, limit, words, change) => {
    expect(() => acceptReplay({ ...SOUND, ...change(limit - HAIR) }, LIMITS)).not.toThrow();
    const error = refusal(change(limit + HAIR));
    expect(error.code).toBe(`replay-${code}`);
    expect(error.value).toBeCloseTo(limit, 8);
    expect(error.limit).toBeCloseTo(limit, 12);
    expect(error.message).toMatch(/^the program failed its own replay: /);
    expect(error.message).toMatch(words);
    // A figure that could not be computed, or one without bound, passes nothing.
    for (const none of [NaN, Infinity]) expect(refusal(change(none)).code).toBe(`replay-${code}`);
  });

  it('takes what the replay found first, with its line and its value', () => {
    const found = { line: 42, code: 'plunge', text: 'goes down into material', value: 3 } as const;
    const error = refusal({ findings: [found, { ...found, code: 'ramp' }] }, 'bore program');
    expect(error).toMatchObject({ code: 'replay-plunge', value: 3, limit: null });
    expect(error.message).toBe(
      'the bore program failed its own replay: line 42: goes down into material',
    );
    // More travel than the machine has is no fault of the program: it is told as itself.
    const travel = refusal({ findings: [{ ...found, code: 'travel', text: 'too far' }] });
    expect(travel).toMatchObject({ code: 'travel', message: 'too far', value: 3 });
  });
});

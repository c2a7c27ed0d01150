/**
 * What a slip in a program does: `check` names it, or the raster oracle, which shares no code with
 * it, finds no harm. And what means the same is never refused.
 */
import { describe, expect, it } from 'vitest';
import { checkProgram } from '../../../src/plan/check/check.js';
import { LONG, runs } from '../../cam/oracle/runs.js';
import { rasterReplay } from '../../cam/raster-replay.js';
import { SLIPS, SMALL_JOB, VARIANTS, pick, randomFrom, smallProgram } from './mutants.js';

const SEED = Number(process.env['GULLET_FUZZ_SEED'] ?? 606);
/** Cell of the raster, and what it adds to an engagement (raster-replay.ts). */
const CELL_MM = 0.05;
const RASTER_DEG = 6;
const RASTER_MM = 0.001;

const textOf = (lines: readonly string[]): string => `${lines.join('\n')}\n`;
const told = (text: string) =>
  checkProgram(text, SMALL_JOB).findings.filter(({ severity }) => severity !== 'note');

/** What the oracle finds wrong with a program; empty where it is harmless. */
function harm(text: string): string[] {
  const { plan } = smallProgram();
  const { material, machine, limits } = SMALL_JOB;
  const report = rasterReplay(text, plan, {
    kc11: material.kc11NPerMm2,
    mc: material.mc,
    runout: machine.spindle.runoutMm,
    wear: limits.wearFactor,
    cell: CELL_MM,
  });
  const { thicknessMm } = plan.sprocket;
  const { maxEngagementDeg, maxStepdownMm, peakForceN } = plan.limits;
  const over: readonly (readonly [string, boolean])[] = [
    ['engagement', report.engagementDeg.value > maxEngagementDeg + RASTER_DEG],
    ['cutter', report.resultant.value > 1.02 * peakForceN],
    // Counted from the tip, which runs out below the blank: no more than the blank is cut.
    ['depth', Math.min(report.axialMm.value, thicknessMm) > maxStepdownMm + RASTER_MM],
    ['gouge', report.gouge().value > 0.005 + RASTER_MM],
    ['leftover', report.leftoverMm() > 0.01 + RASTER_MM],
    ['arc', report.arcErrorMm.value > 0.002 + RASTER_MM],
    ['plunge', report.plunges.length > 0],
    ['rapid', report.rapidsInMaterial.length > 0],
    ['spindle', report.standingSpindle.length > 0],
    ['end', !report.ended],
  ];
  return over.filter(([, wrong]) => wrong).map(([what]) => what);
}

describe('a slip in a program', () => {
  const count = LONG ? 2000 : runs(16);
  it(`is named, or does no harm (${count} programs)`, { timeout: 6e7 }, () => {
    const whole = textOf(smallProgram().lines);
    expect(told(whole)).toEqual([]);
    let named = 0;
    const escaped: string[] = [];
    for (let k = 0; k < count; k++) {
      const random = randomFrom(SEED * 10_000 + k);
      const kind = pick(Object.keys(SLIPS), random);
      const lines = [...smallProgram().lines];
      const what = SLIPS[kind]!(lines, random);
      const text = textOf(lines);
      if (text === whole) continue;
      if (told(text).length > 0) {
        named++;
        continue;
      }
      const wrong = harm(text);
      if (wrong.length > 0) escaped.push(`${kind}, ${what}: ${wrong.join()}`);
    }
    expect(escaped).toEqual([]);
    // Slips that mean nothing are rare: most must be named, or nothing has been tried.
    expect(named).toBeGreaterThan(count / 2);
  });

  it('the oracle sees harm, and none where there is none', () => {
    const { lines } = smallProgram();
    const still = lines.filter((line) => !line.startsWith('M3'));
    expect(harm(textOf(still))).toEqual(['spindle']);
    const last = lines.findLastIndex((line) => line.startsWith('G0 Z'));
    const across = [...lines.slice(0, last), 'G0 X0 Y0', ...lines.slice(last)];
    expect(harm(textOf(across))).toEqual(expect.arrayContaining(['gouge', 'rapid']));
  });
});

describe('the same program, written otherwise', () => {
  const kinds = Object.keys(VARIANTS);
  const count = LONG ? 100 : runs(8);
  it(`is not refused, nor warned of (${count} programs)`, { timeout: 6e7 }, () => {
    for (let k = 0; k < count; k++) {
      const random = randomFrom(SEED * 10_000 + 5000 + k);
      const lines = [...smallProgram().lines];
      // Each in turn, with two others.
      const chosen = [
        ...new Set([kinds[k % kinds.length]!, pick(kinds, random), pick(kinds, random)]),
      ];
      for (const kind of chosen) VARIANTS[kind]!(lines, random);
      expect(told(textOf(lines)), chosen.join(' + ')).toEqual([]);
    }
  });
});

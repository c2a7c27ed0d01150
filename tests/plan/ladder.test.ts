import { Refusal } from '../../src/model/refusal.js';
import { describe, expect, it } from 'vitest';
import { radialRatio } from '../../src/machines/load/chip.js';
import { findCutter } from '../../src/machines/cutters.js';
import { tallyPeakN } from '../../src/machines/learn/load-history.js';
import { newEvidenceLog } from '../../src/machines/learn/evidence.js';
import { makeLadder } from '../../src/plan/ladder/check.js';
import { ladderReference } from '../../src/plan/ladder/path.js';
import {
  findRung,
  isTrim,
  ladderRecordText,
  loadsBeforeRung,
  readLadderRecord,
} from '../../src/plan/ladder/record.js';
import { ladderSheet, outlook } from '../../src/plan/ladder/sheet.js';
import { cutterForceN } from '../../src/machines/bear/cutter.js';
import { type LadderPlan, planLadder } from '../../src/plan/ladder/ladder.js';
import { findMachine, listMachines } from '../../src/machines/machines.js';
import { findMaterial } from '../../src/machines/materials.js';
import { logNormalCdf } from '../../src/maths/normal.js';
import { Belief } from '../../src/machines/learn/belief.js';
import { finishProbability, limitQuantilesN } from '../../src/machines/learn/posterior.js';
import { motionForceN } from '../../src/machines/bear/thrust.js';
import type { Machine } from '../../src/model/machine.js';
import { findController } from '../../src/post/control/controllers.js';
import { readProgram } from '../../src/post/rs274/reader.js';

const machine = findMachine('screw-gantry-light');
const input = (cutter: string, on = machine) => ({
  machine: on,
  material: findMaterial('42CrMo4-annealed'),
  cutter: findCutter(cutter),
  believed: Belief.before(newEvidenceLog(on).prior),
});
const bar = { material: '42CrMo4-annealed', bar: null, edge: null };
const ladder = makeLadder(input('carbide-4mm-3fl'), 'x', 'abc123');
/** The same with motors of 30 N and easy guides, so that the drive ends the ladder and not the spindle. */
const weak: Machine = {
  ...machine,
  thrustN: { ...machine.thrustN, x: [[0, 30]], y: [[0, 30]] },
  frictionN: { ...machine.frictionN, x: 5, y: 5 },
  accelerationMmPerS2: { x: 50, y: 50, z: 50 },
};
const weakLadder = makeLadder(input('carbide-4mm-3fl', weak), 'x', 'abc123');

/**
 * A force of a tooth in conventional milling, by a millimetre of depth and averaged over a turn with
 * all teeth: Ft = kc1.1 h^(1-mc), t from the wall's normal.
 */
function toothOverArc(
  of: (ft: number, fr: number, t: number) => number,
  plan: LadderPlan,
): { readonly mean: number } {
  const { material, cutter, wearFactor } = plan.conditions;
  const fz = plan.feedMmPerMin / (cutter.flutes * plan.spindleRpm);
  const n = 20_000;
  let sum = 0;
  for (let k = 1; k <= n; k++) {
    const t = (plan.engagementRad * k) / n;
    const h = fz * Math.sin(t);
    const ft = material.kc11NPerMm2 * wearFactor * h ** (1 - material.mc);
    sum += of(ft, radialRatio(h) * ft, t);
  }
  const arcOfTurn = plan.engagementRad / (2 * Math.PI);
  return { mean: cutter.flutes * arcOfTurn * (sum / n) };
}
const { ops } = readProgram(ladder.program.text, {
  controller: findController(machine.controller),
});

describe('rungs', () => {
  it('rise in even ratios, from what is nearly sure to hold to what is nearly sure not to', () => {
    const { rungs, ratio, endsBecause } = weakLadder.plan;
    expect(endsBecause).toBe('limit');
    expect(rungs.length).toBeGreaterThanOrEqual(6);
    for (let i = 1; i < rungs.length; i++) {
      // Depths are rounded to a hundredth of a millimetre, each by half of it at most.
      const rounded = 0.005 / rungs[i]!.apMm + 0.005 / rungs[i - 1]!.apMm;
      const step = rungs[i]!.demandN / rungs[i - 1]!.demandN;
      expect(Math.abs(step / ratio - 1)).toBeLessThan(0.002 + rounded);
    }
    const { believed } = input('carbide-4mm-3fl', weak);
    expect(limitQuantilesN(believed, 'x', [0.03])[0]).toBeGreaterThan(rungs[0]!.demandN);
    const first = finishProbability(believed, weakLadder.rungs[0]!.loads, bar);
    expect(first).toBeGreaterThan(0.9);
    const last = finishProbability(believed, weakLadder.rungs.at(-1)!.loads, bar);
    expect(last).toBeLessThan(0.3);
  });

  it('end before that where the spindle has no more power for the next', () => {
    const { plan, rungs } = ladder;
    expect(plan.endsBecause).toBe('power');
    // Mean force times surface speed, one tooth summed over its arc; three teeth a turn.
    const perMm = toothOverArc((ft) => ft, plan).mean;
    const speed = (Math.PI * 0.004 * plan.spindleRpm) / 60;
    const { powerW, efficiency, maxRpm } = machine.spindle;
    // A trim router's power goes with its speed.
    const hasW = (powerW * efficiency * plan.spindleRpm) / maxRpm;
    const last = perMm * rungs.at(-1)!.rung.apMm * speed;
    expect(last).toBeLessThan(1.02 * hasW);
    expect(plan.ratio * last).toBeGreaterThan(0.9 * hasW);
  });

  it('ask more than the mean force, by summing one tooth over its arc, and less than its double', () => {
    // A mass on a spring that is loaded at once goes twice as far as the load alone would take it.
    const { mean } = toothOverArc((ft, fr, t) => ft * Math.cos(t) + fr * Math.sin(t), ladder.plan);
    for (const { rung, peakN } of ladder.rungs) {
      expect(peakN / rung.cutN).toBeCloseTo(1, 2);
      expect(rung.demandN).toBeCloseTo(peakN + motionForceN(machine, 'x'), 0);
      expect(rung.cutN / rung.apMm).toBeGreaterThan(mean);
      expect(rung.cutN / rung.apMm).toBeLessThan(2 * mean);
    }
  });

  it('are engaged over acos(1 - ae / r) and take nothing else', () => {
    const r = 2;
    for (const { peakEngagementRad } of ladder.rungs) {
      const want = Math.acos(1 - ladder.plan.radialDepthMm / r);
      expect(Math.abs(peakEngagementRad - want)).toBeLessThan((0.5 * Math.PI) / 180);
    }
    // Trimming is below the first rung, and the ways between rungs ask only for moving the axes.
    expect(ladder.trimPeakN).toBeLessThanOrEqual(ladder.rungs[0]!.peakN * 1.02);
    for (const { loads, rung } of ladder.rungs) {
      expect(tallyPeakN(loads.x) / rung.demandN).toBeLessThan(1.03);
      // The axis that stands still is asked for much less.
      expect(tallyPeakN(loads.y)).toBeLessThan(0.6 * rung.demandN);
    }
  });

  it('are each followed by a look at the reference, with the spindle still', () => {
    const reference = ladderReference(ladder.plan, 2, ladder.withinMm);
    let turning = false;
    const seen: string[] = [];
    ops.forEach((op, i) => {
      if (op.op === 'spindle') turning = op.on;
      if (op.op !== 'stop') return;
      expect(turning).toBe(false);
      const name = /CHECK (X (?:PLUS|MINUS) \d+): X AND Y INDICATORS/.exec(op.message)?.[1];
      if (name === undefined) return;
      seen.push(name);
      const last = ops.slice(0, i).findLast((o) => 'to' in o);
      expect(last && 'to' in last && last.to.slice(0, 2)).toEqual([...reference.checkX]);
    });
    expect(seen).toEqual(ladder.rungs.map((rung) => rung.name));
  });

  it.each(listMachines().map((m) => m.id))('fit %s with a 4 mm or a 6 mm cutter', (id) => {
    const on = findMachine(id);
    for (const axis of ['x', 'y'] as const) {
      const made = makeLadder(
        input(id === 'bench-mill-converted' ? 'carbide-6mm-3fl' : 'carbide-4mm-3fl', on),
        axis,
        'abc',
      );
      expect(made.rungs.length).toBeGreaterThanOrEqual(8);
      expect(made.plan.depthMm).toBeLessThan(made.plan.conditions.cutter.fluteLengthMm);
      // The cutter keeps to its share of what breaks it.
      const worst = Math.max(...made.rungs.map((r) => r.rung.resultantN));
      expect(worst).toBeLessThanOrEqual(cutterForceN(made.plan.conditions.cutter, 0) * 1.01);
    }
  });

  it('say how likely one is to be lost, and warn where none will be', () => {
    // The belief is log-normal: the last rung is over the limit with probability Phi(z).
    const last = weakLadder.rungs.at(-1)!.rung.demandN;
    const { sigma, thrustN } = newEvidenceLog(weak).prior.x;
    const z = Math.log(last / thrustN) / sigma;
    const crossed = Math.exp(logNormalCdf(z));
    // What the forces may be off by, moment after moment, finds the limit a little sooner.
    expect(weakLadder.lossChance).toBeGreaterThan(crossed);
    expect(weakLadder.lossChance).toBeLessThan(crossed + 0.1);
    expect(outlook(weakLadder)).toMatch(/lost with probability \d\d %\.$/);
    const stainless = { ...input('carbide-2mm-2fl'), material: findMaterial('AISI-304') };
    const vain = makeLadder(stainless, 'x', 'abc');
    expect(vain.lossChance).toBeLessThan(0.01);
    expect(outlook(vain)).toContain('under 1 %. It will most likely hold to its end');
  });

  it('are refused where the cutter would break first', () => {
    const small = input('carbide-1.5mm-2fl', findMachine('bench-mill-converted'));
    expect(() => planLadder(small, 'x')).toThrow(Refusal);
    expect(() => planLadder(small, 'x')).toThrow(/the cutter bears \d+ N/);
  });

  it('stop at 0.3 of the rupture strength of carbide, 2400 N/mm2, where the cutter is bent most', () => {
    // sigma = 32 F L / (pi d^3) for a round cantilever (any handbook of strength of materials): a core
    // of 0.8 D at the end of the flutes, the shank at the collet.
    const cutter = findCutter('carbide-6mm-3fl');
    const force = cutterForceN(cutter, 0);
    const sigma = (d: number, lever: number) => (32 * force * lever) / (Math.PI * d ** 3);
    const core = sigma(0.8 * 6, cutter.fluteLengthMm);
    const shank = sigma(cutter.shankDiameterMm, cutter.stickOutMm);
    expect(Math.max(core, shank)).toBeCloseTo(720, 6);
  });
});

describe('record and sheet', () => {
  const names = { machine: machine.id, material: '42CrMo4-annealed', cutter: 'c', digest: 'abc' };
  const changed = (key: string, value: unknown): string =>
    JSON.stringify({ ...JSON.parse(ladderRecordText(ladder, names)), [key]: value });
  const record = readLadderRecord(ladderRecordText(ladder, names), 'ladder-x.json');

  it('keep the loads of every rung', () => {
    expect(record.rungs.map((r) => r.name)).toEqual(ladder.rungs.map((r) => r.name));
    const believed = input('carbide-4mm-3fl').believed;
    ladder.rungs.forEach((rung, i) => {
      expect(finishProbability(believed, record.rungs[i]!.loads, bar)).toBeCloseTo(
        finishProbability(believed, rung.loads, bar),
        3,
      );
    });
    expect(findRung(record, 'rung x plus 2')).toBe(2);
    expect(findRung(record, 'X MINUS 2')).toBe(3);
    // As the program has its stops, and as people write.
    for (const name of [
      'CHECK X PLUS 2',
      'x+2',
      'X + 2',
      'after rung x plus 2',
      'datum check x plus 2',
    ]) {
      expect(findRung(record, name)).toBe(2);
    }
    expect(findRung(record, 'x-2')).toBe(3);
    for (const name of ['z 1', '', 'x', 'x+', 'trim', 'x plus 2 or so']) {
      expect(findRung(record, name)).toBe(-1);
    }
    const stops = ops.flatMap((op) => (op.op === 'stop' ? [op.message] : []));
    const trims = stops.flatMap((m) => /NOTE (CHECK AFTER TRIM .*)$/.exec(m)?.[1] ?? []);
    expect(trims).toHaveLength(2);
    for (const name of [...trims, 'trim', 'Trimming']) expect(isTrim(name)).toBe(true);
    for (const name of ['x plus 1', 'trimmer', 'check x plus 1']) expect(isTrim(name)).toBe(false);
    // What every stop asks to be noted is a place that retune finds.
    const noted = stops.flatMap((m) => /NOTE (.*)$/.exec(m)?.[1] ?? []);
    expect(noted.every((name) => isTrim(name) || findRung(record, name) >= 0)).toBe(true);
    const before = loadsBeforeRung(record, 4);
    expect(tallyPeakN(before.x)).toBeLessThan(tallyPeakN(record.rungs[4]!.loads.x));
  });

  it.each([
    ['{', 'l.json: is no ladder'],
    ['null', 'l.json: is no ladder'],
    ['{"kind": "plan"}', 'l.json: is no ladder'],
    ['{"kind": "gullet ladder", "axis": "z"}', 'machine: is missing'],
    [changed('axis', 'z'), 'l.json: axis: z is not an axis of a ladder'],
    [changed('rungs', []), 'l.json: rungs: is empty'],
    [changed('digest', 'a\nM3'), 'l.json: digest: "a\\nM3" has control characters'],
    [changed('trim', { x: '1 -2', y: '' }), 'l.json: trim.x: 1 -2 is not a list of loads'],
  ])('refuse %s', (text, message) => {
    expect(() => readLadderRecord(text, 'l.json')).toThrow(message);
  });

  it('print every rung with room to write, and escape what they are given', () => {
    const html = ladderSheet([ladder], {
      machine: { ...machine, title: 'Router <b>"mine"</b>' },
      material: findMaterial('42CrMo4-annealed'),
      cutter: findCutter('carbide-4mm-3fl'),
      digest: 'abc123',
      date: '2026-05-03',
    });
    for (const rung of ladder.rungs) expect(html).toContain(rung.name);
    // The bar from above: this ladder's sides, and no others.
    expect(html).toContain('X PLUS, front');
    expect(html).not.toContain('Y PLUS, ');
    expect(html).toContain('Router &lt;b&gt;');
    expect(html).not.toContain('<b>"mine"');
    expect(html).toContain('2026-05-03');
    expect(html).not.toMatch(/\bsafe\b/i);
  });
});

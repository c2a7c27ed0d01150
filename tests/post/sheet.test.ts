import { beforeAll, describe, expect, it } from 'vitest';
import type { Plan } from '../../src/post/plan.js';
import { duration, formatFor, range } from '../../src/post/sheet/format.js';
import { holdingPlan } from '../../src/post/sheet/holding-plan.js';
import { html, list } from '../../src/post/sheet/html.js';
import { sheetFigures } from '../../src/post/sheet/figures.js';
import { reachOf } from '../../src/post/sheet/reach.js';
import { planRestart } from '../../src/plan/restart.js';
import { warningSheet } from '../../src/post/sheet/sheet.js';
import { verifyEnvelope } from '../../src/post/rs274/envelope.js';
import { plannedExample } from './planned-examples.js';

/** Text of one block, tags out. */
function textOf(sheet: string, id: string): string {
  const section = new RegExp(`<section id="${id}"[^]*?</section>`).exec(sheet);
  expect(section, id).not.toBeNull();
  return section![0]
    .replace(/<[^>]*>/g, ' ')
    .replace(/&#39;/g, "'")
    .replace(/&quot;/g, '"')
    .replace(/&amp;/g, '&')
    .replace(/\s+/g, ' ');
}

/** "8.4 min" or "21 s" in minutes. */
function minutesOf(text: string): number {
  const [figure, unit] = text.split(' ');
  return unit === 's' ? Number(figure) / 60 : Number(figure);
}

const BOLTED = ['held-by: plate', 'held-by: through-bolt'] as const;

let barrow: Plan;
let sheet: string;
beforeAll(() => {
  barrow = plannedExample('nursery-barrow');
  sheet = warningSheet(barrow);
});

describe('figures on the sheet are those of the plan', () => {
  it('job and program', () => {
    const { program, jobDigest } = barrow;
    expect(sheet).toContain(`<p class="copy">job ${jobDigest}<br />${program.lineCount} lines</p>`);
    expect(textOf(sheet, 'machine')).toContain(program.text.split('\n')[0]!);
    // The envelope in the program says the same (its own reader).
    const { message } = verifyEnvelope(program.text);
    expect(message).toBe(`complete: job ${jobDigest}, ${program.lineCount} lines`);
  });

  it('peaks against limits', () => {
    const { predicted, limits } = barrow.summary;
    const load = textOf(sheet, 'load');
    const figures = [
      ...load.matchAll(
        /(Engagement|Push of a tooth|. thrust for cut and moving|Life of the edge|Chip|Form error) ([\d.]+) ?\S*?\s+([\d.]+)/g,
      ),
    ];
    expect(figures.map((m) => m[1])).toEqual([
      'Engagement',
      'Push of a tooth',
      'X thrust for cut and moving',
      'Y thrust for cut and moving',
      'Life of the edge',
      'Chip',
      'Form error',
    ]);
    const [engagement, tooth, x, y, edge, chip, form] = figures.map((m) => [
      Number(m[2]),
      Number(m[3]),
    ]);
    expect(engagement![0]).toBeCloseTo(predicted.peakEngagementDeg, 1);
    expect(engagement![1]).toBeCloseTo(limits.maxEngagementDeg, 0);
    const near = (printed: readonly number[] | undefined, value: number, limit: number) => {
      expect(Math.abs(printed![0]! - value)).toBeLessThanOrEqual(0.5);
      expect(Math.abs(printed![1]! - limit)).toBeLessThanOrEqual(0.5);
    };
    near(tooth, barrow.replay.peakResultantN.value, limits.peakForceN);
    near(x, predicted.driveDemandN.x, limits.driveDemandN.x);
    near(y, predicted.driveDemandN.y, limits.driveDemandN.y);
    near(edge, 100 * predicted.edgeLivesEach, 100 * limits.edgeLives);
    expect(chip![0]).toBeCloseTo(1000 * barrow.replay.peakChipMm.value, 1);
    expect(chip![1]).toBeCloseTo(1000 * barrow.cam.process.chipCapMm, 1);
    // Each is within its limit; the thrust is the same on both sides of plan.json.
    for (const [value, limit] of [engagement!, tooth!, x!, y!, edge!, chip!, form!]) {
      expect(value!).toBeLessThanOrEqual(1.02 * limit!);
    }
    expect(predicted.driveThrustN).toEqual(limits.driveDemandN);
    expect(form![0]).toBeCloseTo(barrow.cam.finish.errorMm, 3);
    expect(form![1]).toBeCloseTo(barrow.job.limits.toleranceMm, 3);
    expect(load).toContain(`${barrow.summary.predicted.taperMm.toFixed(3)} mm`);
  });

  it('speeds, levels, feeds and times', () => {
    const { cam, summary } = barrow;
    const run = textOf(sheet, 'run');
    expect(run).toContain(`${cam.process.spindleRpm} rpm`);
    expect(run).toContain(`${cam.process.levelsMm.length} levels`);
    expect(run).toContain(`stepdown ${cam.process.stepdownMm.toFixed(3)} mm`);
    const feeds = cam.toolpath.moves.flatMap((m) =>
      (m.kind === 'line' || m.kind === 'arc') && m.role === 'cut' ? [m.feedMmPerMin] : [],
    );
    const [low, high] = /roughing (\d+) to (\d+),/.exec(run)!.slice(1).map(Number);
    expect(low).toBe(Math.round(feeds.reduce((a, b) => Math.min(a, b))));
    expect(high).toBe(Math.round(feeds.reduce((a, b) => Math.max(a, b))));
    const { roughCutMin, finishMin, linkMin, totalMin } = summary.predicted;
    const printed = [
      /roughing (\S+ \w+), finishing/,
      /finishing (\S+ \w+), between/,
      /between cuts (\S+ \w+), air/,
      /(\S+ min) in all/,
    ].map((words) => minutesOf(words.exec(run)![1]!));
    // Minutes are printed whole, or to a tenth under ten.
    [roughCutMin, finishMin, linkMin, totalMin].forEach((minutes, i) => {
      expect(Math.abs(printed[i]! - minutes)).toBeLessThanOrEqual(minutes < 10 ? 0.05 : 0.5);
    });
    // Nothing is left out of the total: its parts are those on the sheet and the air pass.
    expect(roughCutMin + finishMin + linkMin + cam.times.airMin).toBeCloseTo(totalMin, 9);
  });

  it('of a restart are its own', () => {
    const line = barrow.program.text.split('\n').findIndex((t) => /FINISH LEVEL 8 /.test(t)) + 2;
    const restart = planRestart(barrow, {
      resumeAt: { kind: 'lines', from: line, to: line },
      stoppedAt: null,
      offsetMm: [0, 0],
    });
    const own = warningSheet(restart);
    expect(own).not.toContain('The blank, on a small lathe');
    const levels = barrow.cam.finish.levelsMm.length;
    expect(textOf(own, 'restart')).toMatch(
      new RegExp(`Takes up line \\d+ of .* finish level 8 of ${levels} `),
    );
    const run = textOf(own, 'run');
    // Roughing is done: nothing is said of it, and the finishing levels are those left.
    expect(run).not.toMatch(/roughing|Roughing/);
    // Level 8 to the last.
    expect(run).toContain(`${levels - 7} levels of`);
    const [finish, link, all] = [
      /finishing (\S+ \w+), between/,
      /between cuts (\S+ \w+), air/,
      /(\S+ min) in all/,
    ].map((words) => minutesOf(words.exec(run)![1]!));
    const air = minutesOf(/air pass (\S+ \w+);/.exec(run)![1]!);
    // Each printed to a tenth of a minute at worst.
    expect(Math.abs(finish! + link! + air - all!)).toBeLessThanOrEqual(0.2);
    expect(all).toBeLessThan(barrow.summary.predicted.totalMin / 5);
    expect(textOf(own, 'watch')).toContain('One finishing level takes');
  });

  it('blank, hub, bore, zero', () => {
    const { cam, job, summary } = barrow;
    const blank = textOf(sheet, 'blank');
    expect(blank).toContain(`\u2300 ${cam.blank.diameterMm.toFixed(2)} mm`);
    // ISO 606, h14: 0.93 x 6.35 = 5.9055 mm, less 0.30; a drawing rounds inwards.
    expect(blank).toContain('5.61 mm to 5.90 mm');
    expect(blank).toContain(`${((5.9055 + 5.6055) / 2).toFixed(2)} mm thick`);
    expect(blank).toContain(
      `\u2300 ${job.hub!.diameterMm.toFixed(2)} mm, ${job.hub!.lengthMm.toFixed(2)} mm long`,
    );
    expect(blank).toContain(`\u2300 ${job.bore.diameterMm.toFixed(2)} mm`);
    // An error of centring e moves the reading by 2 e over a turn.
    expect(textOf(sheet, 'zero')).toContain(
      `${(2 * summary.blank.settingMm).toFixed(2)} mm or less`,
    );
  });

  it('every stop of the program, with its line', () => {
    const stops = textOf(sheet, 'stops');
    const lines = barrow.program.text.split('\n');
    const found = lines.flatMap((text, i) => (/^(N\d+ ?)?M0?0\b/.test(text) ? [i + 1] : []));
    expect(found.length).toBeGreaterThanOrEqual(2);
    for (const line of found) expect(stops).toContain(`(line ${line}, after `);
    expect(stops).toContain('AIR PASS DONE');
    expect(stops).toContain('ROUGHED');
  });

  it('every warning, control remark and hazard', () => {
    const said = { warnings: 0, remarks: 0 };
    for (const name of ['pot-line-20t-219', 'seed-drum-25t-35', 'potting-machine-15t-40']) {
      const planned = plannedExample(name);
      const text = warningSheet(planned);
      const warnings = textOf(text, 'warnings').toLowerCase();
      for (const w of planned.summary.warnings) {
        said.warnings++;
        expect(warnings).toContain(w.text.replace(/\s+/g, ' ').toLowerCase());
      }
      for (const remark of planned.job.controller.setUp) {
        said.remarks++;
        expect(textOf(text, 'machine')).toContain(remark);
      }
      if (planned.job.material.hazards.includes('lead')) {
        expect(textOf(text, 'care')).toContain('holds lead');
      }
    }
    expect(Math.min(said.warnings, said.remarks)).toBeGreaterThanOrEqual(3);
    expect(plannedExample('potting-machine-15t-40').job.material.hazards).toContain('lead');
  });
});

describe('what the sheet says, and what it never says', () => {
  it('nothing is called safe', () => {
    for (const name of ['nursery-barrow', 'pot-line-20t-219', 'mist-pump-18t-06b']) {
      const text = warningSheet(plannedExample(name), { brazed: true });
      expect(text).not.toMatch(/\bsafe(ly)?\b/i);
      expect(text).toContain('come first');
    }
  });

  it('each kind of holding has its own drawing and words', () => {
    const spigot = textOf(sheet, 'holding');
    expect(spigot).toContain('split ring');
    const bolt = warningSheet(plannedExample('pot-line-20t-219', BOLTED));
    expect(textOf(bolt, 'holding')).toContain('Bolt down through the bore');
    expect(bolt).toContain('washer \u2300');
    const routed = plannedExample('mist-pump-18t-06b');
    const plate = warningSheet(routed);
    // The head of the bore's program bounds it below: whole times in 100, of the cut as chosen.
    const { boreFinishProbability } = routed.summary.predicted;
    const said = /reaches its end (\d+) times/.exec(routed.bore!.program.text)![1]!;
    expect(100 * boreFinishProbability!).toBeGreaterThan(Number(said) - 1);
    expect(boreFinishProbability).toBeLessThan(1);
    expect(plate).toContain('The program of the bore, before it: ');
    expect(warningSheet(plannedExample('nursery-barrow'))).not.toContain('The program of the bore');
    // The bore comes first: the file that plan writes, known by its own first line, in its own time.
    const bore = textOf(plate, 'bore-first');
    const [first] = routed.bore!.program.text.split('\n');
    expect(bore).toContain('mist-pump-18t-06b-bore.nc');
    expect(bore).toContain(`Its first line must read ${first}`);
    expect(bore).toContain('move nothing');
    expect(sheet).not.toContain('id="bore-first"');
    expect(textOf(plate, 'holding')).toContain('Screw the disc');
    // Stick-out 10 mm, teeth 5 mm, 0.1 mm below them: 4.9 mm, and a screw's head has 5.
    const nut = (plan: typeof routed) =>
      plan.summary.warnings.filter(({ code }) => code === 'nut-over-screws');
    expect(nut(routed)).toMatchObject([{ value: expect.closeTo(4.9, 6), limit: 5 }]);
    expect(nut(routed)[0]!.text).toContain('stick out 10.1 mm');
    expect(nut(plannedExample('barrow-axle-60t-415'))).toEqual([]);
    expect(nut(plannedExample('nursery-barrow'))).toEqual([]);
    for (const text of [sheet, bolt, plate]) {
      expect(text).toContain('at most');
      expect(text).toContain('stick-out');
    }
  });

  it('tape and glue are refused for steel, stainless and iron', () => {
    for (const group of ['steel', 'stainless', 'iron'] as const) {
      const job = { ...barrow.job, material: { ...barrow.job.material, group } };
      expect(textOf(warningSheet({ ...barrow, job }), 'holding')).toContain(
        'Tape and glue are refused',
      );
    }
    expect(textOf(warningSheet(plannedExample('pot-line-20t-219')), 'holding')).toContain(
      'Tape or glue: not reckoned with',
    );
  });

  it('brazing where the joint is brazed', () => {
    const has = (text: string): boolean => text.includes('<section id="brazing">');
    const flat = plannedExample('potting-machine-15t-40');
    expect(has(warningSheet(flat))).toBe(true);
    expect(has(warningSheet(flat, { brazed: false }))).toBe(false);
    expect(has(sheet)).toBe(false);
    expect(has(warningSheet(barrow, { brazed: true }))).toBe(true);
  });

  it('inches on request', () => {
    const both = warningSheet(barrow, { units: 'mm-and-inch' });
    const { diameterMm } = barrow.cam.blank;
    expect(textOf(both, 'blank')).toContain(
      `${diameterMm.toFixed(2)} mm (${(diameterMm / 25.4).toFixed(4)} in)`,
    );
    expect(sheet).not.toContain(' in)');
  });

  it('the same bytes twice, and the plan untouched', () => {
    const before = JSON.stringify(barrow.summary);
    expect(warningSheet(barrow)).toBe(sheet);
    expect(JSON.stringify(barrow.summary)).toBe(before);
  });
});

describe('holding', () => {
  it('spigot: jaw force over the lever, and the lift of the helix', () => {
    const plan = holdingPlan(barrow, reachOf(barrow));
    const cut = Math.max(...barrow.replay.loads.resultantN);
    // Roehm RN-1391: F = S F_cut (r_cut / r_grip) / mu, smooth jaws 0.07; S 2.5.
    const rim = barrow.cam.blank.diameterMm / 2 + barrow.cam.blank.centringErrorMm;
    const turn = (2.5 * cut * (rim / (barrow.job.hub!.diameterMm / 2))) / 0.07;
    const lift = (2.5 * cut * Math.tan((barrow.job.cutter.helixDeg * Math.PI) / 180)) / 2 / 0.07;
    expect(plan.clampForceN).toBeCloseTo(turn + lift, 6);
    expect(plan.cutForceN).toBe(cut);
    expect(plan.cutForceN).toBeGreaterThanOrEqual(barrow.replay.peakForceN.x.value - 1e-9);
    // The thrust that 95 of 100 are under: 1.6449 sigmas (any table of the normal distribution) over
    // the profile's median at standstill, whose sigma is 0.4 where nothing was measured.
    const median = barrow.job.machine.thrustN.x[0]![1];
    expect(plan.stallThrustN).toBeCloseTo(median * Math.exp(1.6449 * 0.4), 1);
  });

  it('bolt: mu F r >= S F_cut r_cut on the ring under the washer', () => {
    const planned = plannedExample('pot-line-20t-219', BOLTED);
    const plan = holdingPlan(planned, reachOf(planned));
    const [a, b] = [plan.bearing.innerMm / 2, plan.bearing.outerMm / 2];
    const mean = ((2 / 3) * (b ** 3 - a ** 3)) / (b ** 2 - a ** 2);
    const pressing = plan.clampForceN - plan.safety * plan.axialPullN;
    expect((plan.friction.mu * pressing * mean) / 1000).toBeCloseTo(
      plan.safety * plan.cutTorqueNm,
      9,
    );
    expect(plan.screw!.diameterMm).toBeLessThan(planned.job.bore.diameterMm);
  });

  it('the torque printed gives the preload, F = T / (0.2 d)', () => {
    // Carr Lane, Clamping force calculations: nut factor of a dry bolt 0.2.
    const { holding } = sheetFigures(barrow);
    const [, size, torque] = /M(\d+) 8\.8 screw at ([\d.]+) N m dry/.exec(
      textOf(sheet, 'holding'),
    )!;
    const tensionN = (Number(torque) * 1000) / (0.2 * Number(size));
    // A split ring presses with twice the tension of its screw.
    expect(Math.abs((2 * tensionN) / holding.clampForceN - 1)).toBeLessThan(0.02);
  });

  it('lift of the helix: 0.3 at 30 degrees, 0.5 at 45 (usual defaults, from memory)', () => {
    const share = (helixDeg: number): number => {
      const { job } = barrow;
      const planned = { ...barrow, job: { ...job, cutter: { ...job.cutter, helixDeg } } };
      const { axialPullN, cutForceN } = holdingPlan(planned, reachOf(barrow));
      return axialPullN / cutForceN;
    };
    expect(share(30)).toBeCloseTo(0.29, 2);
    expect(share(45)).toBeCloseTo(0.5, 9);
    expect(share(0)).toBe(0);
  });
});

describe('reach of the program', () => {
  it('agrees with dense sampling of every move', () => {
    const reach = reachOf(barrow);
    let far = 0;
    const low = [Infinity, Infinity];
    const high = [-Infinity, -Infinity];
    const visit = (x: number, y: number, z: number): void => {
      // It crosses 30 mm over the face, where nothing is in its way; clamps lie below that.
      if (z < 30) far = Math.max(far, Math.hypot(x, y));
      [x, y].forEach((v, i) => {
        low[i] = Math.min(low[i]!, v);
        high[i] = Math.max(high[i]!, v);
      });
    };
    for (const op of barrow.program.ops) {
      if (op.op === 'rapid' || op.op === 'feed') visit(...op.to);
      if (op.op !== 'arc') continue;
      const [cx, cy] = op.center;
      const from = Math.atan2(op.from[1] - cy, op.from[0] - cx);
      let sweep = Math.atan2(op.to[1] - cy, op.to[0] - cx) - from;
      if (op.ccw && sweep <= 0) sweep += 2 * Math.PI;
      if (!op.ccw && sweep >= 0) sweep -= 2 * Math.PI;
      const r = Math.hypot(op.from[0] - cx, op.from[1] - cy);
      for (let i = 0; i <= 50; i++) {
        const a = from + (sweep * i) / 50;
        visit(cx + r * Math.cos(a), cy + r * Math.sin(a), op.to[2]);
      }
    }
    expect(reach.travelMm.x).toBeCloseTo(high[0]! - low[0]!, 1);
    expect(reach.travelMm.y).toBeCloseTo(high[1]! - low[1]!, 1);
    // Rounded to 0.001 mm, the end of an arc is not just as far from its centre as its start.
    const seen = far + barrow.job.cutter.diameterMm / 2;
    expect(reach.sweptRadiusMm).toBeGreaterThanOrEqual(seen - 1e-3);
    expect(reach.sweptRadiusMm).toBeLessThan(seen + 0.02);
    expect(sheetFigures(barrow).reach.keepOutDiameterMm).toBeGreaterThan(2 * seen);
  });

  it('spacer stays off the cutter, nut height is what the stick-out leaves', () => {
    const reach = reachOf(barrow);
    const gap = (barrow.profile.rootDiameterMm - reach.spacerMaxMm) / 2;
    expect(gap).toBeGreaterThan(barrow.cam.blank.centringErrorMm);
    expect(reach.nutHeightMm).toBeCloseTo(barrow.job.cutter.stickOutMm + reach.lowestZMm, 3);
  });
});

describe('writing', () => {
  it('what is put into markup is text', () => {
    expect(html`<p>${'<b>&"'}${html`<i>${1}</i>`}${null}${['a', '<']}</p>`.html).toBe(
      '<p>&lt;b&gt;&amp;&quot;<i>1</i>a&lt;</p>',
    );
    expect(list(['<', null]).html.replace(/\s+/g, '')).toBe('<ul><li>&lt;</li></ul>');
  });

  it('durations, ranges, lengths', () => {
    expect([0.2, 5.26, 61.4, 89.4, 125].map(duration)).toEqual([
      '12 s',
      '5.3 min',
      '61 min',
      '89 min',
      '2 h 05 min',
    ]);
    expect(range(3, 3.2)).toBe('3');
    expect(formatFor({}).length(-0.001)).toBe('0.00 mm');
    expect(formatFor({ units: 'mm-and-inch' }).stacked(25.4)).toEqual(['25.40', '[1.000 in]']);
  });
});

import { beforeAll, describe, expect, it } from 'vitest';
import { edgeSweep } from './oracle/curves.js';
import { materialRow } from './oracle/material-row.js';
import { grownArea, ownBestRate } from './oracle/own-bound.js';
import type { Job, PlanSummary } from '../../src/model/job.js';
import type { Plan } from '../../src/post/plan.js';
import { LONG } from './oracle/runs.js';
import { exampleJob, examplePlan } from '../planned.js';
import { type PlanFile, type RasterReport, firstLevels, rasterReplay } from './raster-replay.js';

/**
 * The oracle first: programs whose answer is known, and programs spoilt on purpose. Then the
 * examples, as written to disk: NAME-teeth.nc against plan.json.
 */

/** A square plate's worth of plan.json: a small disc far inside the blank to keep off. */
function planFor(radius: number, cutter: number): PlanFile {
  const disc = 1;
  return {
    sprocket: {
      thicknessMm: 2,
      rootDiameterMm: 2 * disc,
      outline: [
        { kind: 'arc', a: [disc, 0], b: [-disc, 0], c: [0, 0], ccw: true },
        { kind: 'arc', a: [-disc, 0], b: [disc, 0], c: [0, 0], ccw: true },
      ],
    },
    blank: { diameterMm: 2 * radius, thicknessMm: 2 },
    cutter: { diameterMm: cutter, flutes: 3 },
    limits: { maxEngagementDeg: 60, peakForceN: 100, maxStepdownMm: 1 },
  };
}

const HEAD = 'G21 G90 G17 G94\nM3 S10000\nG4 P1\n';
const steel = { kc11: 2500, mc: 0.26 };
const DEG = Math.PI / 180;

describe('raster oracle on cuts with a known answer', () => {
  it('a round cut outside a disc: engagement of the thread-milling formula', () => {
    // Sandvik Coromant, Threading manual p. 117: (Dw^2 - Dm^2) / (4 (Dm + Dc)) effective depth.
    for (const [wall, r, ae] of [
      [10, 1.5, 0.3],
      [10, 1.5, 0.7],
      [10, 3, 1],
    ] as const) {
      const plan = planFor(wall + ae, 2 * r);
      const path = wall + r;
      // Down into the ring and once round: from the first step on it is the steady cut.
      const text = `${HEAD}G0 X${path} Y0 Z1\nG1 Z-1 F400\nG2 X${-path} Y0 I${-path} J0\nG2 X${path} I${path}\nM2\n`;
      const report = rasterReplay(text, plan, steel);
      const aeEff = (ae * (2 * wall + ae)) / (2 * (wall + r));
      const formula = Math.acos(1 - aeEff / r) / DEG;
      expect(report.engagementDeg.value).toBeGreaterThan(formula - 0.3);
      expect(report.engagementDeg.value).toBeLessThan(formula + 1.2);
    }
  });

  it('a slot is 180 deg, its force that of teeth in a full half turn', () => {
    const plan = planFor(20, 3);
    const text = `${HEAD}G0 X25 Y10\nG0 Z-0.3\nG1 X-25 F300\nM2\n`;
    const report = rasterReplay(text, plan, steel);
    expect(report.engagementDeg.value).toBeGreaterThan(178);
    // Three teeth, two of them in the cut for part of the turn; summed by hand over the turn.
    let x = 0;
    for (let turn = 0; turn < 1200; turn++) {
      let along = 0;
      for (const tooth of [0, 120]) {
        const t = (turn / 10 + tooth) * DEG;
        if (t >= Math.PI) continue;
        const ft = 2500 * 0.3 * Math.pow(0.01 * Math.sin(t), 0.74);
        along += ft * Math.cos(t) - ft * Math.sin(t);
      }
      x = Math.max(x, Math.abs(along));
    }
    expect(report.forceX.value / x).toBeGreaterThan(0.97);
    expect(report.forceX.value / x).toBeLessThan(1.03);
    expect(report.axialMm.value).toBeCloseTo(0.3, 6);
  });

  it.each([
    ['right', 10.75, 0],
    ['left', 9.25, 120],
  ])('60 deg beside a slot, the wall on the %s: the force along of a tooth there', (_, y, from) => {
    // The slot is cut a tenth as fast, so that its force is the smaller.
    const pass = (at: number, feed: number) => `G0 X25 Y${at}\nG0 Z-0.3\nG1 X-25 F${feed}\nG0 Z5\n`;
    const text = `${HEAD}${pass(10, 30)}${pass(y, 300)}M2\n`;
    const report = rasterReplay(text, planFor(20, 3), { ...steel, cell: 0.03 });
    // As in the slot, by hand, with one tooth in the wall at a time.
    const along = Array.from({ length: 601 }, (_, i) => {
      const t = (from + i / 10) * DEG;
      const ft = 2500 * 0.3 * Math.pow(0.01 * Math.sin(t), 0.74);
      return Math.abs(ft * Math.cos(t) - ft * Math.sin(t));
    });
    expect(Math.abs(report.forceX.value / Math.max(...along) - 1)).toBeLessThan(0.03);
  });

  it('sees a plunge, a ramp, a rapid in material and a spindle that stands', () => {
    const plan = planFor(20, 3);
    const coarse = { ...steel, cell: 0.1 };
    const see = (body: string) => rasterReplay(`${HEAD}${body}\nM2\n`, plan, coarse);
    expect(see('G0 X15 Y0 Z1\nG1 Z-0.5 F100').plunges).toEqual([5]);
    expect(see('G0 X15 Y0 Z1\nG1 X12 Z-0.5 F100').plunges).toEqual([5]);
    expect(see('G0 X25 Y0\nG0 Z-0.5\nG0 X20').rapidsInMaterial).toEqual([6]);
    expect(see('G0 X15 Y0 Z1\nG0 Z-0.5').rapidsInMaterial).toEqual([5]);
    expect(see('G0 X25 Y0\nG0 Z-0.5\nM5\nG1 X20 F100').standingSpindle).toEqual([7]);
    const fine = see('G0 X25 Y0\nG0 Z-0.5\nG1 X21 F100');
    expect([fine.plunges, fine.rapidsInMaterial, fine.standingSpindle]).toEqual([[], [], []]);
  });

  it('measures gouge, leftover and arc error to a micrometre', () => {
    const plan = planFor(4, 3);
    // Round the disc of radius 1 at 2.49 (0.01 too deep), then the same at 2.52 (0.02 left).
    const round = (path: number, end = path): string =>
      `${HEAD}G0 X${path} Y0\nG0 Z-2\nG2 X${-path} Y0 I${-path} J0 F100\nG2 X${end} Y0 I${path} J0\nM2\n`;
    expect(rasterReplay(round(2.49), plan, steel).gouge().value).toBeCloseTo(0.01, 6);
    expect(rasterReplay(round(2.52), plan, steel).leftoverMm()).toBeCloseTo(0.02, 6);
    expect(rasterReplay(round(2.5), plan, steel).leftoverMm()).toBeLessThan(1e-6);
    const bent = rasterReplay(round(2.5, 2.503), plan, steel);
    expect(bent.arcErrorMm).toEqual({ value: expect.closeTo(0.003, 9), line: 7 });
  });

  it('a level that repeats the one above it may be skipped without a difference in the stock', () => {
    const name = 'barrow-winch-9t-08b';
    const { files } = examplePlan(name);
    const plan = JSON.parse(files['plan.json'] as string) as PlanFile;
    const text = firstLevels(files[`${name}-teeth.nc`] as string, 2);
    const coarse = { ...steel, cell: 0.12 };
    const all = rasterReplay(text, plan, coarse);
    const one = rasterReplay(text, plan, { ...coarse, repeatsMeasured: 1 });
    expect(one.removedMm3).toBeCloseTo(all.removedMm3, 6);
    expect(one.engagementDeg).toEqual(all.engagementDeg);
    // Depths are rounded to the output step: 1 um of some 480.
    expect(one.forceX.value / all.forceX.value).toBeGreaterThan(0.99);
    expect(one.forceX.value / all.forceX.value).toBeLessThanOrEqual(1);
    expect(one.steps).toBeLessThan(all.steps);
  });
});

interface Example {
  readonly name: string;
  /** Rows of the materials table. */
  readonly material: readonly [string, string];
  /** Side of a cell: a 60th of the cutter's radius, less on the small cutter. mm */
  readonly cell: number;
}

const EXAMPLES: Example[] = [
  {
    name: 'barrow-winch-9t-08b',
    material: ['C45 / AISI 1045', 'normalized'],
    cell: LONG ? 0.025 : 0.04,
  },
];
/** Left to `npm run nightly`: five to ten seconds each. */
const MORE: Example[] = [
  { name: 'nursery-barrow', material: ['42CrMo4 / AISI 4140', 'annealed; cons'], cell: 0.025 },
  {
    name: 'hedge-trimmer-13t-measured',
    material: ['42CrMo4 / AISI 4140', 'annealed; cons'],
    cell: 0.01,
  },
  { name: 'potting-machine-15t-40', material: ['12L14', 'cold'], cell: 0.02 },
  { name: 'mist-pump-18t-06b', material: ['S235JR', 'hot rolled; classical'], cell: 0.0167 },
  { name: 'pot-line-20t-219', material: ['EN AW-7075', 'T6'], cell: 0.01 },
  { name: 'seed-drum-25t-35', material: ['CuZn39Pb3 / CW614N', 'half'], cell: 0.0167 },
  { name: 'barrow-axle-60t-415', material: ['S355JR', 'hot rolled; classical'], cell: 0.02 },
];
const ALL = LONG ? [...EXAMPLES, ...MORE] : EXAMPLES;

type PlanJson = PlanFile &
  PlanSummary & {
    readonly datum: { readonly checks: number } | null;
    readonly process: {
      readonly spindleRpm: number;
      readonly stepdownMm: number;
      readonly allowanceMm: number;
      readonly chipCapMm: number;
    };
  };

describe.each(ALL)('raster oracle on $name', ({ name, material, cell }) => {
  const job = exampleJob(name);
  const law = {
    ...materialRow(...material),
    runout: job.machine.spindle.runoutMm,
    wear: job.limits.wearFactor,
  };
  let plan: PlanJson;
  let report: RasterReport;
  /** Demand of the cut on each drive, as the project's own replay has it. */
  let replayed: Plan['replay']['peakDriveN'];
  beforeAll(() => {
    const { files, planned } = examplePlan(name);
    replayed = planned.replay.peakDriveN;
    plan = JSON.parse(files['plan.json'] as string) as PlanJson;
    const text = files[`${name}-teeth.nc`] as string;
    report = rasterReplay(text, plan, { ...law, cell, repeatsMeasured: 2 });
  });

  it('engagement within the limit, on the raster', () => {
    expect(report.steps).toBeGreaterThan(10_000);
    expect(report.engagementDeg.value).toBeLessThanOrEqual(plan.limits.maxEngagementDeg + 2);
    // The planner uses its limit, and the replay of the project saw the same.
    expect(report.engagementDeg.value).toBeGreaterThan(plan.limits.maxEngagementDeg - 2);
    expect(Math.abs(report.engagementDeg.value - plan.predicted.peakEngagementDeg)).toBeLessThan(2);
  });

  it('no tooth pushes harder than the cutter bears, runout and wear included', () => {
    // 2 % where a short move's heading was rounded.
    expect(report.resultant.value).toBeLessThanOrEqual(1.02 * plan.limits.peakForceN);
    expect(report.forceX.value).toBeGreaterThan(0.5 * plan.predicted.peakForceN.x);
    expect(report.forceY.value).toBeGreaterThan(0.5 * plan.predicted.peakForceN.y);
  });

  it('each drive is asked for more than mean force, friction and acceleration, and bears it', () => {
    const { driveDemandN, driveThrustN } = plan.predicted;
    const { frictionN, movingMassKg, accelerationMmPerS2 } = job.machine;
    for (const axis of ['x', 'y'] as const) {
      const mean = axis === 'x' ? report.meanX.value : report.meanY.value;
      expect(mean).toBeGreaterThan(0);
      // Rotors take more, swings and overshoot of the drive as well.
      const least = frictionN[axis] + (movingMassKg[axis] * accelerationMmPerS2[axis]) / 1000;
      expect(driveDemandN[axis]).toBeGreaterThan(mean + least);
      expect(driveDemandN[axis]).toBeLessThanOrEqual(driveThrustN[axis]);
      expect(replayed[axis].value).toBeGreaterThan(mean);
    }
  });

  it('no cut is deeper than the stepdown', () => {
    // The text rounds depths to 0.001 mm.
    expect(report.axialMm.value).toBeLessThanOrEqual(plan.limits.maxStepdownMm + 1e-3);
    expect(report.axialMm.value).toBeGreaterThan(0.5 * plan.process.stepdownMm);
  });

  it('gouge, leftover and arcs, by exact distances', () => {
    const gougeMm = report.gouge().value;
    const leftoverMm = report.leftoverMm();
    expect(gougeMm).toBeLessThanOrEqual(0.005);
    expect(leftoverMm).toBeLessThanOrEqual(0.01);
    expect(report.arcErrorMm.value).toBeLessThanOrEqual(0.002);
    // Two ways to the same distances; both look at points, this one 0.02 mm apart.
    expect(Math.abs(gougeMm - plan.predicted.gougeMm)).toBeLessThan(2e-4);
    expect(Math.abs(leftoverMm - plan.predicted.leftoverMm)).toBeLessThan(2e-4);
  });

  it('no plunge, no rapid in material, no cut with the spindle standing, nothing left to fly off', () => {
    expect(report.plunges).toEqual([]);
    expect(report.rapidsInMaterial).toEqual([]);
    expect(report.standingSpindle).toEqual([]);
    expect(report.islandsMm3()).toBe(0);
    // Is the way up free; the air pass; roughed. Indicators in place and read: first, and at every check.
    const { datum } = plan;
    expect(report.stops).toBe(3 + (datum === null ? 0 : 2 * (1 + datum.checks)));
    expect(report.ended).toBe(true);
  });

  it('takes away what stands outside the outline', () => {
    const wanted =
      ((Math.PI / 4) * plan.blank.diameterMm ** 2 - outlineArea(plan)) * plan.sprocket.thicknessMm;
    expect(report.removedMm3 / wanted).toBeGreaterThan(0.99);
    expect(report.removedMm3 / wanted).toBeLessThan(1.01);
  });

  it('no quicker than the bound, which an own reckoning puts at the same; links within 40 %', () => {
    const { predicted, process: p } = plan;
    expect(predicted.roughCutMin).toBeGreaterThan(predicted.roughBoundMin);
    expect(predicted.linkMin).toBeLessThanOrEqual(
      0.4 * (predicted.roughCutMin + predicted.finishMin),
    );
    const volume =
      ((Math.PI / 4) * plan.blank.diameterMm ** 2 -
        grownArea(outlineArea(plan), outlineLength(plan), p.allowanceMm)) *
      plan.sprocket.thicknessMm;
    const rate = ownBestRate(
      { ...law, flutes: plan.cutter.flutes },
      {
        cutterRadiusMm: plan.cutter.diameterMm / 2,
        stepdownMm: p.stepdownMm,
        rpm: p.spindleRpm,
        maxEngagementDeg: plan.limits.maxEngagementDeg,
        allowedN: cutterBearsN(job, p.stepdownMm),
        chipCapMm: p.chipCapMm,
        maxFeed: job.machine.maxFeedMmPerMin,
        powerW: powerAt(job, p.spindleRpm),
      },
    );
    expect(volume / rate / predicted.roughBoundMin).toBeGreaterThan(0.97);
    expect(volume / rate / predicted.roughBoundMin).toBeLessThan(1.03);
  });
});

describe('a blank that sits off centre by all of the centring error', () => {
  const name = 'barrow-winch-9t-08b';
  it.each(LONG ? [0, 130, 250] : [130])('towards %i deg', (deg) => {
    const { files } = examplePlan(name);
    const plan = JSON.parse(files['plan.json'] as string) as PlanJson;
    const error = exampleJob(name).blank.centringErrorMm;
    const report = rasterReplay(firstLevels(files[`${name}-teeth.nc`] as string, 1), plan, {
      ...{ ...steel, cell: 0.04 },
      blankAt: [error * Math.cos(deg * DEG), error * Math.sin(deg * DEG)],
    });
    expect(report.steps).toBeGreaterThan(5000);
    expect(report.engagementDeg.value).toBeLessThanOrEqual(plan.limits.maxEngagementDeg + 2);
    expect(report.rapidsInMaterial).toEqual([]);
    expect(report.plunges).toEqual([]);
  });
});

/**
 * Peak at mid depth that bends the cutter to 0.3 of its rupture strength (Groover, ch. 23: carbide 2400,
 * high-speed steel 4100 N/mm2), as a bar of 0.8 D at the end of the flutes or as its shank at the
 * collet, whichever comes first: stress = 32 F L / (pi d^3). N
 */
function cutterBearsN({ cutter }: Job, depthMm: number): number {
  const strength = 0.3 * (cutter.material === 'carbide' ? 2400 : 4100);
  const bears = (d: number, fromTipMm: number): number =>
    (strength * Math.PI * d ** 3) / 32 / (fromTipMm - depthMm / 2);
  return Math.min(
    bears(0.8 * cutter.diameterMm, cutter.fluteLengthMm),
    bears(cutter.shankDiameterMm, cutter.stickOutMm),
  );
}

/** A trim router's torque is about the same at all speeds, so its power goes with the speed. W */
function powerAt(job: Job, rpm: number): number {
  const { powerW, efficiency, maxRpm } = job.machine.spindle;
  return powerW * efficiency * (rpm / maxRpm);
}

/** Area by Green's theorem: chords and the caps on their arcs. mm2 */
function outlineArea(plan: PlanFile): number {
  let area = 0;
  for (const edge of plan.sprocket.outline) {
    area += (edge.a[0] * edge.b[1] - edge.b[0] * edge.a[1]) / 2;
    if (edge.kind === 'arc') {
      const radius = Math.hypot(edge.a[0] - edge.c![0], edge.a[1] - edge.c![1]);
      const sweep = edgeSweep(edge);
      area += (radius * radius * (sweep - Math.sin(sweep))) / 2;
    }
  }
  return area;
}

function outlineLength(plan: PlanFile): number {
  let length = 0;
  for (const edge of plan.sprocket.outline) {
    length +=
      edge.kind === 'arc'
        ? Math.hypot(edge.a[0] - edge.c![0], edge.a[1] - edge.c![1]) * Math.abs(edgeSweep(edge))
        : Math.hypot(edge.b[0] - edge.a[0], edge.b[1] - edge.a[1]);
  }
  return length;
}

/** Every example: ratios to the bound and to contour-parallel passes, blocks, stages of a plan. */
import type { Front } from '../../src/cam/gap/front-shape.js';
import { GapEngagement } from '../../src/cam/gap/engagement.js';
import { layPath } from '../../src/cam/sequence.js';
import { replay } from '../../src/cam/stock/replay.js';
import { toEnd } from '../../src/cam/stock/replay/budget.js';
import { pieceLengthMm } from '../../src/cam/stock/path-piece.js';
import { planResult, planSteps } from '../../src/plan/plan.js';
import { wheelOf } from '../../src/profile/wheel/sprocket.js';
import { blankStart } from '../../src/plan/start.js';
import { programFiles } from '../../src/post/file-names.js';
import type { Plan } from '../../src/post/plan.js';
import { readProgram } from '../../src/post/rs274/reader.js';
import { writeProgram } from '../../src/post/rs274/writer.js';
import { exampleJob } from '../cam/jobs.js';
import { planLength, readMini } from '../cam/oracle/mini-rs274.js';
import { type PlanFile, rasterReplay } from '../cam/raster-replay.js';
import { piecesOf } from '../cam/walk.js';
import { type Row, timed } from './measure.js';

export interface ExampleResult {
  readonly ratios: Row;
  readonly between: Row;
  readonly stages: Row;
  readonly raster: Row;
}

export function benchExample(name: string): ExampleResult {
  const job = exampleJob(name);
  const plan = () => planResult(toEnd(planSteps(job)));
  plan();
  const whole = timed(plan);
  const { planned, files } = whole.value;
  return {
    ratios: ratios(name, planned),
    between: betweenBound(name, planned),
    stages: stages(name, planned, whole.ms),
    raster: raster(name, planned, files as Record<string, string>),
  };
}

function ratios(name: string, planned: Plan): Row {
  const { cam, summary } = planned;
  const { predicted } = summary;
  const levels = cam.process.levelsMm.length;
  const ours = (60 * (predicted.roughCutMin + cam.times.roughLinkMin)) / levels;
  const rough = roughingBlocks(planned.program.text);
  return {
    example: name.split('-').slice(0, 2).join('-'),
    levels,
    'rough/bound': predicted.roughCutMin / predicted.roughBoundMin,
    'links/cut': predicted.linkMin / (predicted.roughCutMin + predicted.finishMin),
    'blocks/mm': rough.blocks / rough.lengthMm,
    'level s': ours,
  };
}

/**
 * What lies between the bound and the roughing time, factor by factor; their product is the ratio.
 * volume: the blank as large as its centring error may make it, and the overrun below the teeth.
 * passes: less than the greatest engagement on the way in and out of short passes, each place at
 * the highest feed for what is met there. feeds: one feed for a stretch, and what acceleration and
 * corners make of it.
 */
function betweenBound(name: string, { cam, job, profile }: Plan): Row {
  const { process, rough, blank } = cam;
  const r = job.cutter.diameterMm / 2;
  const nominal = cam.roughVolumeMm3 / profile.thicknessMm;
  const radius = blank.diameterMm / 2;
  const area = nominal + Math.PI * ((radius + blank.centringErrorMm) ** 2 - radius ** 2);
  const levels = process.levelsMm.length;
  const volume = (area * process.stepdownMm * levels) / cam.roughVolumeMm3;
  let round = 0;
  for (const [move, piece] of piecesOf(rough.start, rough.moves)) {
    // Ring and tips are cut at one engagement.
    if (move.role === 'cut' && move.kind === 'arc' && Math.hypot(...move.c) < 1e-6) {
      round += (60 * pieceLengthMm(piece)) / move.feedMmPerMin;
    }
  }
  const ideal = round + job.sprocket.teeth * idealGapS(cam, r);
  const boundS = (60 * cam.roughBoundMin * volume) / levels;
  return {
    example: name.split('-').slice(0, 2).join('-'),
    volume,
    passes: ideal / boundS,
    feeds: (60 * cam.times.roughCutMin) / levels / ideal,
    product: cam.times.roughCutMin / cam.roughBoundMin,
  };
}

/** Seconds in one gap where every place of a pass has the highest feed for its engagement. */
function idealGapS({ rough, process }: Plan['cam'], cutterRadiusMm: number): number {
  const { gap } = rough;
  const measure = new GapEngagement(cutterRadiusMm);
  const fronts: Front[] = [gap.ring, ...gap.passes.map((pass) => pass.front)];
  let seconds = 0;
  gap.passes.forEach((pass, i) => {
    const length = pass.highMm - pass.lowMm;
    const n = 400;
    for (let k = 0; k < n; k++) {
      const at = pass.highMm - ((k + 0.5) * length) / n;
      const { aheadRad } = measure.at(pass.front, at, fronts.slice(0, i + 1));
      seconds += (60 * length) / n / process.feed(aheadRad);
    }
  });
  return seconds;
}

/** Moves at depth between the first roughing heading and the first finishing heading. */
function roughingBlocks(text: string): { blocks: number; lengthMm: number } {
  const lines = text.split('\n');
  const from = lines.findIndex((line) => line.startsWith('(ROUGH LEVEL')) + 1;
  const to = lines.findIndex((line) => line.startsWith('(FINISH LEVEL')) + 1;
  let blocks = 0;
  let lengthMm = 0;
  for (const move of readMini(text).moves) {
    if (move.line < from || move.line > to || move.to[2] >= 0) continue;
    blocks++;
    lengthMm += planLength(move);
  }
  return { blocks, lengthMm };
}

function stages(name: string, planned: Plan, wholeMs: number): Row {
  const { job } = planned;
  const outline = timed(() => wheelOf(job));
  const cam = timed(() => layPath(job, outline.value));
  const write = timed(() =>
    writeProgram(cam.value.toolpath, job.controller, {
      title: job.title,
      jobDigest: planned.jobDigest,
      homed: false,
      notes: [],
    }),
  );
  const read = timed(() => readProgram(write.value.text, { controller: job.controller }));
  const setup = blankStart(job, outline.value, cam.value.blank, cam.value.field).setup;
  const replayed = timed(() => replay(read.value.ops, setup));
  const files = timed(() => planResult(planned));
  const sum = outline.ms + cam.ms + write.ms + read.ms + replayed.ms + files.ms;
  const share = (ms: number): string => `${((100 * ms) / sum).toFixed(0)} %`;
  return {
    example: name.split('-').slice(0, 2).join('-'),
    teeth: job.sprocket.teeth,
    'whole ms': wholeMs,
    outline: share(outline.ms),
    cam: share(cam.ms),
    write: share(write.ms),
    read: share(read.ms),
    replay: share(replayed.ms),
    files: share(files.ms),
    'cam ms': cam.ms,
    'replay ms': replayed.ms,
  };
}

function raster(name: string, planned: Plan, files: Record<string, string>): Row {
  const { job, summary } = planned;
  const plan = JSON.parse(files['plan.json']!) as PlanFile;
  const cell = Math.min(0.02, job.cutter.diameterMm / 150);
  const { ms, value } = timed(() =>
    rasterReplay(files[programFiles(job).teeth]!, plan, {
      kc11: job.material.kc11NPerMm2,
      mc: job.material.mc,
      runout: job.machine.spindle.runoutMm,
      wear: job.limits.wearFactor,
      cell,
      repeatsMeasured: 2,
    }),
  );
  const { predicted, limits } = summary;
  return {
    example: name.split('-').slice(0, 2).join('-'),
    'cell mm': cell,
    'limit deg': limits.maxEngagementDeg,
    'raster deg': value.engagementDeg.value,
    'replay deg': predicted.peakEngagementDeg,
    'raster X N': value.forceX.value,
    'replay X N': predicted.peakForceN.x,
    'raster tooth N': value.resultant.value,
    'tooth limit N': limits.peakForceN,
    'raster mean X N': value.meanX.value,
    'drive X N': predicted.driveDemandN.x,
    'gouge um': 1000 * value.gouge().value,
    'leftover um': 1000 * value.leftoverMm(),
    'islands mm3': value.islandsMm3(),
    'raster ms': ms,
  };
}

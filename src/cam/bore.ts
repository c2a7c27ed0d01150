/**
 * Round bore cut by the router, a program of its own: from a drilled pilot hole outwards, counter-
 * clockwise (climb inside a hole), level by level, then finished on the exact circle.
 *
 * Roughing is a spiral of half circles whose ends all lie on the X axis, so that every joint is
 * tangent; from turn to turn it grows by the step that the engagement limit allows inside an arc
 * of that radius. There are no links: the cutter goes down in the hole, and out again, in air.
 */
import { PlanRefused } from '../job/types.js';
import type { Job } from '../job/types.js';
import { engagementConcaveRad, feedTable, stepForEngagementConcaveMm } from '../machines/load.js';
import type { Pt } from '../profile/edges.js';
import { type FinishPlan, planFinish } from './finish.js';
import { Pen, type PlanarMove, atDepth } from './planar.js';
import { type RoughProcess, chooseRoughProcess, conditionsFor } from './process.js';
import { motionTimes } from './timing.js';
import type { Move, Toolpath } from './toolpath.js';

/** Air round the cutter in the pilot hole. mm: what a drilled hole may be off centre, and a little. */
const PILOT_AIR_MM = 0.25;

export interface BorePlan {
  readonly toolpath: Toolpath;
  readonly process: RoughProcess;
  readonly finish: FinishPlan;
  readonly depthMm: number;
  readonly totalMin: number;
  /** Passes of the spiral in one level, in turns. */
  readonly turns: number;
}

/**
 * @param thicknessMm  thickness of the teeth; a hub below adds its length
 * @throws PlanRefused 'bore-pilot', 'bore-depth', and what the process choice refuses
 */
export function planBore(job: Job, thicknessMm: number, clearanceZMm: number): BorePlan {
  const r = job.cutter.diameterMm / 2;
  const radius = job.bore.diameterMm / 2;
  const depthMm = thicknessMm + (job.hub?.lengthMm ?? 0);
  const pilot = pilotRadius(job, r);
  if (job.cutter.stickOutMm < depthMm + 1) {
    throw new PlanRefused(
      'bore-depth',
      `a bore ${depthMm.toFixed(1)} mm deep needs a stick-out of at least ${(depthMm + 1).toFixed(1)} mm; this cutter has ${job.cutter.stickOutMm} mm: use a longer cutter, or make the bore on the lathe`,
      job.cutter.stickOutMm,
      depthMm + 1,
    );
  }
  const process = chooseRoughProcess(
    { ...job, limits: { ...job.limits, roughing: 'climb' } },
    {
      seatRadiusMm: radius,
      thicknessMm: depthMm,
      areaMm2: Math.PI * (radius * radius - pilot * pilot),
      depthMm: radius - pilot,
      teeth: 1,
    },
  );
  const finish = planFinish(
    job,
    { seatRadiusMm: radius, thicknessMm: depthMm },
    process,
    2 * Math.PI * radius,
  );
  const rough = spiral(pilot, radius - process.allowanceMm, r, process);
  const moves = assemble(job, process, finish, rough.moves, radius, clearanceZMm);
  const start = [0, 0, clearanceZMm] as const;
  return {
    toolpath: { start, clearanceZMm, moves },
    process,
    finish,
    depthMm,
    totalMin: motionTimes(start, moves, job.machine).totalS / 60,
    turns: rough.turns,
  };
}

function pilotRadius(job: Job, r: number): number {
  const pilot = job.bore.pilotHoleMm;
  const least = 2 * (r + PILOT_AIR_MM);
  if (pilot === null || pilot < least) {
    throw new PlanRefused(
      'bore-pilot',
      `the router starts a bore from a drilled hole, so that it never plunges into metal; bore.pilot-hole must be at least ${least.toFixed(1)} mm for this cutter` +
        (pilot === null ? '' : `, not ${pilot} mm`),
      pilot,
      least,
    );
  }
  if (pilot > job.bore.diameterMm - 0.2) {
    throw new PlanRefused(
      'bore-pilot',
      `a pilot hole of ${pilot} mm leaves nothing to cut in a bore of ${job.bore.diameterMm} mm`,
      pilot,
      job.bore.diameterMm - 0.2,
    );
  }
  return pilot / 2;
}

/** Planar moves from the axis outwards to a wall and back to the axis. */
function spiral(
  pilot: number,
  wall: number,
  r: number,
  process: RoughProcess,
): { moves: readonly PlanarMove[]; turns: number } {
  const link = process.linkFeedMmPerMin;
  const phi = process.planEngagementRad;
  const pen = new Pen([0, 0]);
  // Radii of the path where it crosses the X axis, half a turn apart. Before the first turn the
  // wall is that of the pilot hole.
  const radii = [pilot - r - PILOT_AIR_MM / 2];
  const wallBefore = (i: number): number => radii[i - 2] ?? pilot - r;
  /** Most that the half turn ending at radius i takes off: at its start or at its end. */
  const taken = (i: number): number =>
    Math.max(radii[i]! - wallBefore(i), radii[i - 1]! - wallBefore(i - 1), 0);
  const feedFor = (depth: number, wallRadius: number): number =>
    process.feed(Math.max(engagementConcaveRad(depth, r, wallRadius), 0.3 * phi));
  pen.line([radii[0]!, 0], link, 'link');
  const last = wall - r;
  for (let i = 1; radii[i - 1]! < last - 1e-9 && i < 4000; i++) {
    const rho = radii[i - 1]!;
    const step = stepAt(phi, r, Math.max(rho, pilot - r) + r);
    radii.push(Math.min(last, rho + 0.49 * step));
    const side = i % 2 === 1 ? 1 : -1;
    const next = radii[i]!;
    const c: Pt = [(side * (rho - next)) / 2, 0];
    pen.arc([-side * next, 0], c, true, feedFor(taken(i), next + r), 'cut');
  }
  // Once round on the last radius to make it a circle.
  const n = radii.length;
  radii.push(last);
  const feed = feedFor(Math.max(taken(n), taken(n - 1)) + 0.01, wall);
  const at = pen.at;
  pen.arc([-at[0], 0], [0, 0], true, feed, 'cut');
  pen.arc([at[0], 0], [0, 0], true, feed, 'cut');
  pen.line([0, 0], link, 'link');
  return { moves: pen.moves, turns: (n - 1) / 2 };
}

/** Step from a wall of a given radius outwards that meets the engagement on the new wall. mm */
function stepAt(phi: number, r: number, wallRadius: number): number {
  let step = 0;
  for (let i = 0; i < 7; i++) step = stepForEngagementConcaveMm(phi, r, wallRadius + step);
  return step;
}

/** One finishing pass: out of the middle along a half circle that touches the wall's circle, once
 *  round, a little farther, and back to the middle along another. */
function circlePass(rho: number, feed: number, link: number): PlanarMove[] {
  const pen = new Pen([0, 0]);
  pen.arc([rho, 0], [rho / 2, 0], true, feed, 'lead');
  pen.arc([-rho, 0], [0, 0], true, feed, 'finish');
  pen.arc([rho, 0], [0, 0], true, feed, 'finish');
  const over = 0.3;
  const end: Pt = [rho * Math.cos(over), rho * Math.sin(over)];
  pen.arc(end, [0, 0], true, feed, 'finish');
  pen.arc([0, 0], [end[0] / 2, end[1] / 2], true, link, 'lead');
  return [...pen.moves];
}

function assemble(
  job: Job,
  process: RoughProcess,
  finish: FinishPlan,
  rough: readonly PlanarMove[],
  radius: number,
  clear: number,
): Move[] {
  const r = job.cutter.diameterMm / 2;
  const down = (zMm: number): Move => ({
    kind: 'line',
    to: [0, 0, zMm],
    feedMmPerMin: process.plungeFeedMmPerMin,
    role: 'link',
  });
  const spindle: Move = {
    kind: 'spindle',
    rpm: process.spindleRpm,
    dwellS: job.machine.spindle.spinUpS,
  };
  const feed = feedTable(conditionsFor(job, process.spindleRpm, finish.stepdownMm), finish.limits);
  const moves: Move[] = [
    { kind: 'note', text: 'BORE FROM THE PILOT HOLE' },
    spindle,
    { kind: 'rapid', to: [0, 0, clear] },
    { kind: 'line', to: [0, 0, 1], feedMmPerMin: 2 * process.plungeFeedMmPerMin, role: 'air' },
    { kind: 'rapid', to: [0, 0, clear] },
    {
      kind: 'stop',
      message: 'CUTTER OVER THE PILOT HOLE, CENTRED, AND AIR UNDER THE WORK?',
    },
    spindle,
    { kind: 'rapid', to: [0, 0, 1] },
  ];
  process.levelsMm.forEach((zMm, i) => {
    moves.push({
      kind: 'note',
      text: `BORE ROUGH LEVEL ${i + 1} OF ${process.levelsMm.length}: Z ${zMm.toFixed(3)}`,
    });
    moves.push(down(zMm), ...atDepth(rough, zMm));
  });
  moves.push({ kind: 'rapid', to: [0, 0, clear] });
  moves.push({ kind: 'stop', message: 'BORE ROUGHED: CLEAR CHIPS BEFORE FINISHING' });
  moves.push(spindle, { kind: 'rapid', to: [0, 0, 1] });
  finish.levelsMm.forEach((zMm, i) => {
    finish.passes.forEach((pass, k) => {
      moves.push({
        kind: 'note',
        text: `BORE FINISH LEVEL ${i + 1} OF ${finish.levelsMm.length} PASS ${k + 1}: Z ${zMm.toFixed(3)}`,
      });
      if (k === 0) moves.push(down(zMm));
      const wall = radius - pass.offsetMm;
      const thickness = pass.stockBeforeMm - pass.offsetMm;
      // On the way in the half circle meets the stock at a lean: plan for twice the depth.
      const met = engagementConcaveRad(Math.min(2 * thickness, 0.9 * wall), r, wall);
      moves.push(...atDepth(circlePass(wall - r, feed(met), process.linkFeedMmPerMin), zMm));
    });
  });
  moves.push({ kind: 'rapid', to: [0, 0, clear] });
  return moves;
}

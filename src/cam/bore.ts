/**
 * Round bore cut by the router, a program of its own: from a drilled pilot hole outwards, counter-
 * clockwise (climb inside a hole), level by level, then finished on the exact circle.
 *
 * Roughing is a spiral of half circles whose ends all lie on the X axis, so that every joint is
 * tangent; from turn to turn it grows by the step that the engagement limit allows on what the
 * earlier half circles left. There are no links: the cutter goes down in the hole, and out again, in air.
 */

import { atan2, cos, sin } from '../maths/elementary.js';
import { levelHead } from '../model/section.js';
import { Refusal } from '../model/refusal.js';
import type { Job } from '../model/job.js';
import { engagementConcaveRad, stepForEngagementConcaveMm } from '../machines/load/engagement.js';
import { feedTable } from '../machines/load/feed.js';
import { arc, distanceToEdge, pointAt, polar, tangentAt } from '../profile/geometry/edge.js';
import type { ArcEdge, Pt } from '../model/edges.js';
import { TURN_RAD, radFromDeg, norm2 } from '../maths/angle.js';
import { S_PER_MIN } from '../maths/motion.js';
import { bisect } from '../maths/solve.js';
import { type FinishPlan, planFinish } from './finish.js';
import { checkFlutes } from './flutes.js';
import { type Ground, groundOf } from './ground.js';
import { Pen, type PlanarMove } from './planar.js';
import { APPROACH_MM, Steps } from './steps.js';
import { conditionsFor } from './choose.js';
import { OVERRUN_MM, type Process, chooseProcess } from './process.js';
import { motionTimes } from './timing.js';
import type { Toolpath } from '../model/toolpath.js';

/** Air round the cutter in the pilot hole. mm: what a drilled hole may be off centre, and a little. */
const PILOT_AIR_MM = 0.25;

export interface BorePlan {
  readonly toolpath: Toolpath;
  readonly process: Process;
  readonly finish: FinishPlan;
  readonly depthMm: number;
  readonly times: { readonly totalMin: number };
  /** Passes of the spiral in one level, in turns. */
  readonly turns: number;
}

/** How deep a bore goes: through a blank of the teeth's thickness, or of its own, and the hub below. mm */
export function boreDepthMm({ blank, hub }: Job, thicknessMm: number): number {
  return (blank.thicknessMm ?? thicknessMm) + (hub?.lengthMm ?? 0);
}

/**
 * @param thicknessMm    thickness of the teeth
 * @param blankRadiusMm  radius of the blank at its largest
 * @param edgeScale      what a replay found of the edge's use over what was reckoned
 * @throws Refusal 'bore-pilot', 'bore-depth', and what the process choice refuses
 */
export function planBore(
  job: Job,
  thicknessMm: number,
  blankRadiusMm: number,
  edgeScale = 1,
): BorePlan {
  const r = job.cutter.diameterMm / 2;
  const radius = job.bore.diameterMm / 2;
  const depthMm = boreDepthMm(job, thicknessMm);
  const pilot = pilotRadius(job, r);
  if (job.cutter.stickOutMm < depthMm + 1) {
    throw new Refusal(
      'bore-depth',
      `a bore ${depthMm.toFixed(1)} mm deep needs a stick-out of at least ${(depthMm + 1).toFixed(1)} mm; this cutter has ${job.cutter.stickOutMm} mm: use a longer cutter, or make the bore on the lathe`,
      job.cutter.stickOutMm,
      depthMm + 1,
    );
  }
  checkFlutes(job.cutter, depthMm);
  const process = chooseProcess(
    { ...job, limits: { ...job.limits, roughing: 'climb' } },
    {
      seatRadiusMm: radius,
      depthMm: depthMm + OVERRUN_MM,
      areaMm2: Math.PI * (radius * radius - pilot * pilot),
      gapDepthMm: radius - pilot,
      perimeterMm: TURN_RAD * radius,
      teeth: 1,
    },
    edgeScale,
  );
  const finish = planFinish(
    job,
    { seatRadiusMm: radius, thicknessMm: depthMm },
    process,
    TURN_RAD * radius,
  );
  const rough = spiral(pilot, radius - process.allowanceMm, r, process);
  const ground = groundOf(job, depthMm, blankRadiusMm + r);
  const toolpath = assemble(job, process, finish, rough.moves, radius, ground);
  return {
    toolpath,
    process,
    finish,
    depthMm,
    times: {
      totalMin: motionTimes(toolpath.start, toolpath.moves, job.machine).totalS / S_PER_MIN,
    },
    turns: rough.turns,
  };
}

function pilotRadius(job: Job, r: number): number {
  const pilot = job.bore.pilotHoleMm;
  const least = 2 * (r + PILOT_AIR_MM);
  if (pilot === null || pilot < least) {
    throw new Refusal(
      'bore-pilot',
      `the router starts a bore from a drilled hole, so that it never plunges into metal; bore.pilot-hole must be at least ${least.toFixed(1)} mm for this cutter` +
        (pilot === null ? '' : `, not ${pilot} mm`),
      pilot,
      least,
    );
  }
  if (pilot > job.bore.diameterMm - 0.2) {
    throw new Refusal(
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
  process: Process,
): { moves: readonly PlanarMove[]; turns: number } {
  const link = process.linkFeedMmPerMin;
  const phi = process.planEngagementRad;
  const last = wall - r;
  // Radii where the path crosses the X axis, half a turn apart. Steps that keep the limit on a round
  // wall exceed it by a few degrees where the wall is that of an earlier half circle: all of them
  // are made shorter by the share that puts that right.
  const radiiFor = (share: number): number[] => {
    const radii = [pilot - r - PILOT_AIR_MM / 2];
    while (radii.at(-1)! < last - REACHED_MM && radii.length < MOST_HALF_TURNS) {
      const rho = radii.at(-1)!;
      const step = stepAt(phi, r, Math.max(rho, pilot - r) + r);
      radii.push(Math.min(last, rho + HALF_STEP * share * step));
    }
    // Once round on the last radius to make it a circle.
    return [...radii, last, last];
  };
  const cutFor = (share: number) => {
    const radii = radiiFor(share);
    const halves = radii.slice(1).map((to, i) => halfTurn(i, radii[i]!, to));
    return { halves, peaksRad: halves.map(boreCutter(pilot, r)) };
  };
  let found = cutFor(1);
  if (Math.max(...found.peaksRad) > phi) {
    const [share] = bisect(
      (tried) => Math.max(...cutFor(tried).peaksRad) <= phi,
      LEAST_SHARE,
      1,
      SHARE_HALVINGS,
    );
    found = cutFor(share);
  }
  const { halves, peaksRad } = found;
  const pen = new Pen([0, 0]);
  pen.line(halves[0]!.a, link, 'link');
  halves.forEach((half, i) => {
    const met = Math.max(peaksRad[i]! + MARGIN_RAD, 0.3 * phi);
    pen.arc(half.b, half.c, true, process.feed(met), 'cut');
  });
  pen.line([0, 0], link, 'link');
  return { moves: pen.moves, turns: halves.length / 2 - 1 };
}

/** A half turn takes a little less than half of the step that a whole turn may. */
const HALF_STEP = 0.49;
/** The wall is reached this close to it. mm */
const REACHED_MM = 1e-9;
/** Bound on a spiral's length. */
const MOST_HALF_TURNS = 4000;
/** Steps are made no shorter than this share, and it is found to half a hundredth: 0.7 x 2^-7. */
const LEAST_SHARE = 0.3;
const SHARE_HALVINGS = 7;
/** Added to an engagement before a feed is read off: covers what lies between stations. rad */
const MARGIN_RAD = radFromDeg(0.5);

/** Half circle number `index` from one crossing of the X axis to the other, counter-clockwise. */
function halfTurn(index: number, from: number, to: number): ArcEdge {
  const side = index % 2 === 0 ? 1 : -1;
  return arc([side * from, 0], [-side * to, 0], [(side * (from - to)) / 2, 0], true);
}

/**
 * Cuts half circles out of a hole's surroundings one after the other, and says of each the greatest
 * rim that it met in material. rad
 */
function boreCutter(pilotMm: number, r: number): (half: ArcEdge) => number {
  /** Newest first. */
  const done: ArcEdge[] = [];
  const standsAt = (x: number, y: number): boolean =>
    norm2(x, y) > pilotMm && done.every((half) => distanceToEdge(half, x, y) > r + TOUCH_MM);
  /** The wall is on the right hand: from there forwards, for what is behind has just been cut. */
  const engagedRad = ([x, y]: Pt, heading: Pt): number => {
    const wall = atan2(-heading[0], heading[1]);
    const step = (Math.PI - WALL_RAD) / RIM_SAMPLES;
    const at = (k: number): number => wall + WALL_RAD + k * step;
    const stands = (a: number): boolean => standsAt(x + r * cos(a), y + r * sin(a));
    let total = 0;
    let before = stands(at(0));
    for (let k = 1; k <= RIM_SAMPLES; k++) {
      const now = stands(at(k));
      if (now && before) total += step;
      else if (now !== before) {
        const [low, high] = bisect((a) => stands(a) === before, at(k - 1), at(k), RIM_HALVINGS);
        total += before ? low - at(k - 1) : at(k) - high;
      }
      before = now;
    }
    return total;
  };
  return (half) => {
    let peak = 0;
    for (let i = 0; i <= STATIONS; i++) {
      const t = i / STATIONS;
      peak = Math.max(peak, engagedRad(pointAt(half, t), tangentAt(half, t)));
    }
    done.unshift(half);
    done.length = Math.min(done.length, HALVES_LOOKED_AT);
    return peak;
  };
}

const STATIONS = 24;
/** The rim this close to the new wall is on it. rad */
const WALL_RAD = 1e-3;
/** Places of the rim that are looked at, from the wall forwards: 3 degrees, halved so often at an
 *  edge of the stock, are 3 seconds of arc. */
const RIM_SAMPLES = 60;
const RIM_HALVINGS = 12;
/** Half circles that still bound the stock which the next one meets. */
const HALVES_LOOKED_AT = 5;
/** Nearer than this to what is swept is swept. mm */
const TOUCH_MM = 1e-4;

/** Rounds of the fixed point below: each settles a digit or more. */
const STEP_ROUNDS = 7;

/** Step from a wall of a given radius outwards that meets the engagement on the new wall. mm */
function stepAt(phi: number, r: number, wallRadius: number): number {
  let step = 0;
  for (let i = 0; i < STEP_ROUNDS; i++)
    step = stepForEngagementConcaveMm(phi, r, wallRadius + step);
  return step;
}

/** Air between the cutter and the stock where a finishing pass begins. mm */
const LEAD_AIR_MM = 0.1;
/** A smaller circle on the way there is left out. mm */
const LEAST_CIRCLE_MM = 0.02;
/** How far a pass goes on over its start. rad */
const OVERLAP_RAD = 0.3;

/**
 * One finishing pass: out of the middle in air, in one turn that grows by the stock to the wall's
 * circle, once round, a little farther, and back to the middle. Going straight up to the wall would
 * meet the stock at a lean, with twice the rim.
 */
function circlePass(rho: number, thickness: number, feed: number, link: number): PlanarMove[] {
  const pen = new Pen([0, 0]);
  const inner = Math.max(0, rho - thickness - LEAD_AIR_MM);
  if (inner > LEAST_CIRCLE_MM) pen.arc([inner, 0], [inner / 2, 0], true, link, 'lead');
  const from = inner > LEAST_CIRCLE_MM ? inner : 0;
  const middle = (from + rho) / 2;
  for (const half of [halfTurn(0, from, middle), halfTurn(1, middle, rho)]) {
    pen.arc(half.b, half.c, true, feed, 'finish');
  }
  pen.arc([-rho, 0], [0, 0], true, feed, 'finish');
  pen.arc([rho, 0], [0, 0], true, feed, 'finish');
  const end = polar(rho, OVERLAP_RAD);
  pen.arc(end, [0, 0], true, feed, 'finish');
  pen.arc([0, 0], [end[0] / 2, end[1] / 2], true, link, 'lead');
  return [...pen.moves];
}

/** The bore's axis, where every level begins and ends. */
const AXIS: Pt = [0, 0];

function assemble(
  job: Job,
  process: Process,
  finish: FinishPlan,
  rough: readonly PlanarMove[],
  radius: number,
  ground: Ground,
): Toolpath {
  const steps = new Steps(job, process, ground);
  steps.setOut();
  steps.push({ kind: 'section', head: { kind: 'bore' } });
  steps.startSpindle();
  steps.over(AXIS);
  steps.downInAir(AXIS, APPROACH_MM);
  steps.over(AXIS);
  steps.stopAside(
    'bore',
    'CONTINUE ONLY IF THE CUTTER CAME DOWN CENTRED ON THE PILOT HOLE, WITH AIR UNDER THE WORK',
  );
  steps.roughing('bore-rough', AXIS, rough);
  steps.stopAside('roughed', 'BORE ROUGHED: CLEAR CHIPS BEFORE FINISHING');
  steps.enter(AXIS);
  const circles = finishCircles(job, process, finish, radius);
  finish.levelsMm.forEach((zMm, i) => {
    circles.forEach((circle, k) => {
      const at = { pass: k + 1, passes: null };
      steps.push(levelHead('bore-finish', i + 1, finish.levelsMm.length, zMm, at));
      if (k === 0) steps.down(AXIS, zMm);
      steps.level(circle, zMm);
    });
  });
  steps.over(AXIS);
  steps.standAside();
  return steps.toolpath();
}

/** The turn that grows leans a little more than the circle: it meets as much as this much more. */
const LEAN = 1.2;
/** Stock deeper than this share of the wall's radius is not to be had from a hole. */
const MOST_OF_WALL = 0.9;

/** One level of finishing, pass by pass. */
function finishCircles(
  job: Job,
  process: Process,
  finish: FinishPlan,
  radius: number,
): PlanarMove[][] {
  const r = job.cutter.diameterMm / 2;
  const feed = feedTable(conditionsFor(job, process.spindleRpm, finish.stepdownMm), process);
  return finish.passes.map((pass) => {
    const wall = radius - pass.offsetMm;
    const thickness = pass.stockBeforeMm - pass.offsetMm;
    const met = engagementConcaveRad(Math.min(LEAN * thickness, MOST_OF_WALL * wall), r, wall);
    return circlePass(wall - r, thickness, feed(met), process.linkFeedMmPerMin);
  });
}

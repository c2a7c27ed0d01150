/**
 * Finishing: the exact parallel curve of the outline, clockwise (climb), level by level.
 *
 * Each pass starts and ends on the middle of a tooth tip, along an arc that touches the path
 * there: the mark falls where no roller ever runs. Passes on the outline itself overlap their
 * start by a little before they leave.
 */
import { cos, sin } from '../maths/elementary.js';
import type { Job } from '../model/job.js';
import { type WallCompliance, tipBendMmPerN, wallCompliance } from '../machines/bear/wall-shift.js';
import { feedTable } from '../machines/load/feed.js';
import type { Cutter, Machine } from '../model/machine.js';
import type { DistanceField } from '../profile/geometry/distance-field.js';
import {
  edgeLength,
  mapEdge,
  pointAt,
  rotatePt,
  splitEdge,
  tangentAt,
} from '../profile/geometry/edge.js';
import type { Edge, Loop, Pt } from '../model/edges.js';
import { reverseLoop } from '../profile/geometry/loop.js';
import type { Wheel } from '../profile/wheel/sprocket.js';
import { feedRuns } from './feed-runs.js';
import { type FinishPass, type FinishSetting, passPlans } from './finish-error.js';
import { parallelCurve } from './parallel.js';
import { Pen, type PlanarMove } from './planar.js';
import { conditionsFor, fewestLevels } from './choose.js';
import { OVERRUN_MM, type Process, evenLevels } from './process.js';
import { feedLimitsOf } from '../machines/bear/limits.js';
import { TURN_RAD, radFromDeg } from '../maths/angle.js';
import { secondsAtFeed } from '../maths/motion.js';
import { bisect } from '../maths/solve.js';
import { TINY } from '../maths/tolerance.js';

export interface FinishPlan {
  readonly levelsMm: readonly number[];
  readonly stepdownMm: number;
  readonly passes: readonly FinishPass[];
  /** Form error after the last pass, greatest over the outline and the depth. mm */
  readonly errorMm: number;
  /** Difference of the error between the lower and the upper edge of the teeth, at the last and lowest
   *  level: the whole cutter shifts with machine and holder, and bends besides, most at its tip. mm */
  readonly taperMm: number;
  readonly withinTolerance: boolean;
  /** What the error would be after the same passes with something changed. */
  readonly remedies: readonly { readonly text: string; readonly errorMm: number }[];
}

/** Cost of a pass beside cutting: lead in, lead out, link. s */
const PASS_OVERHEAD_S = 3;

/**
 * Chooses how deep and how often to go round: among all even splits of the depth and all pass
 * plans, the quickest whose predicted form error is inside the tolerance; where none is, the one
 * with the least error.
 */
export function planFinish(
  job: Job,
  profile: Pick<Wheel, 'seatRadiusMm' | 'thicknessMm'>,
  process: Process,
  perimeterMm: number,
): FinishPlan {
  const depth = profile.thicknessMm + OVERRUN_MM;
  const settingFor = (levels: number, soft: WallCompliance): FinishSetting => ({
    conditions: conditionsFor(job, process.spindleRpm, depth / levels),
    limits: finishLimits(job, process, depth / levels),
    seatRadiusMm: profile.seatRadiusMm,
    compliance: soft,
    stockMm: process.allowanceMm + process.roughDeflectionMm,
    maxEngagementRad: process.planEngagementRad,
  });
  const soft = wallCompliance(job.machine, job.cutter, process.spindleRpm);
  const fewest = fewestLevels(depth, process.maxStepdownMm);
  const most = Math.max(fewest, 2 * process.levelsMm.length);
  const { toleranceMm } = job.limits;
  const seen: { best: Way | null } = { best: null };
  for (let levels = fewest; levels <= most; levels++) {
    passPlans(settingFor(levels, soft), (passes) => {
      let time = 0;
      for (const { feedMmPerMin } of passes) {
        time += secondsAtFeed(perimeterMm, feedMmPerMin) + PASS_OVERHEAD_S;
      }
      const way = {
        levels,
        passes: [...passes],
        time: time * levels,
        error: passes.at(-1)!.errorMm,
      };
      if (!seen.best || better(way, seen.best, toleranceMm)) seen.best = way;
      // Where one is inside the tolerance, none that takes longer is better.
      return seen.best.error > toleranceMm || way.time < seen.best.time;
    });
  }
  const { best } = seen;
  if (!best) throw new Error('no finishing pass stays inside the engagement limit');
  const { levels, passes, error } = best;
  const last = passes[passes.length - 1]!;
  const withinTolerance = error <= toleranceMm;
  return {
    levelsMm: evenLevels(depth, levels),
    stepdownMm: depth / levels,
    passes,
    errorMm: error,
    taperMm: last.normalN * tipBendMmPerN(job.cutter, profile.thicknessMm),
    withinTolerance,
    remedies: withinTolerance ? [] : remediesFor(job, process, settingFor, levels, passes),
  };
}

/** Limits at finishing's depth; a chip no thicker than roughing's, by which the plan is judged. */
function finishLimits(job: Job, process: Process, depthMm: number) {
  const limits = feedLimitsOf(job, process.spindleRpm, depthMm, process.way.forceShare);
  return { ...limits, chipCapMm: Math.min(limits.chipCapMm, process.chipCapMm) };
}

/** A way of finishing: how many levels, and the passes of each. */
interface Way {
  readonly levels: number;
  readonly passes: readonly FinishPass[];
  /** Of all levels. s */
  readonly time: number;
  readonly error: number;
}

/** Form errors closer than this are one error: more levels must win more. mm. A thousandth of what
 *  a tolerance is given to. */
const SAME_ERROR_MM = 1e-6;

/** Inside the tolerance the quicker way is better, outside it the one with less error. */
function better(one: Way, other: Way, toleranceMm: number): boolean {
  const good = one.error <= toleranceMm;
  if (good !== other.error <= toleranceMm) return good;
  return good ? one.time < other.time : one.error < other.error - SAME_ERROR_MM;
}

function remediesFor(
  job: Job,
  process: Process,
  settingFor: (levels: number, soft: WallCompliance) => FinishSetting,
  levels: number,
  passes: readonly FinishPass[],
): { text: string; errorMm: number }[] {
  const { cutter, machine } = job;
  const shorter = Math.max(0.6 * cutter.stickOutMm, cutter.fluteLengthMm);
  const { x, y, z } = machine.stiffnessNPerMm;
  const stiff: Machine = { ...machine, stiffnessNPerMm: { x: 2 * x, y: 2 * y, z } };
  const changed: [text: string, machine: Machine, cutter: Cutter][] = [
    ['a machine twice as stiff', stiff, cutter],
  ];
  if (shorter < cutter.stickOutMm - 0.5) {
    const text = `a stick-out of ${shorter.toFixed(0)} mm`;
    changed.unshift([text, machine, { ...cutter, stickOutMm: shorter }]);
  }
  return changed.flatMap(([text, machine, cutter]) => {
    const soft = wallCompliance(machine, cutter, process.spindleRpm);
    const plan = passPlans(settingFor(levels, soft)).find(
      (p) => p.length === passes.length && p[0]!.offsetMm === passes[0]!.offsetMm,
    );
    return plan ? [{ text, errorMm: plan.at(-1)!.errorMm }] : [];
  });
}

/** Planar moves of one pass, from and back to `home` in air. */
export interface FinishContour {
  readonly start: Pt;
  readonly moves: readonly PlanarMove[];
}

const LEAD_RADIUS_MM = 2;
const LEAD_SWEEP_RAD = radFromDeg(70);
const LEAD_STATIONS = 24;
const OVERLAP_MM = 0.3;
const STATION_MM = 0.12;
const FEED_RUN = { pricePerRunS: 0.015, minRunMm: 0.5 };

/** Highest feed at a place of the path, by heading. */
type FeedAt = (q: Pt, heading: Pt) => number;

/**
 * The finishing passes, each once round the wheel.
 * @param field  signed distance to the outline
 */
export function finishContours(
  job: Job,
  outline: Loop,
  field: DistanceField,
  process: Process,
  finish: FinishPlan,
): FinishContour[] {
  const { teeth } = job.sprocket;
  const r = job.cutter.diameterMm / 2;
  const { spindleRpm } = process;
  const feed = feedTable(
    conditionsFor(job, spindleRpm, finish.stepdownMm),
    finishLimits(job, process, finish.stepdownMm),
  );
  // Spring passes follow the path of the pass before.
  const paths = new Map<number, Loop>();
  return finish.passes.map(({ offsetMm, stockBeforeMm }) => {
    const path = paths.get(offsetMm) ?? reverseLoop(parallelCurve(outline, r + offsetMm, teeth));
    paths.set(offsetMm, path);
    const feedAt: FeedAt = (q, heading) =>
      feed(stockBeforeMm <= offsetMm ? 0 : rimAhead(field, q, heading, r, stockBeforeMm));
    return finishContour(path, teeth, feedAt, process.linkFeedMmPerMin);
  });
}

/** @param path  of the cutter's centre, clockwise from mid-tip */
function finishContour(
  path: Loop,
  teeth: number,
  feedAt: FeedAt,
  linkFeedMmPerMin: number,
): FinishContour {
  const perTooth = path.length / teeth;
  const wholeTeeth = Number.isInteger(perTooth);
  const source = wholeTeeth ? path.slice(0, perTooth) : path;
  const runs = source.flatMap((edge) => edgeRuns(edge, feedAt));
  const first = path[0]!;
  const startPt = first.a;
  const heading = tangentAt(first, 0);
  const c = besideEnd(first, 0);
  const from = rotatePt(startPt, -LEAD_SWEEP_RAD, c);
  const firstFeed = runs[0]!.feed;
  // On the way in the cutter leans towards the part and meets more of the rim than on the path.
  let leadFeed = firstFeed;
  for (let i = 0; i <= LEAD_STATIONS; i++) {
    const turn = (-LEAD_SWEEP_RAD * i) / LEAD_STATIONS;
    leadFeed = Math.min(leadFeed, feedAt(rotatePt(startPt, turn, c), rotatePt(heading, turn)));
  }
  const pen = new Pen(from).sweep(c, LEAD_SWEEP_RAD, leadFeed, 'lead').snap(startPt);
  for (let i = 0; i < (wholeTeeth ? teeth : 1); i++) {
    const turn = (-TURN_RAD * i) / teeth;
    for (const { edge, feed } of runs) {
      pen.edge(
        mapEdge(edge, (p) => rotatePt(p, turn)),
        feed,
        'finish',
      );
    }
  }
  pen.snap(startPt);
  // Over the start again for a little, then off to the left.
  const overlap = Math.min(OVERLAP_MM, 0.9 * edgeLength(first));
  const [over] = splitEdge(first, overlap / edgeLength(first));
  pen.edge(over, firstFeed, 'finish');
  pen.sweep(besideEnd(over, 1), LEAD_SWEEP_RAD, linkFeedMmPerMin, 'lead');
  return { start: from, moves: pen.moves };
}

/** Centre of a lead to the start (0) or from the end (1) of an edge: left of the travel, which is
 *  away from the part. */
function besideEnd(edge: Edge, end: 0 | 1): Pt {
  const [x, y] = end === 0 ? edge.a : edge.b;
  const [tx, ty] = tangentAt(edge, end);
  return [x - LEAD_RADIUS_MM * ty, y + LEAD_RADIUS_MM * tx];
}

/** An edge in parts of one feed each. */
function edgeRuns(edge: Edge, feedAt: FeedAt): { edge: Edge; feed: number }[] {
  const length = edgeLength(edge);
  const n = Math.max(2, Math.ceil(length / STATION_MM) + 1);
  const feeds = Float64Array.from({ length: n }, (_, i) => {
    const t = i / (n - 1);
    return feedAt(pointAt(edge, t), tangentAt(edge, t));
  });
  let rest = edge;
  let done = 0;
  return feedRuns(feeds, length / (n - 1), FEED_RUN).map(({ to, feedMmPerMin: feed }) => {
    const end = to / (n - 1);
    if (end >= 1 - TINY) return { edge: rest, feed };
    const [head, tail] = splitEdge(rest, (end - done) / (1 - done));
    rest = tail;
    done = end;
    return { edge: head, feed };
  });
}

/** Places round the leading half of the rim that are looked at, 5 degrees apart: stock of even
 *  thickness is met in one stretch, which begins at the wall. */
const RIM_STEPS = 36;
/** 5 degrees halved so often are 1.1 seconds of arc. */
const RIM_HALVINGS = 14;
/** Added to an engagement found at a station: covers the scallops that roughing left. rad */
const SCALLOP_MARGIN_RAD = radFromDeg(2);

/**
 * Greatest rim angle, from the wall normal towards travel, that is nearer to the outline than the
 * stock reaches. Found by stepping round the leading half of the rim and bisecting.
 */
function rimAhead(field: DistanceField, q: Pt, heading: Pt, r: number, stockMm: number): number {
  const normal: Pt = [heading[1], -heading[0]];
  const inStock = (t: number): boolean => {
    const c = r * cos(t);
    const s = r * sin(t);
    return (
      field(q[0] + c * normal[0] + s * heading[0], q[1] + c * normal[1] + s * heading[1]) < stockMm
    );
  };
  let last = RIM_STEPS;
  while (last > 0 && !inStock((Math.PI * last) / RIM_STEPS)) last--;
  const from = (Math.PI * last) / RIM_STEPS;
  const to = Math.min(Math.PI, from + Math.PI / RIM_STEPS);
  const [, beyond] = bisect(inStock, from, to, RIM_HALVINGS);
  return Math.min(Math.PI, beyond + SCALLOP_MARGIN_RAD);
}

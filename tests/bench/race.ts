/**
 * The race: our roughing, links and entries counted, against the quickest contour-parallel passes of
 * fixed parameters that keep the very same limits. Stepover, inside corners, stepdown, feed and
 * spindle speed of those are searched. Beside it the same passes with the feed set move by move.
 */
import { gapSize } from '../../src/cam/sequence.js';
import {
  CHATTER_ACCEPTED,
  conditionsFor,
  fewestLevels,
  searchOf,
  speedsFor,
} from '../../src/cam/choose.js';
import { motionTimes } from '../../src/cam/timing.js';
import { feedLimitsOf } from '../../src/machines/bear/limits.js';
import { feedTable } from '../../src/machines/load/feed.js';
import type { Move } from '../../src/model/toolpath.js';
import type { Plan } from '../../src/post/plan.js';
import { ContourParallel, type ContourPasses } from './baseline.js';
import type { Row } from './measure.js';
import type { WorstCut } from './rehearsal.js';

/** Stepovers that are tried, as shares of the cutter's radius; corners likewise. */
const STEPOVERS = [0.06, 0.09, 0.13, 0.2, 0.28, 0.34, 0.4, 0.46, 0.52, 0.6, 0.75, 1, 1.3, 1.6];
const CORNERS = [0, 0.3, 0.6, 1];
/** A feed set move by move takes no less than this share of a fixed one's time. */
const FASTEST = 0.3;
/** Levels up to so many times the fewest. */
const LEVELS_SHARE = 3;

/** What is raced: a path laid, proved or not. */
type Laid = Pick<Plan, 'cam' | 'job' | 'profile'>;

interface Fixed {
  readonly timeMin: number;
  readonly passes: ContourPasses;
  readonly spindleRpm: number;
  readonly levels: number;
  readonly feedMmPerMin: number;
}

export interface Race {
  readonly row: Row;
  /** Where the quickest fixed passes ask most; null where there are none. */
  readonly fixed: WorstCut | null;
}

export function race(name: string, planned: Laid): Race {
  const { cam, job, profile } = planned;
  const { process } = cam;
  const r = job.cutter.diameterMm / 2;
  const contour = new ContourParallel({
    profile,
    teeth: job.sprocket.teeth,
    cutterRadiusMm: r,
    blankRadiusMm: cam.blank.diameterMm / 2 + cam.blank.centringErrorMm,
    process,
  });
  const search = searchOf(job, gapSize(job, profile, cam.blank));
  const fewest = fewestLevels(search.size.depthMm, search.limits.maxStepdownMm);
  const bound = search.limits.maxEngagementRad;
  let fixed: Fixed | null = null;
  let moving: Fixed | null = null;
  const keep = (best: Fixed | null, one: Fixed): Fixed =>
    best === null || one.timeMin < best.timeMin ? one : best;
  for (const corner of CORNERS) {
    for (const step of STEPOVERS) {
      const passes = contour.passes(step * r, corner * r);
      if (passes.peakRad > bound) break;
      for (const spindleRpm of speedsFor(job, passes.peakRad)) {
        const { chatter } = search.stability(spindleRpm, passes.peakRad);
        for (let count = fewest; count <= LEVELS_SHARE * fewest; count++) {
          const depthMm = search.size.depthMm / count;
          if (chatter(depthMm) > CHATTER_ACCEPTED) continue;
          const way = { passes, spindleRpm, levels: count, feedMmPerMin: NaN };
          const feed = feedTable(
            conditionsFor(job, spindleRpm, depthMm),
            feedLimitsOf(job, spindleRpm, depthMm),
          );
          const one = feed(passes.peakRad);
          const least = (count * passes.lengthMm * job.sprocket.teeth) / one;
          if (least < (fixed?.timeMin ?? Infinity)) {
            fixed = keep(fixed, {
              ...way,
              feedMmPerMin: one,
              timeMin: count * levelMin(planned, passes, () => one),
            });
          }
          if (FASTEST * least < (moving?.timeMin ?? Infinity)) {
            moving = keep(moving, { ...way, timeMin: count * levelMin(planned, passes, feed) });
          }
        }
      }
    }
  }
  const ours = cam.times.roughCutMin + cam.times.roughLinkMin;
  const row = {
    example: name,
    'ours min': ours,
    'fixed min': fixed?.timeMin ?? null,
    'fixed step': fixed?.passes.stepoverMm ?? null,
    'fixed deg': fixed ? (fixed.passes.peakRad * 180) / Math.PI : null,
    'fixed rpm': fixed?.spindleRpm ?? null,
    'fixed levels': fixed?.levels ?? null,
    oursOverBestFixed: fixed ? ours / fixed.timeMin : null,
    'moving min': moving?.timeMin ?? null,
    'moving step': moving?.passes.stepoverMm ?? null,
    'ours/moving': moving ? ours / moving.timeMin : null,
  };
  const worst = fixed && {
    spindleRpm: fixed.spindleRpm,
    phiRad: fixed.passes.peakRad,
    feedMmPerMin: fixed.feedMmPerMin,
    depthMm: search.size.depthMm / fixed.levels,
  };
  return { row, fixed: worst };
}

/** Time of one level: the way through one gap as often as there are teeth, and one way from each loop
 *  to the next. min */
function levelMin(
  { job: { machine, sprocket } }: Laid,
  { loops, stepoverMm }: ContourPasses,
  feedAt: (phiRad: number) => number,
): number {
  let seconds = 0;
  for (const { at, metRad } of loops) {
    if (at.length < 2) continue;
    const moves: Move[] = at.map(([x, y], i) => ({
      kind: 'line',
      to: [x, y, 0],
      feedMmPerMin: feedAt(Number.isNaN(metRad[i]!) ? 0.5 : metRad[i]!),
      role: 'cut',
    }));
    const [x, y] = at[0]!;
    const { secondsOf } = motionTimes([x, y, 0], moves, machine);
    metRad.forEach((met, i) => {
      if (!Number.isNaN(met)) seconds += sprocket.teeth * secondsOf[i]!;
    });
    // In from the loop outside, at the feed of the cut, from rest to rest.
    const feed = feedAt(1);
    const a = Math.min(machine.accelerationMmPerS2.x, machine.accelerationMmPerS2.y);
    seconds += (60 * 2 * stepoverMm) / feed + feed / 60 / a;
  }
  return seconds / 60;
}

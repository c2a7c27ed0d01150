/**
 * A second, larger cutter for the ring outside the teeth: the blank is cut round with it, down to the
 * tips and their allowance, then the cutter is changed and touched off, and the job's own cutter meets a
 * blank that is as small and as true as can be.
 */
import { EDGE_CHANGE_S } from '../cam/choose.js';
import { checkFlutes } from '../cam/flutes.js';
import { Pen, atDepth } from '../cam/planar.js';
import { OVERRUN_MM, type Process, chooseProcess } from '../cam/process.js';
import { planRing } from '../cam/ring.js';
import { type BlankSize, layPath } from '../cam/sequence.js';
import { motionTimes } from '../cam/timing.js';
import { S_PER_MIN } from '../maths/motion.js';
import { leastOf } from '../maths/solve.js';
import type { Move } from '../model/toolpath.js';
import type { Job } from '../model/job.js';
import type { Cutter } from '../model/machine.js';
import { unlessRefused } from '../model/refusal.js';
import type { Wheel } from '../profile/wheel/sprocket.js';

/** To stop, change the cutter and touch off again. min */
export const CHANGE_MIN = EDGE_CHANGE_S / S_PER_MIN;

export interface SecondCutter {
  readonly cutter: string;
  /** The ring with it, and the rest with the job's own. min */
  readonly ringMin: number;
  readonly restMin: number;
  /** All, the change included. min */
  readonly totalMin: number;
  /** Under the time with one cutter; negative where it does not pay. min */
  readonly savesMin: number;
  /** Diameter that the ring is cut to. mm */
  readonly ringToMm: number;
  /** Chance that both cutters reach their ends, as chosen: the product of the two. What is not known of
   *  the drives is the same for both, so it is rather more. */
  readonly finishProbability: number;
}

/** No wall to follow: the ring has none. mm */
const OPEN_RADIUS_MM = 1e6;

/**
 * @param oneMin   what the job takes with its own cutter alone
 * @param larger   cutters to try, by name
 * @returns        the quickest with two; null where none of them cuts the ring
 */
export function secondCutter(
  job: Job,
  wheel: Wheel,
  blank: BlankSize,
  oneMin: number,
  larger: readonly { readonly name: string; readonly cutter: Cutter }[],
): SecondCutter | null {
  const restOf = new Map<number, { readonly minutes: number; readonly odds: number }>();
  const both = ({ name, cutter }: (typeof larger)[number]): SecondCutter => {
    const ring = cutRing({ ...job, cutter }, wheel, blank);
    const { minutes: ringMin, diameterMm: ringToMm } = ring;
    let rest = restOf.get(ringToMm);
    if (rest === undefined) {
      const round = { ...blank, diameterMm: ringToMm, centringErrorMm: 0 };
      const { times, process } = layPath(job, wheel, round);
      rest = { minutes: times.totalMin, odds: process.way.odds.all };
      restOf.set(ringToMm, rest);
    }
    const totalMin = ringMin + CHANGE_MIN + rest.minutes;
    return {
      ...{ cutter: name, ringMin, restMin: rest.minutes, totalMin, ringToMm },
      savesMin: oneMin - totalMin,
      finishProbability: ring.odds * rest.odds,
    };
  };
  const found = larger.flatMap((one) => unlessRefused(() => both(one)) ?? []);
  return leastOf(found, ({ totalMin }) => totalMin);
}

/** The ring cut by a cutter as chosen for it. @throws Refusal where it cannot be */
function cutRing(job: Job, wheel: Wheel, blank: BlankSize) {
  const outerMm = blank.diameterMm / 2 + blank.centringErrorMm;
  const tipMm = wheel.tipDiameterMm / 2;
  checkFlutes(job.cutter, wheel.thicknessMm);
  const depthMm = wheel.thicknessMm + OVERRUN_MM;
  const process = chooseProcess(job, {
    seatRadiusMm: OPEN_RADIUS_MM,
    depthMm,
    areaMm2: Math.PI * (outerMm ** 2 - tipMm ** 2),
    gapDepthMm: outerMm - tipMm,
    perimeterMm: 2 * Math.PI * tipMm,
    teeth: 1,
  });
  const wallRadiusMm = tipMm + process.allowanceMm;
  const { start, moves } = planRing({
    blankRadiusMm: outerMm,
    wallRadiusMm,
    toWall: true,
    cutterRadiusMm: job.cutter.diameterMm / 2,
    maxEngagementRad: process.planEngagementRad,
    touchRad: 0,
    feed: process.feed,
    linkFeedMmPerMin: process.linkFeedMmPerMin,
  });
  const round = new Pen(start).append(moves).travel(start, process.linkFeedMmPerMin);
  const { totalS } = motionTimes([...start, 0], levelsOf(round, process), job.machine);
  return {
    minutes: totalS / S_PER_MIN,
    diameterMm: 2 * wallRadiusMm,
    odds: process.way.odds.all,
  };
}

function levelsOf({ start, moves }: Pen, process: Process): Move[] {
  return process.levelsMm.flatMap((zMm): Move[] => [
    {
      kind: 'line',
      to: [...start, zMm],
      feedMmPerMin: process.plungeFeedMmPerMin,
      role: 'lead',
    },
    ...atDepth(moves, zMm),
  ]);
}

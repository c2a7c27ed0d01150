/**
 * Returns to a reference, so that lost steps are found before much more is cut: after which levels
 * to go there, where it is, and what is done there.
 *
 * Three kinds of reference, by what the job and the control offer:
 *   indicators  two dial indicators that touch the spindle's nose when it stands at the reference;
 *               they are set to zero at the first visit. Needs nothing but the indicators.
 *   feeler      a pin at a known place; the cutter's shank stops a feeler's thickness beside it.
 *   probe       the same pin, wired to a control with a probe input: the control moves up to it
 *               until they touch, and its display says where that was.
 */

import { type SectionHead, type StopKind, headingOf } from '../model/section.js';
import { Refusal } from '../model/refusal.js';
import type { Job } from '../model/job.js';
import { S_PER_MIN } from '../maths/motion.js';
import type { Move, Pt3 } from '../model/toolpath.js';

export type DatumKind = 'indicators' | 'feeler' | 'probe';

export interface DatumPlan {
  readonly kind: DatumKind;
  /** Where the cutter's centre stands while X and while Y is checked: the same for indicators. */
  readonly checkX: readonly [x: number, y: number];
  readonly checkY: readonly [x: number, y: number];
  /** Where it waits before, away from the part. */
  readonly wait: readonly [x: number, y: number];
  readonly heightMm: number;
  /** Reading beyond which steps are lost: half a slip of a motor, within sense. mm */
  readonly withinMm: number;
  /** Why there, for a person. */
  readonly why: string;
  /** Times the program goes there, the setting at the start not counted. */
  readonly checks: number;
  /** Longest cutting between two checks. min */
  readonly worstAtRiskMin: number;
  readonly everyMin: number;
}

/** Thickness of the feeler between pin and shank. mm */
const FEELER_MM = 1;
/** Free way between the work and the indicators, and before the reference. mm */
const CLEAR_MM = 8;
const APPROACH_MM = 6;
const APPROACH_FEED = 200;
/** The shank beside the pin's top, below it by this much. mm */
const BESIDE_MM = 2;
const WITHIN = { least: 0.01, most: 0.05 } as const;

/** Reading beyond which steps are lost, from the full step of an axis: see DatumPlan. mm */
export function readingWithinMm(fullStepMm: number): number {
  return Math.min(WITHIN.most, Math.max(WITHIN.least, 2 * fullStepMm));
}

/**
 * After which groups to check, so that no more than `everyS` of work lies between two checks. A
 * group that is longer by itself is checked before and after.
 * @param groupSeconds  time of each level group, in order
 * @returns indices of groups after which to go to the reference; never after the last
 */
export function datumStops(
  groupSeconds: readonly number[],
  everyS: number,
): { readonly after: readonly number[]; readonly worstS: number } {
  const after: number[] = [];
  let since = 0;
  let worstS = 0;
  groupSeconds.forEach((seconds, i) => {
    since += seconds;
    worstS = Math.max(worstS, since);
    const next = groupSeconds[i + 1];
    if (next === undefined || since + next <= everyS) return;
    after.push(i);
    since = 0;
  });
  return { after, worstS };
}

/**
 * The reference of a job.
 * @param reachMm  greatest distance of the cutter's centre from the axis while it works
 * @throws Refusal 'datum-travel' or 'datum-in-the-way'
 */
function datumReference(
  job: Job,
  reachMm: number,
  clearanceZMm: number,
): Omit<DatumPlan, 'checks' | 'worstAtRiskMin' | 'everyMin'> {
  const choice = job.datum ?? null;
  const { machine, cutter } = job;
  const step = Math.max(machine.fullStepMm.x, machine.fullStepMm.y);
  const withinMm = readingWithinMm(step);
  if (choice === null || choice.pin === null) {
    const corner = Math.ceil(reachMm + CLEAR_MM);
    const [x, y] = choice ? [choice.xMm, choice.yMm] : [corner, corner];
    checkPlace(job, x, y, reachMm);
    const why = choice
      ? 'the point that the job names'
      : `beyond the work by ${CLEAR_MM} mm on X and on Y, so that indicators that stand there are touched only when the spindle comes to be checked`;
    const at = [x, y] as const;
    return {
      kind: 'indicators',
      checkX: at,
      checkY: at,
      wait: [x - APPROACH_MM * Math.sign(x || 1), y - APPROACH_MM * Math.sign(y || 1)],
      heightMm: clearanceZMm,
      withinMm,
      why,
    };
  }
  const { xMm, yMm, pin } = choice;
  checkPlace(job, xMm, yMm, reachMm);
  const kind = job.controller.probe ? 'probe' : 'feeler';
  // The shank, not the flutes: they stand at any angle and are not round.
  const shankMm = cutter.shankDiameterMm / 2;
  const gap = pin.diameterMm / 2 + shankMm + (kind === 'feeler' ? FEELER_MM : 0);
  // From the side of the work, so that the pin is never between the cutter and the part.
  const [sx, sy] = [Math.sign(xMm || 1), Math.sign(yMm || 1)];
  const away = pin.diameterMm / 2 + shankMm + APPROACH_MM;
  const shows = cutter.stickOutMm - cutter.fluteLengthMm;
  if (shows < BESIDE_MM + 1) {
    throw new Refusal(
      'datum-shank',
      `only ${shows.toFixed(1)} mm of plain shank show below the collet, too little to touch a pin with; let the cutter stick out farther, or leave pin-diameter out and use indicators`,
      shows,
      BESIDE_MM + 1,
    );
  }
  checkPlace(job, xMm - sx * away, yMm - sy * away, reachMm);
  return {
    kind,
    checkX: [xMm - sx * gap, yMm],
    checkY: [xMm, yMm - sy * gap],
    wait: [xMm - sx * away, yMm - sy * away],
    heightMm: pin.topMm - BESIDE_MM - cutter.fluteLengthMm,
    withinMm,
    why: 'the pin that the job names, touched by the shank on the side of the work',
  };
}

function checkPlace(job: Job, x: number, y: number, reachMm: number): void {
  const far = Math.hypot(x, y);
  if (far < reachMm + 1) {
    throw new Refusal(
      'datum-in-the-way',
      `the reference at X ${x} Y ${y} is inside the work, whose cutter path reaches ${reachMm.toFixed(1)} mm from the axis; put it farther out`,
      far,
      reachMm + 1,
    );
  }
  for (const [axis, at] of [
    ['x', x],
    ['y', y],
  ] as const) {
    const span = reachMm + Math.max(reachMm, Math.abs(at));
    if (span > job.machine.travelMm[axis]) {
      throw new Refusal(
        'datum-travel',
        `with the reference at ${axis.toUpperCase()} ${at} the program spans ${span.toFixed(0)} mm of ${job.machine.travelMm[axis]} mm travel; name a nearer one with datum: { x: ..., y: ... }, or leave check-every out`,
        span,
        job.machine.travelMm[axis],
      );
    }
  }
}

type Reference = ReturnType<typeof datumReference>;

/**
 * A visit to the reference, from and to the clearance height, with the spindle still throughout.
 * @param head  the section of the visit: the setting, where indicators are set, or a check
 */
export function datumVisit(
  ref: Reference,
  head: SectionHead,
  clearanceZMm: number,
): readonly Move[] {
  const moves: Move[] = [];
  const [wx, wy] = ref.wait;
  const to = (p: Pt3): void => {
    moves.push({ kind: 'line', to: p, feedMmPerMin: APPROACH_FEED, role: 'air' });
  };
  const stop = (message: string, why: StopKind = 'datum-read'): void => {
    moves.push({ kind: 'stop', why, message, spindleStays: true });
  };
  const title = headingOf(head);
  const setting = head.kind === 'datum-setting';
  moves.push({ kind: 'section', head });
  moves.push({ kind: 'rapid', to: [wx, wy, clearanceZMm] });
  stop(`DATUM: SPINDLE STANDS STILL, ${READY[ref.kind]}: THEN CONTINUE`, 'datum-wait');
  if (ref.heightMm !== clearanceZMm) to([wx, wy, ref.heightMm]);
  const within = ref.withinMm.toFixed(2);
  const lost = `IF NOT, STEPS ARE LOST: END HERE, NOTE ${title}`;
  if (ref.kind === 'indicators') {
    to([ref.checkX[0], ref.checkX[1], ref.heightMm]);
    stop(
      setting
        ? 'DATUM SETTING: SET BOTH INDICATORS TO 0.00 ON THE SPINDLE NOSE'
        : `${title}: X AND Y INDICATORS MUST READ 0.00 WITHIN ${within}. ${lost}`,
    );
  } else {
    for (const axis of ['X', 'Y'] as const) {
      const [x, y] = axis === 'X' ? ref.checkX : ref.checkY;
      const before = axis === 'X' ? ([wx, y] as const) : ([x, wy] as const);
      to([before[0], before[1], ref.heightMm]);
      if (ref.kind === 'feeler') {
        to([x, y, ref.heightMm]);
        stop(
          `${title}: ${axis}: A ${FEELER_MM.toFixed(2)} MM FEELER MUST JUST SLIDE BETWEEN SHANK AND PIN, WITHIN ${within}. ${setting ? PIN_MOVED : lost}`,
        );
      } else {
        // Without contact on the way the control goes into alarm; where it came is read off.
        const unit = axis === 'X' ? Math.sign(x - before[0]) : Math.sign(y - before[1]);
        const near = (d: number): Pt3 =>
          axis === 'X' ? [x + unit * d, y, ref.heightMm] : [x, y + unit * d, ref.heightMm];
        to(near(-PROBE_FROM_MM));
        moves.push({ kind: 'probe', to: near(PROBE_PAST_MM), feedMmPerMin: PROBE_FEED });
        const reading = (axis === 'X' ? x : y).toFixed(2);
        stop(
          `${title}: ${axis} ON THE DISPLAY MUST READ ${reading} WITHIN ${within}. ${setting ? PIN_MOVED : lost}`,
        );
      }
      to([before[0], before[1], ref.heightMm]);
      to([wx, wy, ref.heightMm]);
    }
  }
  if (ref.kind === 'indicators') to([wx, wy, ref.heightMm]);
  if (ref.heightMm !== clearanceZMm) moves.push({ kind: 'rapid', to: [wx, wy, clearanceZMm] });
  if (ref.kind === 'probe') stop(`${title}: TAKE THE PROBE WIRE OFF THE CUTTER`, 'probe-off');
  return moves;
}

/** mm/min */
const PROBE_FEED = 30;
/** Probing begins this far before the contact expected and ends this far past it. mm */
const PROBE_FROM_MM = 1;
const PROBE_PAST_MM = 1;
const PIN_MOVED = 'IF NOT, CORRECT THE PIN POSITION IN THE JOB';

const READY: Readonly<Record<DatumKind, string>> = {
  indicators: 'INDICATORS IN PLACE',
  feeler: 'CHIPS OFF PIN AND SHANK',
  probe: 'PROBE WIRE ON THE CUTTER, CHIPS OFF PIN AND SHANK',
};

/** Where visits go among the levels of a job. */
export interface DatumSchedule {
  readonly plan: DatumPlan;
  /** Moves of a visit. */
  readonly visit: (head: SectionHead) => readonly Move[];
  readonly afterRough: ReadonlySet<number>;
  readonly afterFinish: ReadonlySet<number>;
}

/**
 * Datum checks of a job; null where it asks for none. There is always one after roughing, where the
 * program stops anyway.
 * @param roughS   time of each roughing level, and `finishS` of each finishing level
 */
export function datumSchedule(
  job: Job,
  reachMm: number,
  clearanceZMm: number,
  roughS: readonly number[],
  finishS: readonly number[],
): DatumSchedule | null {
  const everyMin = job.checkEveryMin ?? null;
  if (everyMin === null) return null;
  const ref = datumReference(job, reachMm, clearanceZMm);
  const rough = datumStops(roughS, S_PER_MIN * everyMin);
  const finish = datumStops(finishS, S_PER_MIN * everyMin);
  const plan: DatumPlan = {
    ...ref,
    everyMin,
    checks: rough.after.length + 1 + finish.after.length,
    worstAtRiskMin: Math.max(rough.worstS, finish.worstS) / S_PER_MIN,
  };
  return {
    plan,
    visit: (head) => datumVisit(ref, head, clearanceZMm),
    afterRough: new Set(rough.after),
    afterFinish: new Set(finish.after),
  };
}

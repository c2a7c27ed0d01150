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

import { hypot } from '../maths/elementary.js';
import { overHoldingMm } from './ground.js';
import { NUT_RADIUS_MM } from '../model/machine.js';
import { type SectionHead, type StopKind, headingOf } from '../model/section.js';
import { Refusal } from '../model/refusal.js';
import { fullStepMm } from '../machines/bear/motor.js';
import type { Job, PlanWarning } from '../model/job.js';
import { S_PER_MIN } from '../maths/motion.js';
import type { Pt } from '../model/edges.js';
import type { Move, Pt3 } from '../model/toolpath.js';

type DatumKind = 'indicators' | 'feeler' | 'probe';

export interface DatumPlan {
  readonly kind: DatumKind;
  /** Where the cutter's centre stands while X and while Y is checked: the same for indicators. */
  readonly checkX: Pt;
  readonly checkY: Pt;
  /** Where it waits before, away from the part. */
  readonly wait: Pt;
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
/** What a way across keeps over a pin, and a nut over the face. mm. Common practice, no source. */
const PIN_BELOW_CROSSING_MM = 2;
const NUT_OVER_FACE_MM = 1;
const WITHIN = { least: 0.01, most: 0.05 } as const;

/** Reading beyond which steps are lost, from the full step of an axis: see DatumPlan. mm */
function readingWithinMm(stepMm: number): number {
  return Math.min(WITHIN.most, Math.max(WITHIN.least, 2 * stepMm));
}

/**
 * After which groups to check, so that no more than `everyS` of work lies between two checks. A
 * group that is longer by itself is checked before and after.
 * @param groupSeconds  time of each level group, in order
 * @returns indices of groups after which to go to the reference; never after the last
 */
function datumStops(
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

export type Reference = Omit<DatumPlan, 'checks' | 'worstAtRiskMin' | 'everyMin'>;

/** What a reference has to keep clear of. mm */
export interface Surroundings {
  /** Greatest distance of the cutter's centre from the axis while it works. */
  readonly reachMm: number;
  /** Height of every way across. */
  readonly clearanceZMm: number;
  /** Where the table may be. */
  readonly tableZMm: number;
}

/**
 * The reference of a job.
 * @throws Refusal 'datum-travel', 'datum-in-the-way', 'datum-pin' or 'datum-shank'
 */
function datumReference(job: Job, around: Surroundings): Reference {
  const { reachMm, clearanceZMm } = around;
  const { machine, cutter } = job;
  const withinMm = readingWithinMm(Math.max(fullStepMm(machine, 'x'), fullStepMm(machine, 'y')));
  const corner = Math.ceil(reachMm + CLEAR_MM);
  const { xMm: x, yMm: y, pin } = job.datum ?? { xMm: corner, yMm: corner, pin: null };
  checkPlace(job, x, y, reachMm);
  // From the side of the work, so that a pin is never between the cutter and the part.
  const before = (mm: number) => [x - mm * Math.sign(x || 1), y - mm * Math.sign(y || 1)] as const;
  if (pin === null) {
    return {
      kind: 'indicators',
      checkX: [x, y],
      checkY: [x, y],
      wait: before(APPROACH_MM),
      // The nose as low as it may come: indicators stand on the table.
      heightMm: Math.min(clearanceZMm, overHoldingMm(job)),
      withinMm,
      why: job.datum
        ? 'the point that the job names'
        : `beyond the work by ${CLEAR_MM} mm on X and on Y, so that indicators that stand there are touched only when the spindle comes to be checked`,
    };
  }
  const shows = cutter.stickOutMm - cutter.fluteLengthMm;
  if (cutter.neckDiameterMm !== undefined) {
    throw new Refusal(
      'datum-shank',
      'a cutter with a neck has no plain shank of known length to touch a pin with; leave pin-diameter out and use indicators',
      cutter.neckDiameterMm,
      null,
    );
  }
  if (shows < BESIDE_MM + 1) {
    throw new Refusal(
      'datum-shank',
      `only ${shows.toFixed(1)} mm of plain shank show below the collet, too little to touch a pin with; let the cutter stick out farther, or leave pin-diameter out and use indicators`,
      shows,
      BESIDE_MM + 1,
    );
  }
  const kind = job.controller.probe ? 'probe' : 'feeler';
  // The shank, not the flutes: they stand at any angle and are not round.
  const touchMm = pin.diameterMm / 2 + cutter.shankDiameterMm / 2;
  const beside = before(touchMm + (kind === 'feeler' ? FEELER_MM : 0));
  const wait = before(touchMm + APPROACH_MM);
  checkPlace(job, ...wait, reachMm);
  const heightMm = pin.topMm - BESIDE_MM - cutter.fluteLengthMm;
  checkPinTop(job, pin.topMm, heightMm, hypot(...wait), around);
  return {
    kind,
    checkX: [beside[0], y],
    checkY: [x, beside[1]],
    wait,
    heightMm,
    withinMm,
    why: 'the pin that the job names, touched by the shank on the side of the work',
  };
}

/**
 * A pin is lower than the ways across, and not so low that the tip is in the table or the nut in the
 * blank when the shank stands beside it.
 * @param tipMm   height of the cutter's tip there
 * @param fromMm  its distance from the axis
 */
function checkPinTop(
  { cutter }: Job,
  topMm: number,
  tipMm: number,
  fromMm: number,
  { reachMm, clearanceZMm, tableZMm }: Surroundings,
): void {
  const refuse = (why: string, limitMm: number): never => {
    throw new Refusal('datum-pin', `a pin whose top is at Z ${topMm}: ${why}`, topMm, limitMm);
  };
  const highest = clearanceZMm - PIN_BELOW_CROSSING_MM;
  if (topMm > highest) {
    refuse(
      `the program crosses at Z ${clearanceZMm}; take one no higher than Z ${highest}`,
      highest,
    );
  }
  const overTable = tableZMm + topMm - tipMm;
  if (tipMm < tableZMm) {
    refuse(
      `the tip of the cutter, ${(topMm - tipMm).toFixed(1)} mm below it, would be in the table, which may lie at Z ${tableZMm.toFixed(1)}; take one of Z ${overTable.toFixed(1)} or higher`,
      overTable,
    );
  }
  const nutMm = tipMm + cutter.stickOutMm;
  if (nutMm < NUT_OVER_FACE_MM && fromMm < reachMm + NUT_RADIUS_MM) {
    const lowest = topMm + NUT_OVER_FACE_MM - nutMm;
    refuse(
      `beside it the collet nut is at Z ${nutMm.toFixed(1)} and meets the blank; take one of Z ${lowest.toFixed(1)} or higher, or put it farther out`,
      lowest,
    );
  }
}

function checkPlace(job: Job, x: number, y: number, reachMm: number): void {
  const far = hypot(x, y);
  if (far < reachMm + 1) {
    throw new Refusal(
      'datum-in-the-way',
      `the reference at X ${x} Y ${y} is inside the work, whose cutter path reaches ${reachMm.toFixed(1)} mm from the axis; put it farther out`,
      far,
      reachMm + 1,
    );
  }
  for (const axis of ['x', 'y'] as const) {
    const at = { x, y }[axis];
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

/**
 * A visit to the reference, from and to the clearance height, with the spindle still throughout.
 * @param head  the section of the visit: the setting, where indicators are set, or a check
 */
export function datumVisit(
  ref: Reference,
  head: SectionHead,
  clearanceZMm: number,
): readonly Move[] {
  const { kind, checkX, checkY, wait, heightMm } = ref;
  const moves: Move[] = [];
  const at = ([x, y]: Pt): Pt3 => [x, y, heightMm];
  const to = (p: Pt): void => {
    moves.push({ kind: 'line', to: at(p), feedMmPerMin: APPROACH_FEED, role: 'air' });
  };
  const stop = (message: string, why: StopKind = 'datum-read'): void => {
    moves.push({ kind: 'stop', why, message, spindleStays: true });
  };
  const title = headingOf(head);
  const setting = head.kind === 'datum-setting';
  const over: Move = { kind: 'rapid', to: [...wait, clearanceZMm] };
  moves.push({ kind: 'section', head }, over);
  stop(`DATUM: SPINDLE STANDS STILL, ${READY[kind]}: THEN CONTINUE`, 'datum-wait');
  if (heightMm !== clearanceZMm) to(wait);
  const within = ref.withinMm.toFixed(2);
  const lost = `ELSE STEPS ARE LOST: END HERE, NOTE ${title}`;
  const touch = (axis: 'X' | 'Y', place: Pt): void => {
    const [k, before]: [0 | 1, Pt] =
      axis === 'X' ? [0, [wait[0], place[1]]] : [1, [place[0], wait[1]]];
    const say = (what: string) =>
      stop(`${title}: ${axis}${what} WITHIN ${within}. ${setting ? PIN_MOVED : lost}`);
    to(before);
    if (kind === 'feeler') {
      to(place);
      say(`: A ${FEELER_MM.toFixed(2)} MM FEELER MUST JUST SLIDE BETWEEN SHANK AND PIN,`);
    } else {
      // Without contact on the way the control goes into alarm; where it came is read off.
      const past = (mm: number): Pt => {
        const along = place[k] + Math.sign(place[k] - before[k]) * mm;
        return k === 0 ? [along, place[1]] : [place[0], along];
      };
      to(past(-PROBE_FROM_MM));
      moves.push({ kind: 'probe', to: at(past(PROBE_PAST_MM)), feedMmPerMin: PROBE_FEED });
      say(` ON THE DISPLAY MUST READ ${place[k].toFixed(2)}`);
    }
    to(before);
    to(wait);
  };
  if (kind === 'indicators') {
    to(checkX);
    stop(
      setting
        ? 'DATUM SETTING: SET BOTH INDICATORS TO 0.00 ON THE SPINDLE NOSE'
        : `${title}: X AND Y INDICATORS MUST READ 0.00 WITHIN ${within}. ${lost}`,
    );
    to(wait);
  } else {
    touch('X', checkX);
    touch('Y', checkY);
  }
  if (heightMm !== clearanceZMm) moves.push(over);
  if (kind === 'probe') stop(`${title}: TAKE THE PROBE WIRE OFF THE CUTTER`, 'probe-off');
  return moves;
}

/** mm/min */
const PROBE_FEED = 30;
/** Probing begins this far before the contact expected and ends this far past it. mm */
const PROBE_FROM_MM = 1;
const PROBE_PAST_MM = 1;
const PIN_MOVED = 'ELSE CORRECT THE PIN POSITION IN THE JOB';

const READY: Readonly<Record<DatumKind, string>> = {
  indicators: 'INDICATORS IN PLACE',
  feeler: 'CHIPS OFF PIN AND SHANK',
  probe: 'PROBE WIRE ON THE CUTTER, CHIPS OFF PIN AND SHANK',
};

/** Said of a reference that the program never goes to; null where there is none. */
export function unusedDatum({ datum, checkEveryMin }: Job): PlanWarning | null {
  if (!datum || checkEveryMin) return null;
  return {
    code: 'datum-unused',
    text: 'datum is not used: without check-every the program never goes there; add check-every, as "20 min", or leave datum out',
    value: null,
    limit: null,
  };
}

/** Where visits go among the levels of a job. */
export interface DatumSchedule {
  readonly plan: DatumPlan;
  /** Moves of the visit at the start, and of the next check. */
  readonly setting: readonly Move[];
  readonly nextCheck: () => readonly Move[];
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
  around: Surroundings,
  roughS: readonly number[],
  finishS: readonly number[],
): DatumSchedule | null {
  const everyMin = job.checkEveryMin;
  if (everyMin === null || everyMin === undefined) return null;
  const ref = datumReference(job, around);
  const rough = datumStops(roughS, S_PER_MIN * everyMin);
  const finish = datumStops(finishS, S_PER_MIN * everyMin);
  const plan: DatumPlan = {
    ...ref,
    everyMin,
    checks: rough.after.length + 1 + finish.after.length,
    worstAtRiskMin: Math.max(rough.worstS, finish.worstS) / S_PER_MIN,
  };
  let level = 0;
  const visit = (head: SectionHead): readonly Move[] => datumVisit(ref, head, around.clearanceZMm);
  return {
    plan,
    setting: visit({ kind: 'datum-setting' }),
    nextCheck: () => visit({ kind: 'datum-check', level: ++level, levels: plan.checks }),
    afterRough: new Set(rough.after),
    afterFinish: new Set(finish.after),
  };
}

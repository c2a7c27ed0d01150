/**
 * The whole toolpath of a job's teeth: air pass, roughing, finishing, with stops where a person
 * must act. Planning only; nothing here looks at the text of the program or replays it.
 *
 * Of the folder: process and choose say how hard to cut; ring, rough, gap/ and finish lay paths, bore
 * a program of its own; datum and edge-changes say where to stop, restart where to go on; timing says
 * how long it takes, and stock/ what is left of the blank.
 */

import { Refusal } from '../model/refusal.js';
import type { Job } from '../model/job.js';
import type { Machine } from '../model/machine.js';
import { type DistanceField, makeDistanceField } from '../profile/geometry/distance-field.js';
import type { Loop, Pt } from '../model/edges.js';
import { GeometryError, perimeter, signedArea } from '../profile/geometry/loop.js';
import type { Wheel } from '../profile/wheel/sprocket.js';
import { type DatumPlan, type DatumSchedule, type Surroundings, datumSchedule } from './datum.js';
import { checkFlutes } from './flutes.js';
import { type Ground, groundOf, tableZMm } from './ground.js';
import { type FinishContour, type FinishPlan, finishContours, planFinish } from './finish.js';
import { parallelCurve } from './parallel.js';
import { atDepth, type PlanarMove } from './planar.js';
import type { GapSize } from './choose.js';
import { OVERRUN_MM, type Process, chooseProcess, roughBoundMin } from './process.js';
import { type RoughLevel, planRoughLevel } from './rough.js';
import { motionTimes } from './timing.js';
import { Steps, type TimedAs } from './steps.js';
import { levelHead } from '../model/section.js';
import { type Move, type Toolpath, isCut } from '../model/toolpath.js';
import { S_PER_MIN } from '../maths/motion.js';
import { PLACE_TOL_MM, countUp } from '../maths/tolerance.js';
import { norm2 } from '../maths/angle.js';

/** The blank that is laid on the machine. */
export interface BlankSize {
  readonly diameterMm: number;
  readonly thicknessMm: number;
  /** How far its centre may be from the wheel's axis. mm */
  readonly centringErrorMm: number;
}

export interface CamPlan {
  readonly toolpath: Toolpath;
  readonly process: Process;
  readonly rough: RoughLevel;
  readonly finish: FinishPlan;
  readonly blank: BlankSize;
  readonly field: DistanceField;
  /** Volume between the nominal blank and the outline plus allowance, over the teeth. mm3 */
  readonly roughVolumeMm3: number;
  readonly roughBoundMin: number;
  readonly times: {
    readonly roughCutMin: number;
    readonly roughLinkMin: number;
    readonly finishMin: number;
    readonly finishLinkMin: number;
    readonly airMin: number;
    readonly totalMin: number;
  };
  /** Returns to a reference; null where the job asks for none. */
  readonly datum: DatumPlan | null;
  /** What each move of the toolpath is counted under, and its seconds. */
  readonly timedAs: readonly TimedAs[];
  readonly secondsOf: Float64Array;
}

/** Skin that is turned or milled away besides the centring error. mm, on the radius. */
export const SKIN_MM = 0.25;

/** Height of the air pass over the blank. mm */
const AIR_PASS_Z_MM = 2;

/** The smallest blank worth sawing or turning, in tenths: tip plus centring error plus skin. mm */
export function closeBlankMm(job: Job, profile: Wheel): number {
  return countUp((profile.tipDiameterMm + 2 * (job.blank.centringErrorMm + SKIN_MM)) * 10) / 10;
}

/** Blank of a job, with defaults. */
export function blankSize(job: Job, profile: Wheel): BlankSize {
  const diameterMm = job.blank.diameterMm ?? closeBlankMm(job, profile);
  const needed = profile.tipDiameterMm + 2 * job.blank.centringErrorMm;
  if (diameterMm < needed) {
    throw new Refusal(
      'blank-too-small',
      `a blank of ${diameterMm.toFixed(2)} mm does not hold the ${profile.tipDiameterMm.toFixed(2)} mm tip circle when it sits ${job.blank.centringErrorMm} mm off centre; it must be at least ${needed.toFixed(2)} mm`,
      diameterMm,
      needed,
    );
  }
  const thicknessMm = job.blank.thicknessMm ?? profile.thicknessMm;
  if (thicknessMm < profile.thicknessMm - PLACE_TOL_MM) {
    throw new Refusal(
      'blank-too-thin',
      `a blank of ${thicknessMm.toFixed(2)} mm is thinner than the ${profile.thicknessMm.toFixed(2)} mm teeth`,
      thicknessMm,
      profile.thicknessMm,
    );
  }
  return { diameterMm, thicknessMm, centringErrorMm: job.blank.centringErrorMm };
}

/** What the choice of the process has to know of the part. */
export function gapSize({ sprocket }: Job, profile: Wheel, blank: BlankSize): GapSize {
  const { outline } = profile;
  return {
    seatRadiusMm: profile.seatRadiusMm,
    depthMm: profile.thicknessMm + OVERRUN_MM,
    areaMm2: (Math.PI / 4) * blank.diameterMm ** 2 - signedArea(outline),
    gapDepthMm: (blank.diameterMm - profile.rootDiameterMm) / 2,
    perimeterMm: perimeter(outline),
    teeth: sprocket.teeth,
  };
}

/**
 * @param profile  the wheel whose outline is cut
 * @throws Refusal where the part cannot be cut this way on this machine
 */
export function layPath(
  job: Job,
  profile: Wheel,
  blank: BlankSize = blankSize(job, profile),
  process: Process = chooseProcess(job, gapSize(job, profile, blank)),
): CamPlan {
  const { outline } = profile;
  checkReach(job, profile);
  const grown = parallel(outline, process.allowanceMm, job);
  // The path of the cutter's centre round the allowance is the tightest that it has to follow.
  parallel(outline, job.cutter.diameterMm / 2 + process.allowanceMm, job);
  const rough = planRoughLevel(job, profile, blank.diameterMm / 2 + blank.centringErrorMm, process);
  const finish = planFinish(job, profile, process, perimeter(outline));
  const field = makeDistanceField(outline);
  const contours = finishContours(job, outline, field, process, finish);
  const round = contours.reduce((sum, contour) => sum + contour.moves.length, 0);
  checkLength(process.levelsMm.length * rough.moves.length + finish.levelsMm.length * round);

  const roughVolumeMm3 =
    profile.thicknessMm * ((Math.PI / 4) * blank.diameterMm ** 2 - signedArea(grown));
  const reachMm = Math.max(reachOf(rough, ...contours), blankReachMm(job, blank));
  const ground = groundOf(job, profile.thicknessMm, reachMm);
  const tableMm = tableZMm(job, Math.max(blank.thicknessMm, profile.thicknessMm));
  const levels = { rough, finish, contours };
  const { toolpath, timedAs, datum } = assemble(job, process, levels, ground, tableMm);
  return {
    ...timed(toolpath, timedAs, job.machine),
    process,
    rough,
    finish,
    blank,
    field,
    roughVolumeMm3,
    roughBoundMin: roughBoundMin(process, roughVolumeMm3),
    datum,
  };
}

/** Most moves that a program is planned with: some 12 MB of text. */
const MAX_MOVES = 330_000;

function checkLength(moves: number): void {
  if (moves <= MAX_MOVES) return;
  throw new Refusal(
    'program-too-long',
    `the program would have ${moves.toLocaleString('en-US')} moves, more than the ${MAX_MOVES.toLocaleString('en-US')} this tool writes: use a larger cutter, less stick-out, a stiffer machine with deeper levels, or thinner teeth`,
    moves,
    MAX_MOVES,
  );
}

/** @throws Refusal 'cutter-too-large' */
function parallel(outline: Loop, distanceMm: number, job: Job): Loop {
  try {
    return parallelCurve(outline, distanceMm, job.sprocket.teeth);
  } catch (error) {
    if (!(error instanceof GeometryError)) throw error;
    throw new Refusal(
      'cutter-too-large',
      `a ${job.cutter.diameterMm} mm cutter does not reach everywhere between the teeth: ${error.message}`,
      job.cutter.diameterMm,
      null,
    );
  }
}

function checkReach(job: Job, profile: Wheel): void {
  const depth = profile.thicknessMm;
  if (job.cutter.stickOutMm < depth + 1) {
    throw new Refusal(
      'stick-out-too-short',
      `a stick-out of ${job.cutter.stickOutMm} mm lets the collet nut touch a blank ${depth.toFixed(2)} mm thick; it must be at least ${(depth + 1).toFixed(1)} mm`,
      job.cutter.stickOutMm,
      depth + 1,
    );
  }
  checkFlutes(job.cutter, depth);
  const hub = job.hub;
  if (hub && hub.diameterMm > profile.rootDiameterMm - 0.2) {
    throw new Refusal(
      'hub-in-the-way',
      `the hub of ${hub.diameterMm} mm reaches into the tooth gaps, whose root circle is ${profile.rootDiameterMm.toFixed(2)} mm: the cutter runs below the teeth and would cut it`,
      hub.diameterMm,
      profile.rootDiameterMm - 0.2,
    );
  }
}

interface Levels {
  readonly rough: RoughLevel;
  readonly finish: FinishPlan;
  readonly contours: readonly FinishContour[];
}

function assemble(
  job: Job,
  process: Process,
  levels: Levels,
  ground: Ground,
  tableMm: number,
): Pick<CamPlan, 'toolpath' | 'timedAs' | 'datum'> {
  const { rough, finish, contours } = levels;
  const steps = new Steps(job, process, ground);
  const { clearanceZMm } = ground;
  const reachMm = reachOf(rough, ...contours);
  const around = { reachMm, clearanceZMm, tableZMm: tableMm };
  const checks = datumChecks(job, process, levels, around);
  const last = contours.at(-1)!;
  steps.setOut();
  layAirPass(steps, last, process);
  if (checks) steps.aside(checks.setting);
  layRoughing(steps, rough, checks);
  layFinishing(steps, process, finish, contours, checks);
  return {
    toolpath: steps.toolpath(),
    timedAs: steps.timedAs,
    datum: checks?.plan ?? null,
  };
}

/** The last contour over the blank, and a stop to look. */
function layAirPass(steps: Steps, last: FinishContour, process: Process): void {
  steps.push({ kind: 'section', head: { kind: 'air', heightMm: AIR_PASS_Z_MM } });
  steps.startSpindle();
  steps.over(last.start);
  steps.downInAir(last.start, AIR_PASS_Z_MM);
  const asAir = { feedMmPerMin: process.linkFeedMmPerMin, role: 'air' } as const;
  steps.level(
    last.moves.map((move) => ({ ...move, ...asAir })),
    AIR_PASS_Z_MM,
  );
  steps.over(last.moves.at(-1)!.to);
  steps.stopAside(
    'air-pass',
    'AIR PASS DONE: IS THE PATH CENTRED ON THE BLANK AND CLEAR OF THE HOLDING?',
  );
}

function layRoughing(
  steps: Steps,
  { start, moves }: RoughLevel,
  checks: DatumSchedule | null,
): void {
  steps.now = 'rough';
  steps.roughing('rough', start, moves, (level) => {
    if (checks?.afterRough.has(level)) visitFrom(steps, start, checks);
  });
  if (checks) steps.aside(checks.nextCheck());
  steps.stopAside(
    'roughed',
    'ROUGHED: CLEAR CHIPS, LOOK AT BOTH SIDES OF EVERY TOOTH BEFORE FINISHING',
  );
}

function layFinishing(
  steps: Steps,
  process: Process,
  finish: FinishPlan,
  contours: readonly FinishContour[],
  checks: DatumSchedule | null,
): void {
  const first = contours[0]!;
  const feedMmPerMin = process.linkFeedMmPerMin;
  const back = (to: Pt, zMm: number): void =>
    steps.level([{ kind: 'line', to, feedMmPerMin, role: 'link' }], zMm);
  steps.now = 'finish';
  steps.enter(first.start);
  finish.levelsMm.forEach((zMm, i) => {
    contours.forEach((contour, k) => {
      const passes = { pass: k + 1, passes: contours.length };
      steps.push(levelHead('finish', i + 1, finish.levelsMm.length, zMm, passes));
      if (k === 0) steps.down(contour.start, zMm);
      else back(contour.start, zMm);
      steps.level(contour.moves, zMm);
    });
    back(first.start, zMm);
    if (checks?.afterFinish.has(i)) visitFrom(steps, first.start, checks);
  });
  steps.over(first.start);
  steps.standAside();
}

/** Greatest distance of the cutter's centre from the axis. mm */
function reachOf(...paths: readonly { start: Pt; moves: readonly PlanarMove[] }[]): number {
  let reach = 0;
  for (const { start, moves } of paths) {
    reach = Math.max(reach, norm2(start[0], start[1]));
    for (const { to } of moves) reach = Math.max(reach, norm2(to[0], to[1]));
  }
  return reach;
}

/** Where the cutter is beside the blank. mm from the axis */
function blankReachMm({ cutter }: Job, blank: BlankSize): number {
  return blank.diameterMm / 2 + blank.centringErrorMm + cutter.diameterMm / 2;
}

function datumChecks(
  job: Job,
  process: Process,
  { rough, finish, contours }: Levels,
  around: Surroundings,
): DatumSchedule | null {
  const levelS = (path: { start: Pt; moves: readonly PlanarMove[] }): number =>
    motionTimes([...path.start, 0], atDepth(path.moves, 0), job.machine).totalS;
  const roughS = levelS(rough);
  const finishS = contours.reduce((sum, contour) => sum + levelS(contour), 0);
  return datumSchedule(
    job,
    around,
    process.levelsMm.map(() => roughS),
    finish.levelsMm.map(() => finishS),
  );
}

/** Up, to the reference, and in again at the same place. */
function visitFrom(steps: Steps, at: Pt, checks: DatumSchedule): void {
  steps.over(at);
  steps.aside(checks.nextCheck());
  steps.enter(at);
}

/** A toolpath with the time of each move, and how they add up. */
export function timed(
  toolpath: Toolpath,
  timedAs: readonly TimedAs[],
  machine: Machine,
): Pick<CamPlan, 'toolpath' | 'timedAs' | 'secondsOf' | 'times'> {
  const { secondsOf } = motionTimes(toolpath.start, toolpath.moves, machine);
  return { toolpath, timedAs, secondsOf, times: sumTimes(toolpath.moves, secondsOf, timedAs) };
}

function sumTimes(
  moves: readonly Move[],
  secondsOf: Float64Array,
  timedAs: readonly TimedAs[],
): CamPlan['times'] {
  const s = { roughCut: 0, roughLink: 0, finishCut: 0, finishLink: 0, air: 0 };
  moves.forEach((move, i) => {
    const as = move.kind === 'spindle' ? 'air' : timedAs[i]!;
    s[as === 'air' ? as : (`${as}${isCut(move) ? 'Cut' : 'Link'}` as const)] += secondsOf[i]!;
  });
  return {
    roughCutMin: s.roughCut / S_PER_MIN,
    roughLinkMin: s.roughLink / S_PER_MIN,
    finishMin: s.finishCut / S_PER_MIN,
    finishLinkMin: s.finishLink / S_PER_MIN,
    airMin: s.air / S_PER_MIN,
    totalMin: (s.roughCut + s.roughLink + s.finishCut + s.finishLink + s.air) / S_PER_MIN,
  };
}

/** What a program starts from: the stock as the text says it, and as the replay needs it. */
import { hypot } from '../maths/elementary.js';
import { edgeConditions } from '../cam/choose.js';
import type { Aimed } from '../cam/aim.js';
import { boreDepthMm } from '../cam/bore.js';
import { spacerMaxMm } from '../cam/holding-choice.js';
import type { BlankSize } from '../cam/sequence.js';
import type { ReplaySetup } from '../cam/stock/replay.js';
import { type Motion, isMotion } from '../cam/stock/replay/motion.js';
import type { Job } from '../model/job.js';
import type { CanonicalOp } from '../model/op.js';
import { Refusal } from '../model/refusal.js';
import type { Stock } from '../model/stock.js';
import type { Program } from '../post/plan.js';
import { verifyEnvelope } from '../post/rs274/envelope.js';
import { type DistanceField, makeDistanceField } from '../profile/geometry/distance-field.js';
import { loopFlatten } from '../profile/geometry/loop.js';
import { boreLoop } from '../profile/wheel/bore.js';
import type { Wheel } from '../profile/wheel/sprocket.js';

export interface Start {
  readonly stock: Stock;
  readonly setup: ReplaySetup;
}

/** Chord error of the outline points at which leftover is measured. mm: far below the 0.01 mm to
 *  which leftover is judged. */
const OUTLINE_CHORD_MM = 5e-4;

/** The uncut blank. */
export function blankStart(
  job: Job,
  profile: Wheel,
  blank: BlankSize,
  field: DistanceField,
): Start {
  return {
    stock: { kind: 'blank', diameterMm: blank.diameterMm, thicknessMm: profile.thicknessMm },
    setup: {
      ...{ machine: job.machine, conditions: edgeConditions(job) },
      blankRadiusMm: blank.diameterMm / 2 + blank.centringErrorMm,
      thicknessMm: profile.thicknessMm,
      holes: [],
      field,
      outlinePoints: loopFlatten(profile.outline, OUTLINE_CHORD_MM),
    },
  };
}

/** The blank with its pilot hole, for the router's bore. */
export function boreStart(job: Job, depthMm: number, blankRadiusMm: number): Start {
  const loop = boreLoop(job.bore);
  const holeMm = job.bore.pilotHoleMm ?? 0;
  return {
    stock: { kind: 'pilot-hole', boreMm: job.bore.diameterMm, depthMm, holeMm },
    setup: {
      ...{ machine: job.machine, conditions: edgeConditions(job) },
      blankRadiusMm,
      thicknessMm: depthMm,
      holes: [{ x: 0, y: 0, radiusMm: holeMm / 2 }],
      field: makeDistanceField(loop),
      outlinePoints: loopFlatten(loop, OUTLINE_CHORD_MM),
    },
  };
}

/**
 * What a stopped run left: the first part of its program as it was written, then the part that ran
 * off its place.
 * @param from     what that program itself started from
 * @param program  the program that was stopped
 */
export function leftStart(
  from: Start,
  program: Pick<Program, 'ops' | 'text'>,
  { toLine, off }: Pick<Stock & { kind: 'left' }, 'toLine' | 'off'>,
): Start {
  const right = program.ops.filter((op) => op.line <= toLine);
  const wrong = off ? program.ops.filter((op) => op.line > toLine && op.line <= off.toLine) : [];
  const before = [...right, ...wrong.map((op) => shiftOp(op, off!.xMm, off!.yMm))];
  return {
    stock: { kind: 'left', sum: sumOf(program.text), toLine, off },
    setup: { ...from.setup, before: [...(from.setup.before ?? []), ...before] },
  };
}

/**
 * The start that a text of the job declares.
 * @param from     what the job's own program starts from
 * @param program  the job's own program
 * @throws Refusal 'stock-unknown' where it goes on from a program that is not the job's
 */
export function declaredStart(from: Start, program: Pick<Program, 'ops' | 'text'>, stock: Stock) {
  if (stock.kind !== 'left') return from;
  if (stock.sum !== sumOf(program.text)) {
    throw new Refusal(
      'stock-unknown',
      `the program goes on from the stock that program ${stock.sum} left; the job as it is now gives program ${sumOf(program.text)}, so what was standing when it began is not known`,
    );
  }
  return leftStart(from, program, stock);
}

function sumOf(text: string): string {
  return verifyEnvelope(text).sum ?? '';
}

/** The same operation so far off its place. */
export function shiftOp(op: CanonicalOp, dx: number, dy: number): CanonicalOp {
  if (!isMotion(op)) return op;
  const from = [op.from[0] + dx, op.from[1] + dy, op.from[2]] as const;
  const to = [op.to[0] + dx, op.to[1] + dy, op.to[2]] as const;
  if (op.op !== 'arc') return { ...op, from, to };
  const center = op.plane === 'xy' ? ([op.center[0] + dx, op.center[1] + dy] as const) : op.center;
  return { ...op, from, to, center };
}

/** What a program is for, the teeth or the bore, and what the replay starts from. */
export interface CheckSetup {
  readonly target: 'teeth' | 'bore';
  readonly blank: BlankSize;
  readonly replay: ReplaySetup;
  /** Depth of what is cut below the face. mm */
  readonly depthMm: number;
  /** Spacer, ring or pad that the teeth rest on, at its largest. mm */
  readonly spacerRadiusMm: number;
  /** The program is for the bore: below the face it stays this near to the axis. mm */
  readonly withinMm: number | null;
}

/** @throws Refusal for a job whose blank or outline cannot be */
export function setupFor(
  job: Job,
  { cut: profile, blank }: Pick<Aimed, 'cut' | 'blank'>,
  ops: readonly CanonicalOp[],
): CheckSetup {
  const teeth = blankStart(job, profile, blank, makeDistanceField(profile.outline)).setup;
  const spacerRadiusMm = spacerMaxMm(profile.rootDiameterMm, blank.centringErrorMm) / 2;
  const common = { blank, spacerRadiusMm };
  if (job.bore.madeBy !== 'router' || job.bore.shape !== 'round' || job.bore.pilotHoleMm === null) {
    const depthMm = profile.thicknessMm;
    return { ...common, target: 'teeth', replay: teeth, depthMm, withinMm: null };
  }
  // Nearer to the bore than to the teeth all the way: then the bore is what it cuts.
  const withinMm = lowReachMm(ops);
  const betweenMm = (job.bore.diameterMm + profile.rootDiameterMm) / 4 - job.cutter.diameterMm / 2;
  if (withinMm !== null && withinMm < betweenMm) {
    const depthMm = boreDepthMm(job, profile.thicknessMm);
    const replay = boreStart(job, depthMm, teeth.blankRadiusMm).setup;
    return { ...common, target: 'bore', replay, depthMm, withinMm };
  }
  // Teeth, or teeth and bore in one program: the bore is air, and so is its pilot hole.
  const replay = {
    ...teeth,
    holes: [{ x: 0, y: 0, radiusMm: job.bore.pilotHoleMm / 2 }],
    field: makeDistanceField(profile.outline, boreLoop(job.bore)),
  };
  return { ...common, target: 'teeth', replay, depthMm: profile.thicknessMm, withinMm: null };
}

/** Greatest distance from the axis that the cutter's centre has below the face; null if it never
 *  goes there. mm */
function lowReachMm(ops: readonly CanonicalOp[]): number | null {
  let reach: number | null = null;
  for (const op of ops) {
    if (!isMotion(op) || Math.min(op.from[2], op.to[2]) >= 0) continue;
    reach = Math.max(reach ?? 0, reachMm(op));
  }
  return reach;
}

/** Greatest distance of a move from the axis; of an arc that of its circle. mm */
export function reachMm(op: Motion): number {
  const ends = Math.max(hypot(op.from[0], op.from[1]), hypot(op.to[0], op.to[1]));
  if (op.op !== 'arc' || op.plane !== 'xy') return ends;
  const [x, y] = op.center;
  return Math.max(ends, hypot(x, y) + hypot(op.from[0] - x, op.from[1] - y));
}

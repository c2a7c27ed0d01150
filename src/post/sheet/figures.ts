import { OVERRUN_MM } from '../../cam/process.js';
import type { PlannedJob } from '../plan.js';
import { turnedRelief, type Relief } from '../../profile/wheel/solid-relief.js';
import { radialRunoutLimitMm } from '../../profile/standard/limits.js';
import { plainDigest } from '../rs274/envelope.js';
import { type HoldingPlan, holdingPlan, spigotDiameterMm } from './holding-plan.js';
import { HOLD_CLEARANCE_MM, type Reach, reachOf } from './reach.js';

interface Range {
  readonly low: number;
  readonly high: number;
}

/** Every figure on the sheet that the plan does not hold as it is. */
export interface SheetFigures {
  readonly digest: string;
  readonly lineCount: number;
  /** The first line of the program, by which a copy is known. */
  readonly firstLine: string;
  readonly reach: Reach;
  readonly holding: HoldingPlan;
  readonly relief: Relief;
  readonly spigotMm: number;
  /** Nothing that stands up may be nearer to the axis than this. */
  readonly keepOutDiameterMm: number;
  readonly overrunMm: number;
  readonly cutFeed: Range;
  readonly finishFeed: Range;
  /** Cutting edges that pass a point in a second. */
  readonly toothPassHz: number;
  readonly minPerLevel: number;
  readonly stops: readonly SheetStop[];
  /** Total indicator reading that the centring error of the plan stands for. */
  readonly centringReadingMm: number;
  /** Total reading on the root circle that the standard allows the finished wheel. */
  readonly runoutLimitMm: number;
}

export function sheetFigures(planned: PlannedJob): SheetFigures {
  const { job, jobDigest, program, cam, profile } = planned;
  const reach = reachOf(planned);
  return {
    digest: plainDigest(jobDigest),
    lineCount: program.lineCount,
    firstLine: program.text.slice(0, program.text.indexOf('\n')).trim(),
    reach,
    holding: holdingPlan(planned, reach),
    relief: turnedRelief(profile),
    spigotMm: spigotDiameterMm(job.hub, job.bore.diameterMm, reach),
    keepOutDiameterMm: Math.ceil(2 * (reach.sweptRadiusMm + HOLD_CLEARANCE_MM)),
    overrunMm: OVERRUN_MM,
    cutFeed: feedRange(planned, 'cut'),
    finishFeed: feedRange(planned, 'finish'),
    toothPassHz: (cam.process.spindleRpm * job.cutter.flutes) / 60,
    minPerLevel:
      (cam.times.roughCutMin + cam.times.roughLinkMin) / Math.max(1, cam.process.levelsMm.length),
    stops: stopsOf(planned),
    centringReadingMm: 2 * cam.blank.centringErrorMm,
    runoutLimitMm: radialRunoutLimitMm(profile.rootDiameterMm),
  };
}

function feedRange({ cam }: PlannedJob, role: 'cut' | 'finish'): Range {
  let low = Infinity;
  let high = 0;
  for (const move of cam.toolpath.moves) {
    if ((move.kind !== 'line' && move.kind !== 'arc') || move.role !== role) continue;
    low = Math.min(low, move.feedMmPerMin);
    high = Math.max(high, move.feedMmPerMin);
  }
  return { low: Math.min(low, high), high };
}

/** Stops of the program as the reader finds them; those that ask for the same are one entry. */

/** One M0 of the program, or several that ask for the same. */
export interface SheetStop {
  readonly message: string;
  /** Lines of the program it stands on; checks that repeat are one entry. */
  readonly lines: readonly number[];
  /** Running time from the start to the first of them; null where it is not known. */
  readonly afterMin: number | null;
}

const CHECK_NUMBER = /DATUM CHECK (\d+) OF (\d+)/g;

export function stopsOf({ ops, cam }: Pick<PlannedJob, 'ops' | 'cam'>): SheetStop[] {
  const times: number[] = [];
  let seconds = 0;
  cam.toolpath.moves.forEach((move, i) => {
    if (move.kind === 'stop') times.push(seconds / 60);
    seconds += cam.secondsOf[i] ?? 0;
  });
  const found = ops.filter((op) => op.op === 'stop');
  const known = found.length === times.length;
  const stops = new Map<string, { message: string; lines: number[]; afterMin: number | null }>();
  found.forEach((op, i) => {
    const message = op.message.replace(/^STOP:\s*/i, '');
    const key = message.replace(CHECK_NUMBER, 'DATUM CHECK');
    const same = stops.get(key);
    if (same) {
      same.lines.push(op.line);
      // Checks that differ in their number only go under all their numbers.
      if (same.message !== message) same.message = ofAll(message);
    } else {
      stops.set(key, { message, lines: [op.line], afterMin: known ? times[i]! : null });
    }
  });
  return [...stops.values()];
}

function ofAll(message: string): string {
  return message
    .replace(/NOTE DATUM CHECK \d+ OF \d+/, 'NOTE ITS NUMBER')
    .replace(CHECK_NUMBER, 'EACH DATUM CHECK');
}

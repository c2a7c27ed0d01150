import { OVERRUN_MM } from '../../cam/process.js';
import type { PlannedJob } from '../plan.js';
import { turnedRelief, type Relief } from '../../profile/wheel/solid-relief.js';
import { radialRunoutLimitMm } from '../../profile/standard/limits.js';
import { plainDigest } from '../rs274/envelope.js';
import { type HoldingPlan, holdingPlan, spigotDiameterMm } from './holding-plan.js';
import { HOLD_CLEARANCE_MM, type Reach, reachOf } from './reach.js';
import { type SheetStop, stopsOf } from './stops.js';

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
    minPerLevel: minutesPerLevel(cam),
    stops: stopsOf(planned),
    centringReadingMm: 2 * cam.blank.centringErrorMm,
    runoutLimitMm: radialRunoutLimitMm(profile.rootDiameterMm),
  };
}

/** Of a roughing level; of a finishing one where no roughing is left. */
function minutesPerLevel({ times, process, finish }: PlannedJob['cam']): number {
  const { length } = process.levelsMm;
  if (length > 0) return (times.roughCutMin + times.roughLinkMin) / length;
  return (times.finishMin + times.finishLinkMin) / Math.max(1, finish.levelsMm.length);
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

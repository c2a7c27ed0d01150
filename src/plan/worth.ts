/** What ten minutes of measuring would be worth to a cut: the choice made again as if the machine were
 *  measured and turned out as its profile says. */
import { exp } from '../maths/elementary.js';
import { type GapSize, type Way, chooseWay, missOf, searchOf } from '../cam/choose.js';
import { MEASURED_SIGMA, isThrustMeasured } from '../machines/bear/spread.js';
import { S_PER_MIN } from '../maths/motion.js';
import type { Job } from '../model/job.js';
import { type Machine, isMeasured } from '../model/machine.js';

export interface Worth {
  /** Time saved at the same risk. min, 0 or more; null where it has been measured already. */
  readonly pullTestMin: number | null;
  readonly tapMin: number | null;
}

/** Where nobody asks what measuring is worth: to find out takes as long as to choose the cut twice. */
export const NOT_ASKED: Worth = { pullTestMin: null, tapMin: null };

/** What a tap measures, by the beginning of its path. */
const TAPPED = [
  'mountHz',
  'mountDamping',
  'frameHz',
  'frameDamping',
  'cutterDamping',
  'holderMassKg',
];

export function worthOfMeasuring(job: Job, size: GapSize, way: Way): Worth {
  // A fit way is beaten by a quicker one that is fit, so slower ones are not looked at.
  const fit = missOf(way, job.riskShare) === 0;
  const savesMin = (machine: Machine): number => {
    const search = searchOf({ ...job, machine }, size, way.edgeScale);
    const found = chooseWay(search, fit ? way.timeS : Infinity).best;
    if (!found || (fit && missOf(found, job.riskShare) > 0)) return 0;
    return Math.max(0, way.timeS - found.timeS) / S_PER_MIN;
  };
  const { machine } = job;
  const pulled = isThrustMeasured(machine) || (machine.learnt?.pulled ?? null) !== null;
  const tapped = TAPPED.some(
    (key) => isMeasured(machine, `modes.${key}`) || isMeasured(machine, `modes.${key}.x`),
  );
  return {
    pullTestMin: pulled ? null : savesMin(asPulled(machine)),
    tapMin: tapped ? null : savesMin(asTapped(machine)),
  };
}

function asPulled(machine: Machine): Machine {
  const factor = exp(MEASURED_SIGMA);
  return { ...machine, thrustSpread: { x: factor, y: factor, z: machine.thrustSpread.z } };
}

function asTapped(machine: Machine): Machine {
  const provenance: Record<string, string> = { ...machine.provenance };
  for (const path of Object.keys(provenance)) {
    if (TAPPED.some((key) => path.startsWith(`modes.${key}`))) provenance[path] = 'measured';
  }
  return { ...machine, provenance };
}

/** Planning time and memory against the number of teeth and of levels. */
import { layPath } from '../../src/cam/sequence.js';
import { wheelOf } from '../../src/profile/wheel/sprocket.js';
import type { Job } from '../../src/model/job.js';
import { jobOf } from '../cam/jobs.js';
import { medianMs } from './measure.js';

export interface ScaleCase {
  readonly teeth: number;
  readonly levels: number;
}

export interface ScaleResult extends ScaleCase {
  readonly ms: number;
  readonly moves: number;
  /** Path at depth, all levels. mm */
  readonly pathMm: number;
  /** Greatest memory of the process, that of the runtime itself included. MB */
  readonly peakMb: number;
}

/** A wheel for 219 chain on a machine with travel for the largest. */
function wheel(teeth: number): Job {
  const job = jobOf({
    chain: '219',
    teeth,
    cutter:
      'diameter: 2 mm, flutes: 3, stick-out: 30 mm, flute-length: 28 mm, shank-diameter: 2 mm',
    thickness: '4 mm',
    material: '6082-T6',
    machine: 'screw-gantry-stiff',
    limits: 'max-stepdown: 0.25 mm',
  });
  // The question is planning, not bending: a stick-out of what a thin wheel needs.
  return {
    ...job,
    cutter: { ...job.cutter, stickOutMm: 12, fluteLengthMm: 11 },
    machine: { ...job.machine, travelMm: { x: 1000, y: 1000, z: 200 } },
  };
}

export function benchScale({ teeth, levels }: ScaleCase): ScaleResult {
  const job = wheel(teeth);
  const profile = { ...wheelOf(job), thicknessMm: levels * 0.25 - 0.101 };
  const made = layPath(job, profile);
  // Of one plan in a process of its own, as the command makes it; the repeats come after.
  const peakMb = process.resourceUsage().maxRSS / 1024;
  const ms = medianMs(3, () => layPath(job, profile));
  let pathMm = 0;
  let at = made.toolpath.start;
  for (const move of made.toolpath.moves) {
    if (!('to' in move)) continue;
    if (move.to[2] < 0) pathMm += Math.hypot(move.to[0] - at[0], move.to[1] - at[1]);
    at = move.to;
  }
  return {
    teeth,
    levels: made.process.levelsMm.length,
    ms,
    moves: made.toolpath.moves.length,
    pathMm,
    peakMb,
  };
}

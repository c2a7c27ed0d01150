/**
 * Where a program moves when it does not cut: how high it crosses, where it stands at stops and at
 * the end, and how it gets there from a place that nobody knows.
 */
import type { Job } from '../model/job.js';
import type { Pt } from '../model/edges.js';
import { knowsTop } from '../model/op.js';
import { BOLT_HEAD_MM } from './holding-choice.js';
import { OVERRUN_MM } from './process.js';

/** Height over the face at which all is crossed: screws, bolt, a clamp on the table beside a blank
 *  of common thickness, a chip that has curled up. mm. Common practice, no source. */
const HIGH_MM = 30;
/** Left of the travel of Z above that. mm */
const TOP_SPARE_MM = 1;
/** From the work to where the cutter stands while a hand is in the gaps, along each axis. mm. Common
 *  practice, no source. */
const AWAY_MM = 40;

/** The least that a spacer lifts the blank off the table. mm. Common practice, no source. */
const SPACER_THICKNESS_MM = 3;

/** Height at which the table may be: under the spacer, or under a hub. @param depthMm of the blank's
 *  underside, or of what is cut if that is more */
export function tableZMm({ hub }: Pick<Job, 'hub'>, depthMm: number): number {
  return -depthMm - Math.max(hub?.lengthMm ?? 0, SPACER_THICKNESS_MM);
}

export interface Ground {
  /** Z of every way across. mm */
  readonly clearanceZMm: number;
  /** X and Y at stops and at the end: a corner behind the work. mm */
  readonly park: Pt;
  /** The control cannot find the top of travel by itself: a person has to say that the way up is free. */
  readonly asksForHeight: boolean;
}

/** The least that a way across keeps over the face: over a bolt head where one stands. mm */
export function overHoldingMm(job: Job): number {
  return job.blank.heldBy === 'through-bolt' ? BOLT_HEAD_MM + 4 : 5;
}

/**
 * @param depthMm  depth of the cut below the face
 * @param reachMm  greatest distance of the cutter's centre from the axis while it works
 */
export function groundOf(job: Job, depthMm: number, reachMm: number): Ground {
  const { travelMm, homed } = job.machine;
  const room = Math.floor(travelMm.z - depthMm - OVERRUN_MM - TOP_SPARE_MM);
  // No farther than the work itself needs, or half of the travel: so the zero may sit in the middle.
  const away = (axis: 'x' | 'y'): number =>
    Math.ceil(Math.max(reachMm, Math.min(reachMm + AWAY_MM, travelMm[axis] / 2)) * 10) / 10;
  // Behind on the left, out of the way of who stands in front; on the right where a reference for
  // datum checks is there.
  const side = job.datum && job.datum.xMm < 0 && job.datum.yMm > 0 ? 1 : -1;
  return {
    clearanceZMm: Math.max(overHoldingMm(job), Math.min(HIGH_MM, room)),
    park: [side * away('x'), away('y')],
    asksForHeight: !knowsTop(homed, job.controller),
  };
}

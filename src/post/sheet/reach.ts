import { OVERRUN_MM } from '../../cam/process.js';
import type { PlannedJob } from '../../job/planned.js';
import { arc, arcParameter } from '../../profile/edge.js';

/** Space that the cut takes, from the program as it is read back. mm */
export interface Reach {
  /** Farthest that the cutter's rim comes from the axis. */
  readonly sweptRadiusMm: number;
  /** Nearest that the cutter's centre comes to the axis at depth. */
  readonly insidePathRadiusMm: number;
  readonly lowestZMm: number;
  readonly highestZMm: number;
  /** Travel between the outermost positions of the cutter's centre. */
  readonly travelMm: { readonly x: number; readonly y: number; readonly z: number };
  /** Height of the collet nut's face over the blank's top face at the lowest level. */
  readonly nutHeightMm: number;
  /** Largest spacer, ring or pad under the teeth that the cutter does not touch. */
  readonly spacerMaxMm: number;
}

/** Air between the spacer and the root circle besides the centring error. mm on the radius.
 *  Common practice, no source. */
const SPACER_AIR_MM = 0.5;

/** Distance that clamps and all that stands up keep from the cutter. mm. Common practice, no
 *  source. */
export const HOLD_CLEARANCE_MM = 3;

export function reachOf({ job, profile, cam, ops }: PlannedJob): Reach {
  let farthest = 0;
  let nearest = Infinity;
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  const visit = (x: number, y: number, z: number): void => {
    [x, y, z].forEach((v, i) => {
      low[i] = Math.min(low[i]!, v);
      high[i] = Math.max(high[i]!, v);
    });
    farthest = Math.max(farthest, Math.hypot(x, y));
    if (z < 0) nearest = Math.min(nearest, Math.hypot(x, y));
  };
  for (const op of ops) {
    if (op.op !== 'rapid' && op.op !== 'feed' && op.op !== 'arc') continue;
    visit(...op.to);
    if (op.op !== 'arc' || op.plane !== 'xy') continue;
    const [cx, cy] = op.center;
    const r = Math.hypot(op.from[0] - cx, op.from[1] - cy);
    const edge = arc([op.from[0], op.from[1]], [op.to[0], op.to[1]], [cx, cy], op.ccw);
    const z = Math.min(op.from[2], op.to[2]);
    // Where the circle has its extremes: on the axes through its centre, and on the line through
    // the axis of the wheel, both ends of it.
    const c = Math.hypot(cx, cy);
    const away = c > 1e-9 ? [cx / c, cy / c] : [1, 0];
    for (const [ux, uy] of [[1, 0], [-1, 0], [0, 1], [0, -1], away, [-away[0]!, -away[1]!]]) {
      const p: [number, number] = [cx + r * ux!, cy + r * uy!];
      if (arcParameter(edge, p[0], p[1], 1e-9) !== null) visit(p[0], p[1], z);
    }
  }
  const rootMm = profile.rootDiameterMm;
  const spacer = rootMm - 2 * (cam.blank.centringErrorMm + SPACER_AIR_MM);
  return {
    sweptRadiusMm: farthest + job.cutter.diameterMm / 2,
    insidePathRadiusMm: nearest,
    lowestZMm: low[2]!,
    highestZMm: high[2]!,
    travelMm: { x: high[0]! - low[0]!, y: high[1]! - low[1]!, z: high[2]! - low[2]! },
    nutHeightMm: job.cutter.stickOutMm - profile.thicknessMm - OVERRUN_MM,
    spacerMaxMm: Math.floor(spacer * 2) / 2,
  };
}

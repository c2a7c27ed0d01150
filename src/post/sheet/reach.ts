import { nutHeightMm, spacerMaxMm } from '../../cam/holding-choice.js';
import { arcPasses } from '../../cam/stock/replay/motion.js';
import type { Plan } from '../plan.js';
import { norm2 } from '../../maths/angle.js';

export type Reach = ReturnType<typeof reachOf>;

/** Distance that clamps and all that stands up keep from the cutter. mm. Common practice, no
 *  source. */
const HOLD_CLEARANCE_MM = 3;

const AXIS_WAYS = [
  [1, 0],
  [-1, 0],
  [0, 1],
  [0, -1],
] as const;

/** Space that the cut takes, from the program as it is read back. mm */
export function reachOf({ job, profile, cam, program }: Plan) {
  let farthest = 0;
  let [lowX, lowY, lowZ] = [Infinity, Infinity, Infinity];
  let [highX, highY, highZ] = [-Infinity, -Infinity, -Infinity];
  const atReference = referenceTest(cam);
  const visit = (x: number, y: number, z: number): void => {
    lowX = Math.min(lowX, x);
    lowY = Math.min(lowY, y);
    lowZ = Math.min(lowZ, z);
    highX = Math.max(highX, x);
    highY = Math.max(highY, y);
    highZ = Math.max(highZ, z);
    const crossing = z >= cam.toolpath.clearanceZMm - 1e-6;
    if (!crossing && !atReference(x, y, z)) farthest = Math.max(farthest, norm2(x, y));
  };
  for (const op of program.ops) {
    if (op.op !== 'rapid' && op.op !== 'feed' && op.op !== 'arc') continue;
    visit(op.to[0], op.to[1], op.to[2]);
    if (op.op !== 'arc' || op.plane !== 'xy') continue;
    const [cx, cy] = op.center;
    const r = norm2(op.from[0] - cx, op.from[1] - cy);
    const c = norm2(cx, cy);
    const z = Math.min(op.from[2], op.to[2]);
    // Most arcs stay within what is known already, however far round they go.
    const within =
      cx - r >= lowX && cx + r <= highX && cy - r >= lowY && cy + r <= highY && c + r <= farthest;
    if (within) continue;
    // Where the circle has its extremes: on the axes through its centre, and on the line from the
    // axis of the wheel through it.
    const out = c > 1e-9 ? ([cx / c, cy / c] as const) : ([1, 0] as const);
    for (const [ux, uy] of [...AXIS_WAYS, out]) {
      if (arcPasses(op, ux, uy)) visit(cx + r * ux, cy + r * uy, z);
    }
  }
  // The reference for datum checks, and ways across over everything else are not counted.
  const sweptRadiusMm = farthest + job.cutter.diameterMm / 2;
  return {
    /** Farthest that the cutter's rim comes from the axis while it works. */
    sweptRadiusMm,
    /** Nothing that stands up may be nearer to the axis than this. */
    keepOutDiameterMm: Math.ceil(2 * (sweptRadiusMm + HOLD_CLEARANCE_MM)),
    lowestZMm: lowZ,
    highestZMm: highZ,
    /** Travel between the outermost positions of the cutter's centre. */
    travelMm: { x: highX - lowX, y: highY - lowY, z: highZ - lowZ },
    /** Height of the collet nut's face over the blank's top face at the lowest level. */
    nutHeightMm: nutHeightMm(job.cutter.stickOutMm, profile.thicknessMm),
    spacerMaxMm: spacerMaxMm(profile.rootDiameterMm, cam.blank.centringErrorMm),
  };
}

type Test = (x: number, y: number, z: number) => boolean;

/** Whether the cutter stands at the reference for datum checks, or waits before it. */
function referenceTest({ datum }: Plan['cam']): Test {
  if (datum === null) return () => false;
  const { wait, checkX, checkY, kind, heightMm } = datum;
  // Probing ends short of the pin's axis, which is a corner of the box.
  const box = ([0, 1] as const).map((k) => {
    const at = [wait[k], checkX[k], checkY[k]];
    return [Math.min(...at), Math.max(...at)] as const;
  });
  const [xs, ys] = box as [readonly [number, number], readonly [number, number]];
  const fromZ = kind === 'indicators' ? heightMm - 1e-6 : -Infinity;
  return (x, y, z) => z >= fromZ && x >= xs[0] && x <= xs[1] && y >= ys[0] && y <= ys[1];
}

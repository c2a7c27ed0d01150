import modeling from '@jscad/modeling';
import serializer from '@jscad/stl-serializer';
import type { PlannedJob } from '../../job/planned.js';
import { type Job, PlanRefused } from '../../job/types.js';
import { boreLoop, boreReachMm } from '../../profile/bore.js';
import { sprocketSolid } from '../../profile/solid.js';
import type { SprocketProfile } from '../../profile/sprocket.js';

/**
 * The finished wheel as binary STL, mm: to print a trial piece, or to look at.
 * Z0 is the top face of the teeth; the hub is below.
 * @throws PlanRefused where bore or keyway come out of the hub, or through the root of the teeth
 */
export function sprocketStl({ job, profile }: PlannedJob): Uint8Array {
  checkWall(job, profile);
  const triangles = sprocketSolid(profile, job.sprocket.teeth, {
    bore: boreLoop(job.bore),
    hub: job.hub,
  });
  const { geom3, poly3 } = modeling.geometries;
  const solid = geom3.create(triangles.map((corners) => poly3.create([...corners])));
  const parts = serializer.serialize({ binary: true }, solid);
  const out = new Uint8Array(parts.reduce((sum, part) => sum + part.byteLength, 0));
  let offset = 0;
  for (const part of parts) {
    out.set(new Uint8Array(part), offset);
    offset += part.byteLength;
  }
  return out;
}

/** A bore with its keyway must stay inside the hub, or without a hub inside the root circle. */
function checkWall(job: Job, profile: SprocketProfile): void {
  const reachMm = boreReachMm(job.bore);
  const aroundMm = (job.hub?.diameterMm ?? profile.rootDiameterMm) / 2;
  if (reachMm < aroundMm) return;
  const what = job.bore.shape === 'keyed' ? 'keyway' : 'bore';
  throw new PlanRefused(
    'bore-breaks-out',
    `the ${what} reaches ${reachMm.toFixed(2)} mm from the axis, and the ${job.hub ? 'hub' : 'root of the teeth'} is at ${aroundMm.toFixed(2)} mm: no wall is left`,
    reachMm,
    aroundMm,
  );
}

import modeling from '@jscad/modeling';
import serializer from '@jscad/stl-serializer';
import type { PlannedJob } from '../plan.js';
import { boreLoop } from '../../profile/wheel/bore.js';
import { sprocketSolid } from '../../profile/wheel/solid.js';

/**
 * The finished wheel as binary STL, mm: to print a trial piece, or to look at.
 * Z0 is the top face of the teeth; the hub is below.
 */
export function sprocketStl({ job, profile }: PlannedJob): Uint8Array {
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

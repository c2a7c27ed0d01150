import { tan } from '../../maths/elementary.js';
import { stableNumber } from '../../text/stable-json.js';
import modeling from '@jscad/modeling';
import serializer from '@jscad/stl-serializer';
import { Colors, DxfWriter, LWPolylineFlags, Units, point2d, point3d } from '@tarikjabiri/dxf';
import type { Plan } from '../plan.js';
import { boreLoop } from '../../profile/wheel/bore.js';
import { sprocketSolid } from '../../profile/wheel/solid.js';
import { edgeSweepRad } from '../../profile/geometry/edge.js';
import type { Loop } from '../../model/edges.js';

/** Coordinates closer to an axis than this are on it. mm */
const ON_AXIS_MM = 1e-9;

/**
 * Outline, bore and circles of the wheel as DXF, mm, axis at the origin, a tooth gap on +X.
 *
 * Outline and bore are one closed polyline each, so that a drawing program takes them as contours;
 * arcs are given by their bulge, tan(sweep / 4), which is as exact as a centre and a radius.
 */
export function outlineDxf({ job, aim: { drawn: profile }, cam }: Plan): string {
  const dxf = new DxfWriter();
  dxf.setUnits(Units.Millimeters);
  dxf.setVariable('$MEASUREMENT', { 70: 1 });
  dxf.setVariable('$LASTSAVEDBY', { 1: 'gullet' });
  const layer = (name: string, color: number): { layerName: string } => {
    dxf.addLayer(name, color, 'CONTINUOUS');
    return { layerName: name };
  };
  const loop = (edges: Loop, options: { layerName: string }): void => {
    dxf.addLWPolyline(
      edges.map((edge) => ({
        point: point2d(onAxis(edge.a[0]), onAxis(edge.a[1])),
        ...(edge.kind === 'arc' ? { bulge: bulgeOf(edgeSweepRad(edge), edge.ccw) } : {}),
      })),
      { ...options, flags: LWPolylineFlags.Closed },
    );
  };
  const circle = (diameterMm: number, options: { layerName: string }): void => {
    dxf.addCircle(point3d(0, 0, 0), stableNumber(diameterMm / 2), options);
  };
  loop(profile.outline, layer('OUTLINE', Colors.White));
  loop(boreLoop(job.bore), layer('BORE', Colors.White));
  if (job.joint.kind === 'brazed-insert') {
    loop(boreLoop(job.joint.shaft), layer('INSERT-BORE', Colors.Magenta));
  }
  circle(profile.pitchDiameterMm, layer('PITCH-CIRCLE', Colors.Cyan));
  circle(cam.blank.diameterMm, layer('BLANK', Colors.Yellow));
  const hub = layer('HUB', Colors.Green);
  if (job.hub) circle(job.hub.diameterMm, hub);
  return dxf.stringify();
}

/** As many figures as do not hang on the run-time: a tangent may differ in its last bit. */
function bulgeOf(sweepRad: number, ccw: boolean): number {
  return Number((tan(sweepRad / 4) * (ccw ? 1 : -1)).toPrecision(11));
}

function onAxis(valueMm: number): number {
  return Math.abs(valueMm) < ON_AXIS_MM ? 0 : stableNumber(valueMm);
}

/**
 * The finished wheel as binary STL, mm: to print a trial piece, or to look at.
 * Z0 is the top face of the teeth; the hub is below.
 */
export function sprocketStl({ job, aim: { drawn: profile } }: Plan): Uint8Array {
  const triangles = sprocketSolid(profile, job.sprocket.teeth, {
    // As it goes on the shaft: an insert is part of it.
    bore: boreLoop(job.joint.shaft),
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

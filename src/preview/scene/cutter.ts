/** Cutter, shank and collet nut, at the true stick-out, bent on demand. */
import { TURN_RAD, radFromDeg } from '../../maths/angle.js';
import {
  CylinderGeometry,
  Group,
  LatheGeometry,
  Mesh,
  type ShaderMaterial,
  Vector2,
  TubeGeometry,
  CatmullRomCurve3,
  Vector3,
} from 'three';
import { type Cutter, bodyDiameterMm } from '../../model/machine.js';

/** Width across and height of the nut as drawn. mm: a small collet nut; common practice, no
 *  source. Nothing is reckoned from them. */
const NUT_MM = { across: 19, height: 12, face: 13 } as const;
/** Spindle nose above the nut. mm */
const NOSE_MM = { diameter: 26, height: 10 } as const;
const SIDES = 32;

export type CutterMaterials = Readonly<
  Record<'flutes' | 'edge' | 'shank' | 'holder', ShaderMaterial>
>;

/** Bending of the cutter's axis at a height above its tip, mm, already exaggerated. */
export type Bend = (heightMm: number) => readonly [x: number, y: number];

export class CutterModel {
  readonly group = new Group();
  readonly holder = new Group();
  private readonly tool = new Group();
  private readonly rest: { mesh: Mesh; position: Float32Array }[] = [];

  constructor(cutter: Cutter, materials: CutterMaterials) {
    const { diameterMm, fluteLengthMm, stickOutMm, shankDiameterMm, flutes, helixDeg } = cutter;
    const bodyMm = bodyDiameterMm(cutter);
    const fluted = Math.min(fluteLengthMm, stickOutMm);
    // An upright cylinder on the tip, in slices so that it can bend.
    const core = new CylinderGeometry(0.45 * diameterMm, 0.45 * diameterMm, fluted, SIDES, 12);
    core.rotateX(Math.PI / 2).translate(0, 0, fluted / 2);
    this.tool.add(new Mesh(core, materials.flutes));
    for (let k = 0; k < flutes; k++) {
      const start = (TURN_RAD * k) / flutes;
      this.tool.add(new Mesh(edgeStrip(diameterMm / 2, fluted, start, helixDeg), materials.edge));
    }
    if (stickOutMm > fluted) {
      const cone = Math.min(1, (stickOutMm - fluted) / 2);
      const profile = [
        new Vector2(0.45 * diameterMm, fluted),
        new Vector2(bodyMm / 2, fluted + cone),
        new Vector2(bodyMm / 2, stickOutMm),
      ];
      this.tool.add(turned(profile, materials.shank));
    }
    this.tool.traverse((object) => {
      if (!(object instanceof Mesh)) return;
      const array = object.geometry.getAttribute('position').array as Float32Array;
      this.rest.push({ mesh: object, position: array.slice() });
    });
    const { across, height, face } = NUT_MM;
    const nut = [
      [shankDiameterMm / 2, 0],
      [face / 2, 0],
      [across / 2, 3],
      [across / 2, height],
      [NOSE_MM.diameter / 2, height],
      [NOSE_MM.diameter / 2, height + NOSE_MM.height],
      [0.01, height + NOSE_MM.height],
    ] as const;
    const profile = nut.map(([radius, above]) => new Vector2(radius, stickOutMm + above));
    this.holder.add(turned(profile, materials.holder));
    this.group.add(this.tool, this.holder);
  }

  place(x: number, y: number, z: number, turnRad: number): void {
    this.group.position.set(x, y, z);
    this.tool.rotation.z = turnRad;
  }

  /** Shifts every point of the tool sideways; null puts it straight. */
  bend(bend: Bend | null): void {
    const turn = this.tool.rotation.z;
    const [c, s] = [Math.cos(-turn), Math.sin(-turn)];
    for (const { mesh, position } of this.rest) {
      const attribute = mesh.geometry.getAttribute('position');
      const array = attribute.array as Float32Array;
      array.set(position);
      if (bend) {
        for (let v = 0; v < array.length; v += 3) {
          const [x, y] = bend(array[v + 2]!);
          array[v] = array[v]! + c * x - s * y;
          array[v + 1] = array[v + 1]! + s * x + c * y;
        }
      }
      attribute.needsUpdate = true;
    }
    const [x, y] = bend ? bend(Infinity) : [0, 0];
    this.holder.position.set(x, y, 0);
  }
}

function turned(profile: Vector2[], material: ShaderMaterial): Mesh {
  const geometry = new LatheGeometry(profile, SIDES);
  geometry.rotateX(Math.PI / 2);
  return new Mesh(geometry, material);
}

/** One cutting edge: a thin tube along the helix of a right-hand cutter. */
function edgeStrip(radiusMm: number, lengthMm: number, start: number, helixDeg: number) {
  const lead = Math.tan(radFromDeg(helixDeg)) / radiusMm;
  const r = 0.93 * radiusMm;
  const points = Array.from({ length: 13 }, (_, i) => {
    const z = (lengthMm * i) / 12;
    const a = start + lead * z;
    return new Vector3(r * Math.cos(a), r * Math.sin(a), z);
  });
  return new TubeGeometry(new CatmullRomCurve3(points), 24, 0.09 * radiusMm, 5);
}

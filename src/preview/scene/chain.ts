/** The chain laid on the teeth: rollers in the gaps round half the wheel, and a few links off each end. */
import {
  CylinderGeometry,
  ExtrudeGeometry,
  Group,
  Mesh,
  type ShaderMaterial,
  Shape,
  type BufferGeometry,
} from 'three';
import { TURN_RAD } from '../../maths/angle.js';
import { linkPitchMm, pitchesPerTurn } from '../../profile/wheel/cut.js';
import type { PageData } from '../data/page-data.js';

/** Thickness of a plate and depth of one that no table gives, as shares of the pitch of a usual chain.
 *  As drawn; nothing is reckoned from them. */
const PLATE_SHARE = { thick: 0.11, deep: 0.92 } as const;
/** Middle of the wrap, where the usual view looks, and links that leave it at each end. */
const MIDDLE_RAD = (-5 / 8) * Math.PI;
const FREE_LINKS = 2;

type XY = readonly [x: number, y: number];

/** @param plates  material of links; @param rollers  of rollers and pins */
export function chainOnTeeth(
  { figures }: PageData,
  plates: ShaderMaterial,
  rollers: ShaderMaterial,
): Group {
  const { chain, sprocket } = figures.job;
  const places = rollerPlaces(
    linkPitchMm(chain) * (1 + chain.elongation),
    pitchesPerTurn(sprocket.teeth, chain),
  );
  const { rollerDiameterMm: rollerMm, innerWidthMm: insideMm } = chain;
  const usualMm = chain.doublePitch ? linkPitchMm(chain) / 2 : linkPitchMm(chain);
  const thickMm = PLATE_SHARE.thick * usualMm;
  const deepMm = chain.plateDepthMm ?? PLATE_SHARE.deep * usualMm;
  const group = new Group();
  group.position.z = -figures.profile.thicknessMm / 2;
  const roller = upright(rollerMm / 2, insideMm);
  const pin = upright((chain.pinDiameterMm ?? 0.5 * rollerMm) / 2, insideMm + 5 * thickMm);
  const link = linkPlate(linkPitchMm(chain) * (1 + chain.elongation), deepMm / 2, thickMm);
  places.forEach(([x, y], i) => {
    for (const geometry of [roller, pin]) put(group, geometry, rollers, x, y, 0);
    const next = places[i + 1];
    if (!next) return;
    // Inner and outer links by turns.
    const z = insideMm / 2 + (i % 2 === 0 ? 0.1 : 1.2) * thickMm;
    for (const low of [z, -z - thickMm]) {
      const plate = put(group, link, plates, x, y, low);
      plate.rotation.z = Math.atan2(next[1] - y, next[0] - x);
    }
  });
  return group;
}

/** Axes of the rollers, one behind the other. */
function rollerPlaces(pitchMm: number, pitches: number): XY[] {
  const step = TURN_RAD / pitches;
  const rideMm = pitchMm / (2 * Math.sin(step / 2));
  const middle = Math.round(MIDDLE_RAD / step);
  const half = Math.floor(pitches / 4);
  const seated = Array.from({ length: 2 * half + 1 }, (_, k) => (middle - half + k) * step);
  const at = (a: number): XY => [rideMm * Math.cos(a), rideMm * Math.sin(a)];
  const free = (a: number, way: 1 | -1): XY[] =>
    Array.from({ length: FREE_LINKS }, (_, k): XY => {
      const along = way * (k + 1) * pitchMm;
      const [x, y] = at(a);
      return [x - along * Math.sin(a), y + along * Math.cos(a)];
    });
  return [
    ...free(seated[0]!, -1).reverse(),
    ...seated.map(at),
    ...free(seated[seated.length - 1]!, 1),
  ];
}

function upright(radiusMm: number, lengthMm: number): BufferGeometry {
  return new CylinderGeometry(radiusMm, radiusMm, lengthMm, 28).rotateX(Math.PI / 2);
}

/** A plate from one axis to the next along +X, its lower face at z = 0. */
function linkPlate(pitchMm: number, radiusMm: number, thickMm: number): BufferGeometry {
  const shape = new Shape()
    .absarc(0, 0, radiusMm, Math.PI / 2, (3 * Math.PI) / 2, false)
    .absarc(pitchMm, 0, radiusMm, -Math.PI / 2, Math.PI / 2, false);
  return new ExtrudeGeometry(shape, { depth: thickMm, bevelEnabled: false, curveSegments: 14 });
}

function put(
  group: Group,
  geometry: BufferGeometry,
  material: ShaderMaterial,
  x: number,
  y: number,
  z: number,
): Mesh {
  const mesh = new Mesh(geometry, material);
  mesh.position.set(x, y, z);
  group.add(mesh);
  return mesh;
}

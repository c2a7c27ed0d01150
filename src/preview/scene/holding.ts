/** What holds the blank: split ring, through bolt with washer and nut, plate with screws. */
import { CylinderGeometry, Group, Mesh, type ShaderMaterial } from 'three';
import { BOLT_HEAD_MM } from '../../cam/holding-choice.js';
import { belowTeeth } from '../../post/sheet/holding-plan.js';
import type { PageData } from '../data/page-data.js';
import { tableZMm, tube } from './fixtures.js';

/** What holds the blank, as the sheet asks for it: split ring, through bolt, or plate with screws. */
export function holdDown(data: PageData, material: ShaderMaterial): Group {
  const { job, reach, holding } = data.figures;
  const z = tableZMm(data);
  const top = -data.figures.profile.thicknessMm - 0.01;
  const outer = reach.spacerMaxMm / 2;
  const inner = (belowTeeth(job, holding)?.diameterMm ?? job.bore.diameterMm) / 2;
  const place = { z, top, inner, outer, material };
  const group = new Group();
  if (job.blank.heldBy === 'spigot') group.add(...splitRing(data, place));
  else if (outer > inner) group.add(tube(inner, outer, z, top, material));
  if (job.blank.heldBy === 'through-bolt') group.add(...throughBolt(data, place));
  if (job.blank.heldBy === 'plate') group.add(...plateScrews(data, place));
  return group;
}

/** Where the holding stands: from the table to the teeth, from hub or bore to the widest it may be. */
interface HoldPlace {
  readonly z: number;
  readonly top: number;
  readonly inner: number;
  readonly outer: number;
  readonly material: ShaderMaterial;
}

/** Slit of the ring, as drawn. mm */
const SLIT_MM = 2;

/** A ring that is slit where its screw closes it. */
function splitRing({ figures }: PageData, { z, top, inner, outer, material }: HoldPlace): Mesh[] {
  const slit = SLIT_MM / outer;
  const screwMm = figures.holding.screw?.diameterMm ?? 8;
  const at = outer + screwMm / 2;
  const screw = new CylinderGeometry(screwMm / 2, screwMm / 2, 4 * screwMm, 20);
  const head = new CylinderGeometry(0.8 * screwMm, 0.8 * screwMm, screwMm, 6);
  head.translate(0, 2.5 * screwMm, 0);
  // The slit is to the front, the screw runs across it.
  const parts = [screw, head].map((part) => {
    part.rotateZ(Math.PI / 2).translate(0, -at, (z + top) / 2);
    return new Mesh(part, material);
  });
  return [tube(inner, outer, z, top, material, 64, slit), ...parts];
}

/** Washer and nut on a stud, and the sleeve that fills the bore. */
function throughBolt({ figures }: PageData, { z, material }: HoldPlace): Mesh[] {
  const { holding, job } = figures;
  const washer = holding.bearing.outerMm / 2;
  const bore = job.bore.diameterMm / 2;
  const stud = Math.min(holding.screw?.diameterMm ?? Infinity, 0.9 * job.bore.diameterMm) / 2;
  // Across the corners 1.8 diameters: ISO 4032, from memory.
  return [
    tube(stud, bore - 0.05, z, 0, material),
    tube(0.01, stud, z, BOLT_HEAD_MM, material),
    tube(stud, washer, 0.01, 2, material),
    tube(stud, Math.min(washer, 1.8 * stud), 2, BOLT_HEAD_MM - 1, material, 6),
  ];
}

/** Heads of the screws that go through disc and plate. */
function plateScrews({ figures }: PageData, { inner, outer, material }: HoldPlace): Mesh[] {
  const { screws, screw } = figures.holding;
  const radius = (inner + outer) / 2;
  // A head is 1.8 diameters wide: countersunk, ISO 10642, from memory.
  const head = Math.min(0.9 * (screw?.diameterMm ?? 3.5), (outer - inner) / 3);
  return Array.from({ length: screws }, (_, k) => {
    const mesh = tube(0.01, head, 0.01, 1, material, 24);
    const a = Math.PI * (0.25 + (2 * k) / screws);
    mesh.position.set(radius * Math.cos(a), radius * Math.sin(a), 0);
    return mesh;
  });
}

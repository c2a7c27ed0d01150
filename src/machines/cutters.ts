/** A small set of generic end mills, and filling in what a cutter's description leaves out. */
import { log } from '../maths/elementary.js';
import data from './cutters.json' with { type: 'json' };
import { findRow } from '../text/lookup.js';
import { type Cutter, bodyDiameterMm } from '../model/machine.js';

/** A cutter of the table: a `Cutter` with a name and its provenance. */
export interface CutterEntry extends Cutter {
  readonly id: string;
  readonly title: string;
  readonly source: string;
}

const cutters = data.cutters as readonly CutterEntry[];

/** Every cutter of the table, smallest first. */
export function listCutters(): readonly CutterEntry[] {
  return cutters;
}

/**
 * Cutter by id; letter case and hyphens aside.
 * @throws UnknownNameError with the nearest ids
 */
export function findCutter(id: string): CutterEntry {
  return findRow('cutter', cutters, id);
}

/** What a person knows of a cutter: its diameter, and any of the rest. */
export type CutterGiven = Pick<Cutter, 'diameterMm'> & {
  readonly [K in keyof Cutter]?: Cutter[K] | undefined;
};

/**
 * Fills in a cutter from the row nearest in diameter (then in flutes); lengths in proportion to
 * the diameter. A stick-out that is not given clears the flutes that are, or where a neck takes over
 * from short ones the flutes there would be; flutes that are not given do not reach past a stick-out
 * that is.
 */
export function completeCutter(given: CutterGiven): {
  readonly cutter: Cutter;
  /** Figures that were filled in, and from which row of the table. */
  readonly assumed: readonly (keyof Cutter)[];
  readonly assumedFrom: string;
} {
  const rank = (row: CutterEntry): number =>
    Math.abs(log(row.diameterMm / given.diameterMm)) * 1000 +
    (given.material !== undefined && row.material !== given.material ? 100 : 0) +
    Math.abs(row.flutes - (given.flutes ?? 3));
  const row = cutters.reduce((best, candidate) =>
    rank(candidate) < rank(best) ? candidate : best,
  );
  const scale = given.diameterMm / row.diameterMm;
  const round = (mm: number): number => Math.round(mm * 10) / 10;
  const clearMm = round((row.stickOutMm - row.fluteLengthMm) * scale);

  let fluteLengthMm = given.fluteLengthMm ?? round(row.fluteLengthMm * scale);
  if (given.fluteLengthMm === undefined && given.stickOutMm !== undefined) {
    fluteLengthMm = Math.min(fluteLengthMm, given.stickOutMm);
  }
  const usualMm = given.neckDiameterMm === undefined ? 0 : round(row.fluteLengthMm * scale);
  const cutter: Cutter = {
    diameterMm: given.diameterMm,
    flutes: given.flutes ?? row.flutes,
    material: given.material ?? row.material,
    stickOutMm: given.stickOutMm ?? Math.max(fluteLengthMm, usualMm) + clearMm,
    fluteLengthMm,
    shankDiameterMm: given.shankDiameterMm ?? Math.max(given.diameterMm, row.shankDiameterMm),
    helixDeg: given.helixDeg ?? row.helixDeg,
    edgeRadiusMm: given.edgeRadiusMm ?? row.edgeRadiusMm,
    ...(given.neckDiameterMm !== undefined && { neckDiameterMm: given.neckDiameterMm }),
  };
  const assumed = (Object.keys(cutter) as (keyof Cutter)[]).filter(
    (key) => given[key] === undefined,
  );
  return { cutter, assumed, assumedFrom: row.id };
}

/** Least air between a neck and the wall that the edges have cut. mm on the radius. From memory:
 *  necks of small end mills are ground 0.02 to 0.1 mm under the edges. */
const NECK_AIR_MM = 0.02;

/** Whether what is above the flutes stands back from a wall that the edges have cut. */
export function bodyClears(cutter: Cutter): boolean {
  return bodyDiameterMm(cutter) <= cutter.diameterMm - 2 * NECK_AIR_MM + 1e-9;
}

/** Cutters of the table of the same diameter whose flutes are long enough. */
export function cuttersWithFlutes(diameterMm: number, fluteLengthMm: number): CutterEntry[] {
  return cutters.filter(
    (row) => row.diameterMm === diameterMm && row.fluteLengthMm >= fluteLengthMm,
  );
}

/** One figure of a cutter that cannot be. */
export interface CutterFault {
  readonly key: keyof Cutter;
  readonly value: number;
  readonly rule: string;
  readonly fix: string;
}

const RANGES: readonly [key: keyof Cutter, min: number, max: number, unit: string][] = [
  ['diameterMm', 0.3, 25, ' mm'],
  ['flutes', 1, 12, ''],
  ['stickOutMm', 1, 200, ' mm'],
  ['fluteLengthMm', 0.3, 150, ' mm'],
  ['shankDiameterMm', 0.3, 25, ' mm'],
  ['helixDeg', 0, 60, ' deg'],
  ['edgeRadiusMm', 0.0005, 0.05, ' mm'],
];

/** What is wrong with a cutter's figures; empty when nothing is. */
export function cutterFaults(cutter: Cutter): readonly CutterFault[] {
  const faults: CutterFault[] = [];
  const add = (key: keyof Cutter, rule: string, fix: string) =>
    faults.push({ key, value: cutter[key] as number, rule, fix });
  for (const [key, min, max, unit] of RANGES) {
    const value = cutter[key] as number;
    if (!(value >= min && value <= max)) {
      add(key, `is not between ${min} and ${max}${unit}`, `give ${min} to ${max}${unit}`);
    }
  }
  if (!Number.isInteger(cutter.flutes)) {
    add('flutes', 'is not a whole number', 'count the cutting edges');
  }
  const { neckDiameterMm } = cutter;
  if (neckDiameterMm !== undefined && !bodyClears(cutter)) {
    const most = (cutter.diameterMm - 2 * NECK_AIR_MM).toFixed(2);
    add(
      'neckDiameterMm',
      `is no neck: it does not clear the walls that the ${cutter.diameterMm} mm edges cut`,
      `give ${most} mm or less, or leave it out where the cutter has no neck`,
    );
  }
  if (cutter.fluteLengthMm > cutter.stickOutMm) {
    add(
      'stickOutMm',
      `is shorter than the flutes, ${cutter.fluteLengthMm} mm: the collet would grip the edges`,
      `let the cutter stick out at least ${cutter.fluteLengthMm} mm`,
    );
  }
  return faults;
}

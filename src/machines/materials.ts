/** Workpiece materials. Where published force constants disagree the greater set is the default. */
import data from './materials.json' with { type: 'json' };
import { findRow } from '../text/lookup.js';
import type { Material } from '../model/machine.js';

interface MaterialRow extends Material {
  /** Other names of the same row: "4140-annealed", "CW614N". */
  readonly otherNames: readonly string[];
  readonly grade: string;
}

const rows = data.materials as readonly MaterialRow[];

const materials: readonly Material[] = rows.map(({ otherNames: _, grade: __, ...row }) => row);

/** Every material of the table, steels first. */
export function listMaterials(): readonly Material[] {
  return materials;
}

/** Other names under which a material is found. */
export function otherMaterialNames(id: string): readonly string[] {
  return rows.find((row) => row.id === id)?.otherNames ?? [];
}

/**
 * Material by id or other name; letter case, spaces, dots and hyphens aside.
 * @throws UnknownNameError with the nearest ids
 */
export function findMaterial(name: string): Material {
  const row = findRow('material', rows, name, (r) => r.otherNames);
  return materials[rows.indexOf(row)] as Material;
}
